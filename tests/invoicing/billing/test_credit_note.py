"""What a credit note takes back of an invoice, and what it can't."""

from decimal import Decimal
from fractions import Fraction

import pytest

from invoicing.billing.credit_note import draft_credit
from invoicing.billing.draft import CannotBill, draft_bill, draft_deposit, draft_release
from invoicing.billing.status import billing_status, left_to_bill
from invoicing.milestones.plan import SignedChange, place_with
from tests.invoicing.billing.plans import halves, kinds_and_amounts
from tests.invoicing.kitchen import place_alone


def test_a_whole_credit_note_takes_every_line_back_and_the_milestone_can_be_billed_again() -> None:
    plan = halves(retainage=Fraction(1, 10))
    invoice = draft_bill(plan, (), ["A"]).lines
    credit = draft_credit(plan, invoice, invoice)
    assert kinds_and_amounts(credit) == [("milestone", "-500.00"), ("retainage held", "50.00")]
    assert draft_bill(plan, [*invoice, *credit.lines], ["A"]).amount == Decimal("450.00")


def test_a_credit_in_part_gives_retainage_back_in_proportion() -> None:
    plan = halves(retainage=Fraction(1, 10))
    invoice = draft_bill(plan, (), ["A"]).lines
    credit = draft_credit(plan, invoice, invoice, amounts={invoice[0].key: Decimal("33.33")})
    assert kinds_and_amounts(credit) == [("milestone", "-33.33"), ("retainage held", "3.33")]
    rest = draft_credit(plan, [*invoice, *credit.lines], invoice, credit.lines)
    assert billing_status(plan, [*invoice, *credit.lines, *rest.lines]).held == 0


def test_retainage_on_what_is_not_taxed_is_given_back_without_tax() -> None:
    """$500.00 of the first half are taxed; a change of $100.00 with it isn't."""
    half = halves(taxable="1000.00", retainage=Fraction(1, 10))
    plan = place_with(half, SignedChange("CO", "Sill", Decimal("100.00")), "A", left_to_bill(half, ()))
    invoice = draft_bill(plan, (), ["A"]).lines
    credit = draft_credit(plan, invoice, invoice, amounts={invoice[1].key: Decimal("60.00")})
    assert kinds_and_amounts(credit) == [("change", "-60.00"), ("retainage held", "6.00")]
    assert credit.taxable == 0
    rest = draft_credit(plan, [*invoice, *credit.lines], invoice, credit.lines)
    assert (rest.amount, rest.taxable) == (Decimal("-486.00"), Decimal("-450.00"))


def test_no_more_is_credited_than_was_billed() -> None:
    plan = halves()
    invoice = draft_bill(plan, (), ["A"]).lines
    credit = draft_credit(plan, invoice, invoice)
    with pytest.raises(CannotBill, match="Nothing is left to credit"):
        draft_credit(plan, [*invoice, *credit.lines], invoice, credit.lines)
    with pytest.raises(CannotBill, match=r"At most \$500\.00"):
        draft_credit(plan, invoice, invoice, amounts={invoice[0].key: Decimal("500.01")})


def test_a_deduction_alone_is_not_credited() -> None:
    plan = place_alone(halves(), SignedChange("CO", "Trims left out", Decimal("-100.00")), "Trims", "Seen")
    invoice = draft_bill(plan, (), ["A", "CO"]).lines
    with pytest.raises(CannotBill, match=r"add \$100\.00 to what is owed"):
        draft_credit(plan, invoice, invoice, amounts={invoice[1].key: Decimal("-100.00")})
    assert draft_credit(plan, invoice, invoice).amount == Decimal("-400.00")


def test_what_a_later_invoice_has_used_is_credited_there_first() -> None:
    plan = halves(retainage=Fraction(1, 10), deposit=Decimal("100.00"))
    deposit = draft_deposit(plan, ()).lines
    work = draft_bill(plan, deposit, ["A"]).lines
    release = draft_release(plan, [*deposit, *work]).lines
    with pytest.raises(CannotBill, match="released on another"):
        draft_credit(plan, [*deposit, *work, *release], work)
    with pytest.raises(CannotBill, match="taken off another invoice"):
        draft_credit(plan, [*deposit, *work, *release], deposit)
