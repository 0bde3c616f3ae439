"""What is left to bill of a plan, and what a redrawn plan must keep."""

from decimal import Decimal
from fractions import Fraction

import pytest

from invoicing.billing.credit_note import draft_credit
from invoicing.billing.draft import draft_bill, draft_deposit
from invoicing.billing.status import billing_status, check_redrawn, left_to_bill
from invoicing.milestones.change_placement import place_spread
from invoicing.milestones.plan import MilestoneTerm, PlanFault, SignedChange, draw_plan
from tests.invoicing.billing.plans import bill_each, halves
from tests.invoicing.kitchen import ROT, changed_plan, kitchen_plan, place_alone


def test_a_plan_drawn_anew_keeps_what_is_billed() -> None:
    history = bill_each(kitchen_plan(), "M1")
    check_redrawn(kitchen_plan(), history)
    with pytest.raises(PlanFault, match="can't go below"):
        check_redrawn(draw_plan(Decimal(100), [MilestoneTerm("M1", "Signed", "Seen")]), history)
    with pytest.raises(PlanFault, match=r"^Deposit at signing is billed with \$2,521.12: it must stay"):
        check_redrawn(draw_plan(Decimal(100), [MilestoneTerm("N", "Other", "Seen")]), history)


def test_a_change_is_spread_only_over_what_is_not_billed() -> None:
    history = bill_each(kitchen_plan(), "M1", "M2", "M3")
    plan = place_spread(kitchen_plan(), ROT, left_to_bill(kitchen_plan(), history))
    assert {part.milestone for part in plan.parts} == {"M4", "M5"}
    assert draft_bill(plan, history, ["M4", "M5"]).amount == Decimal("10834.72")


def test_the_deposit_that_was_billed_is_told_from_what_is_left_of_it() -> None:
    plan = halves(deposit=Decimal("600.00"))
    history = list(draft_deposit(plan, ()).lines)
    history += draft_bill(plan, history, ["A"]).lines
    status = billing_status(plan, history)
    assert (status.deposit, status.deposit_left) == (Decimal("600.00"), Decimal("100.00"))
    assert (status.work, status.billed, status.left) == (
        Decimal("500.00"),
        Decimal("600.00"),
        Decimal("400.00"),
    )
    history += draft_bill(plan, history, ["B"]).lines
    status = billing_status(plan, history)
    assert (status.deposit, status.deposit_left, status.billed) == tuple(
        map(Decimal, ("600.00", "0.00", "1000.00"))
    )


def test_work_beyond_the_contract_is_over_it_even_where_retainage_keeps_the_money_below() -> None:
    """$1,000.00 of work less $100.00 retainage; a deduction of $50.00 leaves $950.00."""
    drawn = halves(retainage=Fraction(1, 10))
    history = bill_each(drawn, "A", "B", keep_held=True)
    plan = place_alone(drawn, SignedChange("CO", "Less", Decimal("-50.00")), "Less", "Seen")
    status = billing_status(plan, history)
    assert (status.billed, status.over_contract) == (Decimal("900.00"), Decimal("50.00"))


def test_a_milestone_that_was_credited_whole_may_leave_the_plan() -> None:
    plan = kitchen_plan()
    invoice = draft_bill(plan, (), ["M1"]).lines
    credit = draft_credit(plan, invoice, invoice).lines
    check_redrawn(draw_plan(Decimal(100), [MilestoneTerm("N", "Other", "Seen")]), [*invoice, *credit])


def test_a_milestone_is_named_as_its_first_bill_named_it() -> None:
    """The signed change was billed with it later, under its own title."""
    plan = changed_plan()
    history = bill_each(plan, "M3")
    with pytest.raises(PlanFault, match=r"^Drywall primed is billed with \$5,792.48"):
        check_redrawn(draw_plan(Decimal(100), [MilestoneTerm("N", "Other", "Seen")]), history)


def test_not_a_cent_that_is_billed_may_leave_the_plan() -> None:
    plan = halves("1.00")
    history = bill_each(plan, "A")
    check_redrawn(plan, history)
    with pytest.raises(PlanFault, match=r"can't go below the \$0\.50 billed of it"):
        check_redrawn(halves("0.98"), history)
