"""The plan of a signed job: always summed to the contract, whatever is signed, billed or edited."""

from collections.abc import Iterator
from decimal import Decimal

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from estimating.client.cancel import enter_cancellation
from estimating.documents.issue import CannotIssue
from estimating.models import Document, Estimate, Job
from estimating.verification.documents import faults
from invoicing.milestones.plan import PlanFault
from invoicing.milestones.templates import (
    FIVE_MILESTONES,
    SHIPPED_TEMPLATES,
    PlanTemplate,
    PlanTemplateStep,
    with_a_balance,
)
from invoicing.models import Milestone, PaymentPlan, PlacedPart
from invoicing.payment_plan.plan import check_milestones
from invoicing.payment_plan.templates import create_plan, save_template, template_steps
from tests.blank_papers import papers_left_blank
from tests.estimating.issuing import AT, DAY, another_floor, issue_now, painted_floor, unissued
from tests.estimating.signed_kitchen import (
    agreed,
    contract_to_date,
    issued_change,
    make_change,
    quick_line,
    sign_on_paper,
)
from tests.invoicing.bills import THIRDS, billed, job_plan_of, plan_of, signed_floor

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def blank_paper() -> Iterator[None]:
    with papers_left_blank():
        yield


def amounts(job: Job) -> dict[str, str]:
    plan = plan_of(job)
    return {milestone.name: f"{plan.amount(milestone.key)}" for milestone in plan.milestones}


def sign_change(job: Job, title: str, price: str, at_most: str = "") -> Document:
    change = make_change(job, title)
    if Decimal(price):
        agreed(change, title, "1", "", price)
    if at_most:
        quick_line(change, f"{title} by the hour", at_most, at_most=True)
    document = issued_change(change)
    sign_on_paper(document)
    return document


def test_before_signing_the_plan_sums_to_the_estimate_as_it_stands() -> None:
    estimate = painted_floor()
    create_plan(estimate.job, FIVE_MILESTONES.steps)
    assert amounts(estimate.job) == {
        "Deposit at signing": "19.68",
        "Drywall finished": "49.20",
        "Floor set": "49.20",
        "Cabinets set": "59.04",
        "Punch list done": "19.68",
    }
    estimate.items.update(extra_hours=10)
    assert (
        amounts(estimate.job)["Deposit at signing"] == "103.68"
    )  # 10 hours at $70.00 with 20 % are $840.00 more


@pytest.mark.parametrize(
    ("way", "after"),
    [
        ("own", {"Begun": "59.04", "First coat": "59.04", "Done": "78.72", "Change order 1, Rot": "100.00"}),
        ("spread", {"Begun": "89.04", "First coat": "89.04", "Done": "118.72"}),
        ("last", {"Begun": "59.04", "First coat": "59.04", "Done": "178.72"}),
    ],
)
def test_a_signed_change_goes_where_the_plan_says(way: str, after: dict[str, str]) -> None:
    job = signed_floor({"changes_go": way})
    sign_change(job, "Rot", "100.00")
    assert amounts(job) == after


def test_the_change_order_prints_the_payments_that_it_moves_and_they_move_so() -> None:
    job = signed_floor({"changes_go": "last"})
    document = sign_change(job, "Rot", "100.00")
    (row,) = document.read_snapshot()["payments"]["rows"]
    assert row == {"name": "Done", "before": "78.72", "after": "178.72"}
    assert amounts(job)["Done"] == row["after"]
    assert list(faults()) == []


def test_what_was_printed_holds_when_the_plan_goes_another_way_before_it_is_signed() -> None:
    job = signed_floor({"changes_go": "last"})
    change = make_change(job, "Rot")
    agreed(change, "Rot", "1", "", "100.00")
    document = issued_change(change)
    PaymentPlan.objects.update(changes_go="spread")
    sign_on_paper(document)
    assert amounts(job)["Done"] == "178.72"


def test_a_change_is_not_spread_over_what_is_billed_or_over_the_deposit() -> None:
    job = signed_floor({"changes_go": "spread"})
    billed(job, "Begun")
    Milestone.objects.filter(name="First coat").update(is_deposit=True)
    sign_change(job, "Rot", "100.00")
    assert amounts(job) == {"Begun": "59.04", "First coat": "59.04", "Done": "178.72"}


@pytest.mark.parametrize(
    ("way", "after"),
    [("spread", ("74.04", "74.04", "98.72")), ("last", ("59.04", "59.04", "128.72"))],
)
def test_a_change_puts_no_money_on_the_line_of_another(way: str, after: tuple[str, ...]) -> None:
    job = signed_floor()
    sign_change(job, "Rot", "100.00")
    PaymentPlan.objects.update(changes_go=way)
    sign_change(job, "Lights", "50.00")
    assert tuple(amounts(job).values()) == (*after, "100.00")


def test_each_part_of_a_spread_change_says_which_it_is_of_how_many() -> None:
    job = signed_floor({"changes_go": "spread"})
    sign_change(job, "Rot", "100.00")
    first = billed(job, "Begun").read_snapshot()["lines"]
    rest = billed(job, "First coat", "Done").read_snapshot()["lines"]
    title = "Change order 1, Rot, part"
    assert [(line["title"], line["amount"]) for line in (*first, *rest)] == [
        ("Begun", "59.04"),
        (f"{title} 1 of 3", "30.00"),
        ("First coat", "59.04"),
        (f"{title} 2 of 3", "30.00"),
        ("Done", "78.72"),
        (f"{title} 3 of 3", "40.00"),
    ]
    assert first[1]["says"] == "$100.00 in all, spread over 3 payments."


def test_a_credit_above_what_is_left_gets_a_line_of_its_own() -> None:
    job = signed_floor({"changes_go": "last"})
    billed(job, "Done")
    billed(job, "First coat")
    sign_change(job, "Less paint", "-70.00")
    assert amounts(job)["Change order 1, Less paint"] == "-70.00"


def test_work_by_the_hour_never_spreads_and_its_fixed_part_does() -> None:
    job = signed_floor({"changes_go": "spread"})
    sign_change(job, "Rot", "100.00", at_most="1")  # an hour at $70.00 with 20 %
    assert amounts(job) == {
        "Begun": "89.04",
        "First coat": "89.04",
        "Done": "118.72",
        "Change order 1, Rot": "84.00",
    }


def test_changes_signed_before_the_plan_is_drawn_are_placed_when_it_is() -> None:
    job = signed_floor()
    PlacedPart.objects.all().delete()
    PaymentPlan.objects.all().delete()
    sign_change(job, "Rot", "100.00")
    create_plan(job, FIVE_MILESTONES.steps)
    assert amounts(job)["Change order 1, Rot"] == "100.00"


def test_a_canceled_contract_leaves_no_change_in_the_plan() -> None:
    job = signed_floor()
    sign_change(job, "Rot", "100.00")
    estimate = Document.objects.get(job=job, kind="estimate")
    enter_cancellation(estimate, "Marisol Okonjo", DAY, "By mail", "pat", AT)
    assert amounts(job) == {"Begun": "59.04", "First coat": "59.04", "Done": "78.72"}


@pytest.mark.parametrize("way", ["own", "spread", "last"])
def test_a_canceled_change_leaves_the_plan_and_the_others_stay(way: str) -> None:
    job = signed_floor({"changes_go": way})
    sign_change(job, "Rot", "100.00")
    before = amounts(job)
    lights = sign_change(job, "Lights", "50.00")
    assert amounts(job) != before
    enter_cancellation(lights, "Marisol Okonjo", DAY, "By mail", "pat", AT)
    assert amounts(job) == before


def test_a_milestone_cannot_go_below_what_is_billed_of_it() -> None:
    job = signed_floor()
    billed(job, "Begun")
    job_plan = job_plan_of(job)
    job_plan.milestones[0].share_percent = Decimal(20)
    with pytest.raises(PlanFault, match=r"Begun can't go below the \$59.04 billed of it"):
        check_milestones(job_plan, job_plan.milestones)


def test_a_plan_that_no_longer_fits_says_why_and_stops_the_estimate() -> None:
    estimate = painted_floor()
    create_plan(
        estimate.job,
        (
            PlanTemplateStep("Half", "Half is done.", amount=Decimal("190.00")),
            PlanTemplateStep("Rest", "All is done."),
        ),
    )
    estimate.items.get().in_rooms.all().delete()
    estimate.items.update(assembly=None, extra_hours=1)
    assert "more than $84.00" in job_plan_of(estimate.job).fault
    with pytest.raises(CannotIssue, match="payment schedule .* can't stand"):
        unissued(estimate)


def test_a_kept_pattern_draws_the_same_plan_on_another_sum() -> None:
    job = signed_floor({"retainage_percent": 5})
    sign_change(job, "Rot", "100.00")
    template = save_template(job_plan_of(job), "Thirds")
    other = another_floor(Estimate.objects.get(job=job, change=None))
    payment_plan = create_plan(other.job, with_a_balance(template_steps(template)), template)
    assert job_plan_of(other.job).contract.amount == Decimal("364.80")  # with a supply run of two hours
    assert amounts(other.job) == {"Begun": "109.44", "First coat": "109.44", "Done": "145.92"}
    assert payment_plan.retainage_percent == 5


@pytest.mark.parametrize("template", SHIPPED_TEMPLATES, ids=lambda template: template.code)
def test_a_pattern_fits_any_sum_and_says_what_anyone_can_see(template: PlanTemplate) -> None:
    terms = [step for step in template.steps if step.share_percent is None and step.amount is None]
    assert len(terms) == 1
    assert all(step.condition.endswith(".") for step in template.steps)


events = st.lists(
    st.tuples(
        st.sampled_from(["change", "change", "by_the_hour", "way", "bill", "edit"]),
        st.integers(0, 2),
        st.decimals("-150", "400", places=2),
    ),
    min_size=3,
    max_size=7,
)


@pytest.mark.one_database
@settings(max_examples=10, suppress_health_check=list(HealthCheck))
@given(story=events)
def test_milestones_sum_to_the_contract_over_any_signed_changes(
    blank_paper: None, story: list[tuple[str, int, Decimal]]
) -> None:
    first = Estimate.objects.filter(change=None).first()
    if first is None:
        job = signed_floor()
    else:
        document = issue_now(another_floor(first))
        sign_on_paper(document)
        job = document.job
        create_plan(job, THIRDS)
    for number, (event, which, amount) in enumerate(story):
        happens(job, event, which, amount, number)
        assert job_plan_of(job).fault == ""
        contract, plan = contract_to_date(job).total, plan_of(job)
        assert sum(plan.amount(milestone.key) for milestone in plan.milestones) == contract
        assert plan.contract_sum == contract


def happens(job: Job, event: str, which: int, amount: Decimal, number: int) -> None:
    """One event of a story; one that can't be leaves all as it was."""
    payment_plan = PaymentPlan.objects.get(job=job)
    chosen = payment_plan.milestones.filter(change=None)[which]
    if event == "way":
        PaymentPlan.objects.filter(pk=payment_plan.pk).update(changes_go=("own", "spread", "last")[which])
    elif event == "edit" and chosen.share_percent is not None:
        job_plan = job_plan_of(job)
        edited = next(milestone for milestone in job_plan.milestones if milestone.pk == chosen.pk)
        edited.share_percent = abs(amount) / 10
        try:
            check_milestones(job_plan, job_plan.milestones)
        except PlanFault:
            return
        edited.save()
    else:
        try:
            if event == "bill":
                billed(job, chosen.name)
            elif event == "change":
                sign_change(job, f"Change {number}", f"{amount}")
            elif event == "by_the_hour":
                sign_change(job, f"Change {number}", "0", at_most=f"{which + 1}")
        except CannotIssue:
            return
