"""What a credit note takes back of an invoice, and what it can't."""

from decimal import Decimal
from fractions import Fraction

import pytest

from invoicing.billing.credit_note import draft_credit, left_of_line
from invoicing.billing.draft import CannotBill, draft_bill, draft_deposit, draft_release
from invoicing.billing.lines import BillLine
from invoicing.billing.status import billing_status, left_to_bill
from invoicing.milestones.change_placement import place_with
from invoicing.milestones.plan import SignedChange
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


def test_beside_a_deduction_each_dollar_credited_gives_back_what_was_held_from_it() -> None:
    """$500.00 of work less a deduction of $100.00, of which a tenth is held: $12.50 of $125.00."""
    half = halves(retainage=Fraction(1, 10))
    less = SignedChange("CO", "Trims left out", Decimal("-100.00"))
    plan = place_with(half, less, "A", left_to_bill(half, ()))
    invoice = draft_bill(plan, (), ["A"]).lines
    credit = draft_credit(plan, invoice, invoice, amounts={invoice[0].key: Decimal("125.00")})
    assert kinds_and_amounts(credit) == [("milestone", "-125.00"), ("retainage held", "12.50")]
    rest = draft_credit(plan, [*invoice, *credit.lines], invoice, credit.lines)
    assert kinds_and_amounts(rest) == [
        ("milestone", "-375.00"),
        ("change", "100.00"),
        ("retainage held", "27.50"),
    ]


def test_a_deduction_does_not_stay_without_the_work_that_it_was_taken_off() -> None:
    half = halves(deposit=Decimal("600.00"))
    less = SignedChange("CO", "Trims left out", Decimal("-100.00"))
    plan = place_with(half, less, "A", left_to_bill(half, ()))
    deposit = draft_deposit(plan, ()).lines
    invoice = draft_bill(plan, deposit, ["A"]).lines
    with pytest.raises(CannotBill, match=r"Deductions of \$100\.00 would stay on this invoice"):
        draft_credit(plan, [*deposit, *invoice], invoice, amounts={invoice[0].key: Decimal("500.00")})
    most = draft_credit(plan, [*deposit, *invoice], invoice, amounts={invoice[0].key: Decimal("400.00")})
    assert kinds_and_amounts(most) == [("milestone", "-400.00"), ("deposit applied", "400.00")]


def test_of_what_is_given_up_the_deposit_gets_back_only_what_the_invoice_cannot_bear() -> None:
    """$500.00 of work, $200.00 of it paid by the deposit."""
    plan = halves(deposit=Decimal("200.00"))
    deposit = draft_deposit(plan, ()).lines
    invoice = draft_bill(plan, deposit, ["A"]).lines
    history = [*deposit, *invoice]
    hundred = {invoice[0].key: Decimal("100.00")}
    by_mistake = draft_credit(plan, history, invoice, (), hundred)
    assert kinds_and_amounts(by_mistake) == [("milestone", "-100.00"), ("deposit applied", "40.00")]
    given = draft_credit(plan, history, invoice, (), hundred, given_up=True)
    assert kinds_and_amounts(given) == [("milestone", "-100.00")]
    most = draft_credit(plan, history, invoice, (), {invoice[0].key: Decimal("350.00")}, given_up=True)
    assert kinds_and_amounts(most) == [("milestone", "-350.00"), ("deposit applied", "50.00")]


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
    with pytest.raises(CannotBill, match="applied to another invoice"):
        draft_credit(plan, [*deposit, *work, *release], deposit)


def test_a_bill_that_the_deposit_covers_is_credited_whole() -> None:
    plan = halves(deposit=Decimal("600.00"))
    deposit = draft_deposit(plan, ()).lines
    invoice = draft_bill(plan, deposit, ["A"]).lines
    credit = draft_credit(plan, [*deposit, *invoice], invoice)
    assert kinds_and_amounts(credit) == [("milestone", "-500.00"), ("deposit applied", "500.00")]
    assert credit.amount == 0


def test_even_a_deduction_of_a_cent_is_not_credited_alone() -> None:
    plan = place_alone(halves(), SignedChange("CO", "Trims left out", Decimal("-0.01")), "Trims", "Seen")
    invoice = draft_bill(plan, (), ["A", "CO"]).lines
    with pytest.raises(CannotBill, match=r"add \$0\.01 to what is owed"):
        draft_credit(plan, invoice, invoice, amounts={invoice[1].key: Decimal("-0.01")})


def test_a_line_of_which_nothing_is_chosen_is_left_out() -> None:
    plan = place_with(
        halves(), SignedChange("CO", "Sill", Decimal("100.00")), "A", left_to_bill(halves(), ())
    )
    invoice = draft_bill(plan, (), ["A"]).lines
    amounts = {invoice[0].key: Decimal("0.00"), invoice[1].key: Decimal("60.00")}
    assert kinds_and_amounts(draft_credit(plan, invoice, invoice, amounts=amounts)) == [("change", "-60.00")]


def test_credits_in_part_take_back_the_taxed_part_by_all_that_is_credited() -> None:
    """$166.66 of $500.00 are taxed: 33.33 of a fifth, 66.66 of two fifths, and 100.00 are left."""
    plan = halves("1000.00", "333.33")
    invoice = draft_bill(plan, (), ["A"]).lines
    assert invoice[0].taxable == Decimal("166.66")
    first = draft_credit(plan, invoice, invoice, amounts={invoice[0].key: Decimal("100.00")})
    history = [*invoice, *first.lines]
    second = draft_credit(plan, history, invoice, first.lines, {invoice[0].key: Decimal("100.00")})
    assert (first.taxable, second.taxable) == (Decimal("-33.33"), Decimal("-33.33"))
    credited = [*first.lines, *second.lines]
    rest = draft_credit(plan, [*invoice, *credited], invoice, credited)
    assert (rest.amount, rest.taxable) == (Decimal("-300.00"), Decimal("-100.00"))
    assert left_of_line(invoice[0], [*credited, *rest.lines]) == 0


def test_retainage_and_what_is_taxed_of_it_are_given_back_as_the_work_is() -> None:
    plan = halves(taxable="1000.00", retainage=Fraction(1, 10))
    invoice = draft_bill(plan, (), ["A"]).lines
    a_fifth = {invoice[0].key: Decimal("100.00")}
    credited: list[BillLine] = []
    for _ in range(2):
        note = draft_credit(plan, [*invoice, *credited], invoice, credited, a_fifth)
        assert [(line.amount, line.taxable) for line in note.lines] == [
            (Decimal("-100.00"), Decimal("-100.00")),
            (Decimal("10.00"), Decimal("10.00")),
        ]
        credited += note.lines


def test_retainage_is_not_credited_by_itself() -> None:
    plan = halves(retainage=Fraction(1, 10))
    invoice = draft_bill(plan, (), ["A"]).lines
    with pytest.raises(CannotBill, match=r"At most \$0\.00 of that line"):
        draft_credit(plan, invoice, invoice, amounts={invoice[1].key: Decimal("-1.00")})


def test_no_more_of_a_deduction_is_credited_than_was_taken_off() -> None:
    plan = place_alone(halves(), SignedChange("CO", "Trims left out", Decimal("-100.00")), "Trims", "Seen")
    invoice = draft_bill(plan, (), ["A", "CO"]).lines
    amounts = {invoice[0].key: Decimal("500.00"), invoice[1].key: Decimal("-100.01")}
    with pytest.raises(CannotBill, match=r"At most -\$100\.00 of that line"):
        draft_credit(plan, invoice, invoice, amounts=amounts)
    amounts[invoice[1].key] = Decimal("1.00")
    with pytest.raises(CannotBill, match=r"At most -\$100\.00 of that line"):
        draft_credit(plan, invoice, invoice, amounts=amounts)
