"""What a bill says, and what can't be billed: twice, unsigned, beyond the contract sum."""

from decimal import Decimal
from fractions import Fraction
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.money.amounts import round_cents
from invoicing.billing.credit_note import draft_credit
from invoicing.billing.draft import (
    Bill,
    CannotBill,
    draft_bill,
    draft_deposit,
    draft_late_charge,
    draft_release,
    is_last_bill,
    tax_correction,
)
from invoicing.billing.lines import BillLine
from invoicing.billing.status import billing_status, left_to_bill
from invoicing.milestones.change_placement import place_with
from invoicing.milestones.plan import MilestoneTerm, SignedChange, draw_plan
from tests.invoicing.billing.plans import bill_each, halves, kinds_and_amounts
from tests.invoicing.kitchen import changed_plan, kitchen_plan, place_alone

FIVE = ("M1", "M2", "M3", "M4", "M5")


def test_the_demo_kitchen_bills_its_contract_to_the_cent() -> None:
    plan = changed_plan()
    history: list[BillLine] = []
    billed = []
    for key in FIVE:
        bill = draft_bill(plan, history, [key])
        history += bill.lines
        billed.append(str(bill.amount))
    assert billed == ["2521.12", "7563.35", "5792.48", "8048.99", "2521.12"]
    status = billing_status(plan, history)
    assert (status.billed, status.left) == (Decimal("26447.06"), Decimal(0))


def test_a_signed_change_is_a_line_of_its_own() -> None:
    bill = draft_bill(changed_plan(), bill_each(changed_plan(), "M1", "M2"), ["M3"])
    assert kinds_and_amounts(bill) == [("milestone", "5042.23"), ("change", "750.25")]
    assert (bill.before.billed, bill.left_after) == (Decimal("10084.47"), Decimal("10570.11"))


def test_a_part_of_a_milestone_is_billed_and_the_rest_later() -> None:
    plan = changed_plan()
    history = list(bill_each(plan, "M1", "M2"))
    first = draft_bill(plan, history, ["M3"], part=Decimal("3000.00"))
    assert [(line.title, line.amount) for line in first.lines] == [
        (f"{plan.milestone('M3').name}, in part", Decimal("3000.00"))
    ]
    rest = draft_bill(plan, [*history, *first.lines], ["M3"])
    assert first.amount + rest.amount == Decimal("5792.48")
    for part in ("0.00", "5792.49"):
        with pytest.raises(CannotBill, match="is due there: bill that or a part of it"):
            draft_bill(plan, history, ["M3"], part=Decimal(part))


def test_nothing_is_billed_twice() -> None:
    plan = kitchen_plan()
    with pytest.raises(CannotBill, match="nothing is left to bill"):
        draft_bill(plan, bill_each(plan, "M1"), ["M1"])


def test_a_milestone_named_twice_is_billed_once() -> None:
    assert draft_bill(kitchen_plan(), (), ["M1", "M1"]).amount == Decimal("2521.12")


def test_a_bill_needs_a_milestone() -> None:
    with pytest.raises(CannotBill, match="Choose a milestone"):
        draft_bill(kitchen_plan(), (), [])


def test_a_milestone_beyond_a_contract_cut_down_is_refused_and_what_is_over_is_named() -> None:
    plan = place_alone(halves(), SignedChange("CO", "Half left out", Decimal("-600.00")), "Left out", "Seen")
    history = draft_bill(halves(), (), ["A"]).lines
    assert billing_status(plan, history).over_contract == Decimal("100.00")
    with pytest.raises(CannotBill, match=r"\$1,000\.00, beyond the contract sum of \$400\.00"):
        draft_bill(plan, history, ["B"])
    with pytest.raises(CannotBill, match=r"comes to -\$100\.00: give a credit note of \$100\.00"):
        draft_bill(plan, history, ["B", "CO"])


def test_retainage_is_held_from_each_bill_and_released_by_its_own() -> None:
    plan = kitchen_plan(retainage=Fraction(1, 20))
    history = bill_each(plan, *FIVE, keep_held=True)
    # 126.056, 378.1675, 252.1115, 378.1675 and 126.056, each to the cent
    assert billing_status(plan, history).held == Decimal("1260.57")
    release = draft_release(plan, history)
    assert kinds_and_amounts(release) == [("retainage released", "1260.57")]
    assert [line.title for line in release.lines] == ["Retainage released"]  # as the client reads it
    assert billing_status(plan, [*history, *release.lines]).left == 0


def test_the_last_bill_releases_what_was_held_and_holds_nothing() -> None:
    plan = halves("1000.00", "400.00", retainage=Fraction(1, 10))
    history = bill_each(plan, "A")
    assert not is_last_bill(plan, (), ["A"])
    assert is_last_bill(plan, history, ["B"])
    last = draft_bill(plan, history, ["B"])
    assert kinds_and_amounts(last) == [("milestone", "500.00"), ("retainage released", "50.00")]
    assert last.left_after == 0
    assert sum(line.taxable for line in (*history, *last.lines)) == Decimal("400.00")
    # Taken back in part, it gives back no retainage: none was held from it.
    note = draft_credit(plan, [*history, *last.lines], last.lines, (), {last.lines[0].key: Decimal("100.00")})
    assert kinds_and_amounts(note) == [("milestone", "-100.00")]


def test_a_deposit_that_is_a_milestone_is_billed_whole() -> None:
    """$1,000.00 of $4,000.00 is the deposit: it is billed whole, and a tenth held from the rest."""
    terms = [
        MilestoneTerm("D", "Deposit", "Signed", amount=Decimal("1000.00"), is_deposit=True),
        MilestoneTerm("A", "A", "Seen", amount=Decimal("1000.00")),
        MilestoneTerm("R", "The rest", "Done"),
    ]
    plan = draw_plan(Decimal("4000.00"), terms, retainage=Fraction(1, 10))
    deposit = draft_bill(plan, (), ["D"])
    assert kinds_and_amounts(deposit) == [("milestone", "1000.00")]
    both = draft_bill(plan, (), ["D", "A"])
    assert kinds_and_amounts(both)[2] == ("retainage held", "-100.00")
    # All of A is taken back with all that was held from it, and the deposit stands.
    note = draft_credit(plan, both.lines, both.lines, (), {both.lines[1].key: Decimal("1000.00")})
    assert kinds_and_amounts(note) == [("milestone", "-1000.00"), ("retainage held", "100.00")]


def test_retainage_is_released_in_parts_and_never_more_than_is_held() -> None:
    plan = halves(retainage=Fraction(1, 10))
    history = list(draft_bill(plan, (), ["A"]).lines)
    history += draft_release(plan, history, Decimal("20.00")).lines
    assert billing_status(plan, history).held == Decimal("30.00")
    with pytest.raises(CannotBill, match=r"\$30\.00 of retainage is held"):
        draft_release(plan, history, Decimal("30.01"))
    with pytest.raises(CannotBill, match="No retainage"):
        draft_release(kitchen_plan(), ())


def test_a_deposit_is_taken_off_the_next_bills() -> None:
    plan = halves(deposit=Decimal("600.00"))
    history = list(draft_deposit(plan, ()).lines)
    first = draft_bill(plan, history, ["A"])
    assert kinds_and_amounts(first) == [("milestone", "500.00"), ("deposit applied", "-500.00")]
    assert first.amount == 0
    second = draft_bill(plan, [*history, *first.lines], ["B"])
    assert (second.amount, second.left_after) == (Decimal("400.00"), Decimal(0))


def test_a_deposit_can_be_kept_for_later_bills_while_the_contract_has_room() -> None:
    plan = halves(deposit=Decimal("300.00"))
    history = list(draft_deposit(plan, ()).lines)
    history += draft_bill(plan, history, ["A"], deposit=Decimal(0)).lines
    with pytest.raises(CannotBill, match="beyond the contract sum"):
        draft_bill(plan, history, ["B"], deposit=Decimal("299.99"))
    assert draft_bill(plan, history, ["B"]).amount == Decimal("200.00")


def test_no_more_deposit_is_taken_off_than_is_there_or_than_the_bill() -> None:
    plan = halves(deposit=Decimal("600.00"))
    history = draft_deposit(plan, ()).lines
    with pytest.raises(CannotBill, match=r"\$600\.00 of the deposit is left"):
        draft_bill(plan, history, ["A"], deposit=Decimal("600.01"))
    with pytest.raises(CannotBill, match=r"The bill is \$500\.00"):
        draft_bill(plan, history, ["A"], deposit=Decimal("500.01"))


def test_a_deposit_is_asked_once() -> None:
    plan = halves(deposit=Decimal("600.00"))
    with pytest.raises(CannotBill, match="already"):
        draft_deposit(plan, draft_deposit(plan, ()).lines)
    with pytest.raises(CannotBill, match="asks no deposit"):
        draft_deposit(halves(), ())


def test_tax_bases_of_all_bills_sum_to_the_contract_s() -> None:
    plan = halves("1000.01", "333.33", retainage=Fraction(1, 10), deposit=Decimal("100.00"))
    history = list(draft_deposit(plan, ()).lines)
    for key in ("A", "B"):
        history += draft_bill(plan, history, [key], keep_held=True).lines
    history += draft_release(plan, history).lines
    assert sum(line.taxable for line in history) == Decimal("333.33")


def test_a_deposit_first_in_line_is_billed_as_a_milestone() -> None:
    deposit = MilestoneTerm("D", "Deposit", "Signed", amount=Decimal("100.00"), is_deposit=True)
    plan = draw_plan(Decimal(1000), [deposit, MilestoneTerm("R", "The rest", "List signed off")])
    assert kinds_and_amounts(draft_bill(plan, (), ["D"])) == [("milestone", "100.00")]


@given(
    shares=st.lists(st.integers(1, 60), min_size=1, max_size=8),
    cents=st.integers(1, 10_000_000),
    percent=st.decimals("0.125", "12", places=3),
    held=st.integers(0, 20),
    order=st.randoms(use_true_random=False),
)
def test_the_tax_of_all_bills_comes_to_the_tax_of_the_contract(
    shares: list[int], cents: int, percent: Decimal, held: int, order: Random
) -> None:
    """However the contract is cut up and in whatever order it is billed, retainage last."""
    signed = Decimal(cents).scaleb(-2)
    terms = [
        MilestoneTerm(f"{n}", f"{n}", "Seen.", Fraction(share, sum(shares))) for n, share in enumerate(shares)
    ]
    plan = draw_plan(signed, terms, taxable=signed, retainage=Fraction(held, 100))
    contract_tax = round_cents(Fraction(signed) * Fraction(percent) / 100)
    keys = [milestone.key for milestone in plan.milestones if plan.amount(milestone.key)]
    order.shuffle(keys)
    lines: list[BillLine] = []
    tax = Decimal(0)

    def bill(drawn: Bill) -> Decimal:
        lines.extend(drawn.lines)
        by_rate = round_cents(Fraction(drawn.taxable) * Fraction(percent) / 100)
        return by_rate + tax_correction(plan, lines, drawn.taxable, percent, contract_tax - tax)

    for key in keys:
        tax += bill(draft_bill(plan, lines, [key]))
    if billing_status(plan, lines).held:
        tax += bill(draft_release(plan, lines))
    assert tax == contract_tax


def test_a_deposit_is_taken_off_what_retainage_leaves_of_the_bill() -> None:
    """$500.00 of work less $50.00 retainage leave room for $450.00 of the $600.00: nothing is asked for."""
    plan = halves(retainage=Fraction(1, 10), deposit=Decimal("600.00"))
    history = list(draft_deposit(plan, ()).lines)
    first = draft_bill(plan, history, ["A"])
    assert kinds_and_amounts(first) == [
        ("milestone", "500.00"),
        ("retainage held", "-50.00"),
        ("deposit applied", "-450.00"),
    ]
    assert first.amount == 0
    history += first.lines
    second = draft_bill(plan, history, ["B"], keep_held=True)
    assert kinds_and_amounts(second)[2] == ("deposit applied", "-150.00")
    assert second.amount == Decimal("300.00")
    history += second.lines
    assert draft_release(plan, history).amount == Decimal("100.00")


def test_what_is_left_of_a_deposit_is_taken_off_the_release_of_retainage() -> None:
    plan = halves(retainage=Fraction(1, 10), deposit=Decimal("1000.00"))
    history = list(draft_deposit(plan, ()).lines)
    history += draft_bill(plan, history, ["A", "B"], keep_held=True).lines
    release = draft_release(plan, history)
    assert kinds_and_amounts(release) == [("retainage released", "100.00"), ("deposit applied", "-100.00")]
    assert billing_status(plan, [*history, *release.lines]).deposit_left == 0


def test_retainage_of_a_cent_s_half_is_rounded_up_and_so_is_what_is_taxed_of_it() -> None:
    """10 % of 0.05 is 0.005."""
    plan = draw_plan(Decimal("0.05"), [MilestoneTerm("A", "A", "Seen")], Decimal("0.05"), Fraction(1, 10))
    bill = draft_bill(plan, (), ["A"], keep_held=True)
    assert [(line.amount, line.taxable) for line in bill.lines[1:]] == [(Decimal("-0.01"), Decimal("-0.01"))]


def test_a_late_charge_is_asked_for_beside_the_contract_sum() -> None:
    plan = halves()
    history = bill_each(plan, "A")
    bill = draft_late_charge(plan, history, "Late charge", "Invoice 1", Decimal("9.86"))
    assert (bill.amount, bill.taxable, bill.contract_amount) == (Decimal("9.86"), Decimal(0), Decimal(0))
    assert bill.left_after == Decimal("500.00")
    after = billing_status(plan, [*history, *bill.lines])
    assert (after.billed, after.left) == (Decimal("500.00"), Decimal("500.00"))
    with pytest.raises(CannotBill, match="No late charge is due on invoice 1 now"):
        draft_late_charge(plan, history, "Late charge", "Invoice 1", Decimal("0.00"))


def test_a_cent_of_a_late_charge_is_asked_for() -> None:
    assert draft_late_charge(halves(), (), "Late charge", "Invoice 1", Decimal("0.01")).amount > 0


def test_a_deduction_of_all_that_is_due_makes_a_bill_of_nothing() -> None:
    left = left_to_bill(halves(), ())
    plan = place_with(halves(), SignedChange("CO", "A left out", Decimal("-500.00")), "A", left)
    bill = draft_bill(plan, (), ["A"])
    assert kinds_and_amounts(bill) == [("milestone", "500.00"), ("change", "-500.00")]
    assert bill.amount == 0


def test_work_beyond_the_contract_is_refused_though_retainage_keeps_the_money_below() -> None:
    """$1,000.00 of work less $100.00 retainage is below the $950.00 that a deduction leaves."""
    drawn = halves(retainage=Fraction(1, 10))
    plan = place_alone(drawn, SignedChange("CO", "Less", Decimal("-50.00")), "Less", "Seen")
    with pytest.raises(CannotBill, match=r"\$1,000\.00, beyond the contract sum of \$950\.00"):
        draft_bill(plan, bill_each(drawn, "A"), ["B"])


def test_a_difference_that_rounding_cannot_make_is_not_settled() -> None:
    """Two milestones and two lines can be off by four cents at the most."""
    plan = halves("1000.00", "1000.00")
    lines = bill_each(plan, "A", "B")
    for cents in ("0.04", "-0.04"):
        left = Decimal("41.25") + Decimal(cents)
        assert tax_correction(plan, lines, Decimal(500), Decimal("8.25"), left) == Decimal(cents)
    for cents in ("0.05", "-0.05"):
        left = Decimal("41.25") + Decimal(cents)
        assert tax_correction(plan, lines, Decimal(500), Decimal("8.25"), left) == 0
    assert tax_correction(plan, lines[:1], Decimal(500), Decimal("8.25"), Decimal("41.26")) == 0


def test_a_deposit_of_a_cent_is_asked_for_and_no_release_of_nothing() -> None:
    assert draft_deposit(halves(deposit=Decimal("0.01")), ()).amount == Decimal("0.01")
    plan = halves(retainage=Fraction(1, 10))
    with pytest.raises(CannotBill, match="release that or less"):
        draft_release(plan, bill_each(plan, "A"), Decimal("0.00"))


def test_what_was_credited_of_a_milestone_is_billed_again_with_its_taxed_part() -> None:
    plan = halves("1000.00", "333.33")
    invoice = draft_bill(plan, (), ["A"]).lines
    credit = draft_credit(plan, invoice, invoice, amounts={invoice[0].key: Decimal("100.00")})
    again = draft_bill(plan, [*invoice, *credit.lines], ["A"])
    assert (again.amount, again.taxable) == (Decimal("100.00"), Decimal("33.33"))


def test_what_is_taxed_of_a_release_in_part_is_rounded_half_up() -> None:
    """10 % of 500.00 and of the 166.66 that are taxed are held; 20.00 of the 50.00 hold 6.668 of 16.67."""
    plan = halves("1000.00", "333.33", retainage=Fraction(1, 10))
    history = bill_each(plan, "A")
    assert billing_status(plan, history).held_taxable == Decimal("16.67")
    assert draft_release(plan, history, Decimal("20.00")).taxable == Decimal("6.67")


def test_a_late_charge_names_what_it_is_and_its_invoice() -> None:
    (line,) = draft_late_charge(halves(), (), "Late charge", "Invoice 1", Decimal("9.86")).lines
    assert (line.title, line.change) == ("Late charge", "Invoice 1")
