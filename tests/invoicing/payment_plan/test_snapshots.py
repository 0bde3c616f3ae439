"""How a job is paid, as its estimate and its change orders print it."""

import json

import pytest
from django.db import connection

from estimating.documents import write_protection
from estimating.events.chain import canonical, digest
from estimating.models import Document, Estimate, Job
from estimating.verification.documents import faults
from invoicing.milestones.templates import FIVE_MILESTONES
from invoicing.models import Milestone, PaymentPlan
from invoicing.payment_plan.templates import create_plan
from tests.estimating.issuing import issue_now, painted_floor, unissued
from tests.estimating.signed_kitchen import issued_change, rotten_subfloor, signed_kitchen
from tests.pdf_text import text_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def estimate() -> Estimate:
    """A floor at $196.80 with the plan that ships."""
    estimate = painted_floor()
    create_plan(estimate.job, FIVE_MILESTONES.steps)
    return estimate


def test_an_estimate_without_a_plan_says_nothing_of_payments() -> None:
    assert "payments" not in unissued(painted_floor()).snapshot


def test_an_estimate_prints_each_milestone_with_its_condition_and_amount(estimate: Estimate) -> None:
    PaymentPlan.objects.update(retainage_percent=5, changes_go="spread")
    document = issue_now(estimate)
    text = text_of(document.pdf)
    for step, amount in zip(
        FIVE_MILESTONES.steps, ("19.68", "49.20", "49.20", "59.04", "19.68"), strict=True
    ):
        assert f"{step.name}: {step.condition}" in text
        assert f"Doesn't cover: {step.not_covered}" in text
        assert f"${amount}" in text
    assert (
        "5% of each bill for work but the deposit is held back and falls due when all work is done." in text
    )
    assert list(faults()) == []


def test_tax_that_the_client_is_charged_is_left_to_each_bill() -> None:
    estimate = painted_floor(tax_policy="everything", tax_percent="6.5")
    create_plan(estimate.job, FIVE_MILESTONES.steps)
    paid = unissued(estimate).snapshot["payments"]
    assert (paid["label"], paid["total"]) == ("Total before tax", "196.80")
    assert paid["notes"][0] == "Each bill adds the sales tax on what it asks for."


def test_a_revised_estimate_says_that_payments_changed(estimate: Estimate) -> None:
    issue_now(estimate)
    Milestone.objects.filter(name="Floor set").update(share_percent=30)
    revision = unissued(estimate).snapshot["revision"]
    assert revision["reworded"] == ["Payment schedule"]


def test_verification_finds_a_plan_that_does_not_sum(estimate: Estimate) -> None:
    document = issue_now(estimate)
    paper = document.read_snapshot()
    paper["payments"]["rows"][0]["amount"] = "19.69"
    with write_protection.without_triggers(connection):
        Document.objects.filter(pk=document.pk).update(snapshot=canonical(paper))
    assert "Estimate 1001: its payment schedule comes to 196.81, not to 196.80." in list(faults())


def test_a_change_order_prints_what_it_moves_and_its_work_by_the_hour_apart() -> None:
    job = signed_kitchen()
    create_plan(job, FIVE_MILESTONES.steps)
    PaymentPlan.objects.update(changes_go="last")
    document = issued_change(rotten_subfloor(Job.objects.get(pk=job.pk)))
    paid = document.read_snapshot()["payments"]
    moved = {row["name"]: (row["before"], row["after"]) for row in paid["rows"]}
    # A tenth of $25,211.16 is 2,521.116: of the two tenths the last takes the cent. The change is $750.25:
    # $336.00 of subfloor, $60.00 of fans, and a joist by the hour for at most $354.25.
    assert moved == {"Punch list done": ("2521.12", "3271.37")}
    assert "What goes by the hour counts at its limit." in paid["first_line"]
    assert "Punch list done" in text_of(document.pdf)
    parts = json.loads(document.basis)["plan"]
    assert [(part["by_measure"], part["amount"]) for part in parts] == [(False, "396.00"), (True, "354.25")]
    assert digest(document.basis) == document.basis_sha256
