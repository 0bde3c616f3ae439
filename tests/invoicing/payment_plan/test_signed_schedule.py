"""The payments that a client signs, with the options taken; afterwards only a further paper moves them."""

import re
from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse

from estimating.client.cancel import enter_cancellation
from estimating.documents import write_protection
from estimating.documents.issue import CannotIssue
from estimating.events.chain import canonical
from estimating.models import Acceptance, Document, Job
from estimating.verification.documents import faults
from invoicing.milestones.templates import FIVE_MILESTONES, PlanTemplateStep
from invoicing.models import Milestone, PaymentPlan
from invoicing.payment_plan.templates import create_plan
from tests.estimating.client_visits import NAME, floor_with_options, sent, sign, visit
from tests.estimating.issuing import issue_now, unissued
from tests.estimating.signed_kitchen import sign_on_paper
from tests.invoicing.bills import job_plan_of, milestone, plan_of
from tests.pdf_text import text_of
from tests.responses import PageResponse

pytestmark = pytest.mark.django_db
# 10, 25, 25 and 30 % of $393.60, and the rest.
WITH_THE_OPTION = ["39.36", "98.40", "98.40", "118.08", "39.36"]
AS_ISSUED = ["19.68", "49.20", "49.20", "59.04", "19.68"]


@pytest.fixture
def estimate() -> Document:
    """A floor at $196.80 and an option of as much, issued with the plan that ships."""
    draft = floor_with_options()
    create_plan(draft.job, FIVE_MILESTONES.steps)
    return issue_now(draft)


def amounts(job: Job) -> list[str]:
    plan = plan_of(job)
    return [f"{plan.amount(row.key)}" for row in plan.milestones]


def text(answer: PageResponse) -> str:
    return " ".join(answer.content.decode().split())


def test_the_page_shows_the_payments_with_the_options_before_the_signature(
    signed_in: Client, estimate: Document
) -> None:
    browser, page = visit(sent(signed_in, estimate))
    ticked = text(browser.get(f"{page}sum/", {"options": "0"}))
    assert [f"${amount}" in ticked for amount in WITH_THE_OPTION] == [True] * 5
    assert all(step.name in ticked for step in FIVE_MILESTONES.steps)
    assert "Payment schedule with" not in text(browser.get(f"{page}sum/"))
    looked = text(browser.post(f"{page}sign/", {"look": "yes", "options": "0"}))
    assert "$118.08" in looked


def test_the_signed_copy_prints_the_payments_as_signed(signed_in: Client, estimate: Document) -> None:
    browser, page = visit(sent(signed_in, estimate))
    sign(browser, page, "393.60", options="0")
    said = text_of(browser.get(f"{page}signed.pdf").content)
    assert "As signed" in said
    assert "To begin $39.36" in said
    for old, new in zip(AS_ISSUED, WITH_THE_OPTION, strict=True):
        assert f"${old} ${new}" in said
    assert "As issued, without options $196.80 Signed, with the options taken $393.60" in said
    record = Acceptance.objects.get().read_record()
    assert [row["amount"] for row in record["payments"]] == WITH_THE_OPTION
    assert amounts(estimate.job) == WITH_THE_OPTION
    assert "$118.08" in text(browser.get(page))
    assert list(faults()) == []


def test_in_short_the_clients_page_says_what_was_signed(signed_in: Client, estimate: Document) -> None:
    browser, page = visit(sent(signed_in, estimate))
    sign(browser, page, "393.60", options="0")
    whole = text(browser.get(page))
    assert "The last page records how" not in whole
    assert re.sub("<[^>]*>", "", whole).count("Signed, with the options taken") == 3
    brief = whole.partition('class="client-brief"')[2].partition("</section>")[0]
    assert "Signed, with the options taken" in brief
    assert [f">${amount}<" in brief for amount in ("393.60", *WITH_THE_OPTION)] == [True] * 6
    assert [f">${amount}<" in brief for amount in ("196.80", *AS_ISSUED)] == [False] * 6


def test_without_options_the_paper_stands_as_it_was_issued(signed_in: Client, estimate: Document) -> None:
    browser, page = visit(sent(signed_in, estimate))
    sign(browser, page, "196.80")
    assert "payments" not in Acceptance.objects.get().read_record()
    assert "As signed" not in text_of(browser.get(f"{page}signed.pdf").content)
    assert amounts(estimate.job) == AS_ISSUED


def test_the_paper_says_how_options_move_the_payments(estimate: Document) -> None:
    assert "Options taken move the payments" in text_of(estimate.pdf)


def test_payments_that_leave_no_room_for_an_option_arent_issued() -> None:
    draft = floor_with_options()
    half = Decimal("98.40")
    steps = [PlanTemplateStep(name, "It is done.", amount=half) for name in ("Half", "Rest")]
    create_plan(draft.job, steps)
    with pytest.raises(CannotIssue, match="With options taken, .* make one the balance"):
        unissued(draft)


def test_what_was_issued_is_signed_though_the_plan_was_edited_meanwhile(estimate: Document) -> None:
    job = estimate.job
    Milestone.objects.filter(name="Floor set").update(share_percent=5, condition="Whenever.")
    Milestone.objects.filter(name="Deposit at signing").delete()
    PaymentPlan.objects.update(retainage_percent=10)
    sign_on_paper(estimate)
    assert amounts(job) == AS_ISSUED
    assert milestone(job, "Floor set").condition == FIVE_MILESTONES.steps[2].condition
    assert job_plan_of(job).payment_plan.retainage_percent == 0


def test_a_plan_that_was_thrown_away_is_back_with_the_signature(estimate: Document) -> None:
    PaymentPlan.objects.all().delete()
    sign_on_paper(estimate)
    assert amounts(estimate.job) == AS_ISSUED


def test_a_signed_milestone_isn_t_edited_added_to_or_taken_out(signed_in: Client, estimate: Document) -> None:
    sign_on_paper(estimate)
    job, row = estimate.job, milestone(estimate.job, "Floor set")
    edit, remove = reverse("milestone", args=[row.pk]), reverse("milestone-remove", args=[row.pk])
    page = text(signed_in.get(edit))
    assert "Both of you signed it" in page
    assert 'name="asks"' not in page
    typed = {"name": "Floor", "condition": "Whenever.", "asks": "5 %", "expected_on": "2026-12-24"}
    signed_in.post(edit, typed)
    row.refresh_from_db()
    assert (row.name, f"{row.expected_on}") == ("Floor set", "2026-12-24")
    assert signed_in.post(remove).status_code == 422
    new = reverse("milestone-new", args=[job.pk])
    assert "Nothing is added to this schedule" in text(signed_in.post(new, typed, follow=True))
    signed_in.post(reverse("milestone-move", args=[row.pk]), {"way": "up"})
    signed_in.post(
        reverse("plan-terms", args=[job.pk]),
        {
            "retainage_percent": "10",
            "deposit": "50",
            "changes_go": "last",
            "special_order": "0",
            "pays_after_days": "7",
        },
    )
    even = signed_in.post(reverse("plan-cash", args=[job.pk]), {"even": "1"})
    assert "The split stays" in text(even)
    plan = PaymentPlan.objects.get()
    assert (plan.retainage_percent, plan.deposit.amount, plan.changes_go) == (0, 0, "own")
    assert plan.pays_after_days == 7
    assert amounts(job) == AS_ISSUED


def test_a_signed_plan_isn_t_thrown_away(signed_in: Client, estimate: Document) -> None:
    job = estimate.job
    discard = reverse("plan-discard", args=[job.pk])
    assert discard in text(signed_in.get(reverse("job-money", args=[job.pk])))
    sign_on_paper(estimate)
    assert discard not in text(signed_in.get(reverse("job-money", args=[job.pk])))
    signed_in.post(discard)
    assert PaymentPlan.objects.exists()


def test_after_a_cancellation_the_plan_is_free_again(signed_in: Client) -> None:
    draft = floor_with_options(signing_place="home")
    create_plan(draft.job, FIVE_MILESTONES.steps)
    document = issue_now(draft)
    acceptance = sign_on_paper(document)
    enter_cancellation(document, NAME, acceptance.signed_on, "By mail.", "pat", acceptance.at)
    assert 'name="asks"' in text(
        signed_in.get(reverse("milestone", args=[milestone(draft.job, "Floor set").pk]))
    )


def test_an_estimate_issued_before_the_basis_kept_its_payments_is_still_signed(
    signed_in: Client, estimate: Document
) -> None:
    basis = {name: value for name, value in estimate.read_basis().items() if name != "payments"}
    with write_protection.without_triggers(connection):
        Document.objects.filter(pk=estimate.pk).update(basis=canonical(basis))
    browser, page = visit(sent(signed_in, estimate))
    assert "Payment schedule with" not in text(browser.get(f"{page}sum/", {"options": "0"}))
    assert sign(browser, page, "393.60", options="0").status_code == 302
    assert "payments" not in Acceptance.objects.get().read_record()
    assert amounts(estimate.job) == WITH_THE_OPTION
    page = text(signed_in.get(reverse("milestone", args=[milestone(estimate.job, "Floor set").pk])))
    assert "Both of you signed it" in page
