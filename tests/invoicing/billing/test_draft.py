"""What a bill says, and what can't be billed: twice, unsigned, beyond the contract sum."""

from decimal import Decimal
from fractions import Fraction
from random import Random
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.money.amounts import round_cents
from catalog.money.markup import Markup
from invoicing.billing.credit_note import draft_credit
from invoicing.billing.draft import (
    Bill,
    BillLine,
    CannotBill,
    SoFar,
    cents_to_settle,
    check_redrawn,
    draft_bill,
    draft_deposit,
    draft_release,
    due_now,
    left_to_bill,
    standing,
)
from invoicing.billing.time_and_material import Hours, Receipt, Terms, worth_so_far
from invoicing.milestones.plan import Plan, PlanFault, SignedChange, Term, draw_plan, place_spread, place_with
from tests.invoicing.kitchen import ROT, changed_plan, kitchen_plan, place_alone

FIVE = ("M1", "M2", "M3", "M4", "M5")


def said(bill: Bill) -> list[tuple[str, str]]:
    return [(line.kind.value, str(line.amount)) for line in bill.lines]


def bill_all(plan: Plan, *keys: str) -> list[BillLine]:
    history: list[BillLine] = []
    for key in keys:
        history += draft_bill(plan, history, [key]).lines
    return history


def halves(total: str = "1000.00", taxable: str = "0.00", **terms: Any) -> Plan:
    rows = [Term(key, key, "Seen", Fraction(1, 2)) for key in ("A", "B")]
    return draw_plan(Decimal(total), rows, Decimal(taxable), **terms)


def test_the_demo_kitchen_bills_its_contract_to_the_cent() -> None:
    plan, history, billed = changed_plan(), [], []
    for key in FIVE:
        bill = draft_bill(plan, history, [key])
        history += bill.lines
        billed.append(str(bill.amount))
    assert billed == ["2521.12", "7563.35", "5792.48", "8048.99", "2521.12"]
    assert (standing(plan, history).billed, standing(plan, history).left) == (Decimal("26447.06"), 0)


def test_a_signed_change_is_a_line_of_its_own() -> None:
    bill = draft_bill(changed_plan(), bill_all(changed_plan(), "M1", "M2"), ["M3"])
    assert said(bill) == [("milestone", "5042.23"), ("change", "750.25")]
    assert (bill.before.billed, bill.left_after) == (Decimal("10084.47"), Decimal("10570.11"))


def test_nothing_is_billed_twice() -> None:
    plan = kitchen_plan()
    with pytest.raises(CannotBill, match="nothing is left to bill"):
        draft_bill(plan, bill_all(plan, "M1"), ["M1"])


def test_a_milestone_named_twice_is_billed_once() -> None:
    assert draft_bill(kitchen_plan(), (), ["M1", "M1"]).amount == Decimal("2521.12")


def test_a_bill_needs_a_milestone() -> None:
    with pytest.raises(CannotBill, match="Choose a milestone"):
        draft_bill(kitchen_plan(), (), [])


def test_a_milestone_beyond_a_contract_cut_down_is_refused_and_what_is_over_is_named() -> None:
    plan = place_alone(halves(), SignedChange("CO", "Half left out", Decimal("-600.00")), "Left out", "Seen")
    history = draft_bill(halves(), (), ["A"]).lines
    assert standing(plan, history).beyond == Decimal("100.00")
    with pytest.raises(CannotBill, match=r"\$1,000\.00, beyond the contract sum of \$400\.00"):
        draft_bill(plan, history, ["B"])
    with pytest.raises(CannotBill, match=r"comes to -\$100\.00: give a credit note of \$100\.00"):
        draft_bill(plan, history, ["B", "CO"])


def test_retainage_is_held_from_each_bill_and_released_by_its_own() -> None:
    plan = kitchen_plan(retainage=Fraction(1, 20))
    history: list[BillLine] = []
    for key in FIVE:
        history += draft_bill(plan, history, [key]).lines
    # 126.056, 378.1675, 252.1115, 378.1675 and 126.056, each to the cent
    assert standing(plan, history).held == Decimal("1260.57")
    release = draft_release(plan, history)
    assert said(release) == [("retainage released", "1260.57")]
    assert standing(plan, [*history, *release.lines]).left == 0


def test_retainage_is_released_in_parts_and_never_more_than_is_held() -> None:
    plan = halves(retainage=Fraction(1, 10))
    history = list(draft_bill(plan, (), ["A"]).lines)
    history += draft_release(plan, history, Decimal("20.00")).lines
    assert standing(plan, history).held == Decimal("30.00")
    with pytest.raises(CannotBill, match=r"\$30\.00 of retainage is held"):
        draft_release(plan, history, Decimal("30.01"))
    with pytest.raises(CannotBill, match="No retainage"):
        draft_release(kitchen_plan(), ())


def test_a_deposit_is_taken_off_the_next_bills() -> None:
    plan = halves(deposit=Decimal("600.00"))
    history = list(draft_deposit(plan, ()).lines)
    first = draft_bill(plan, history, ["A"])
    assert (said(first), first.amount) == ([("milestone", "500.00"), ("deposit applied", "-500.00")], 0)
    second = draft_bill(plan, [*history, *first.lines], ["B"])
    assert (second.amount, second.left_after) == (Decimal("400.00"), 0)


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
        history += draft_bill(plan, history, [key]).lines
    history += draft_release(plan, history).lines
    assert sum(line.taxable for line in history) == Decimal("333.33")


def test_a_whole_credit_note_takes_every_line_back_and_the_milestone_can_be_billed_again() -> None:
    plan = halves(retainage=Fraction(1, 10))
    invoice = draft_bill(plan, (), ["A"]).lines
    credit = draft_credit(plan, invoice, invoice)
    assert said(credit) == [("milestone", "-500.00"), ("retainage held", "50.00")]
    assert draft_bill(plan, [*invoice, *credit.lines], ["A"]).amount == Decimal("450.00")


def test_a_credit_in_part_gives_retainage_back_in_proportion() -> None:
    plan = halves(retainage=Fraction(1, 10))
    invoice = draft_bill(plan, (), ["A"]).lines
    credit = draft_credit(plan, invoice, invoice, amounts={invoice[0].place: Decimal("33.33")})
    assert said(credit) == [("milestone", "-33.33"), ("retainage held", "3.33")]
    rest = draft_credit(plan, [*invoice, *credit.lines], invoice, credit.lines)
    assert standing(plan, [*invoice, *credit.lines, *rest.lines]).held == 0


def test_retainage_on_what_is_not_taxed_is_given_back_without_tax() -> None:
    """$500.00 of the first half are taxed; a change of $100.00 with it isn't."""
    half = halves(taxable="1000.00", retainage=Fraction(1, 10))
    plan = place_with(half, SignedChange("CO", "Sill", Decimal("100.00")), "A", left_to_bill(half, ()))
    invoice = draft_bill(plan, (), ["A"]).lines
    credit = draft_credit(plan, invoice, invoice, amounts={invoice[1].place: Decimal("60.00")})
    assert said(credit) == [("change", "-60.00"), ("retainage held", "6.00")]
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
        draft_credit(plan, invoice, invoice, amounts={invoice[0].place: Decimal("500.01")})


def test_a_deduction_alone_is_not_credited() -> None:
    plan = place_alone(halves(), SignedChange("CO", "Trims left out", Decimal("-100.00")), "Trims", "Seen")
    invoice = draft_bill(plan, (), ["A", "CO"]).lines
    with pytest.raises(CannotBill, match=r"add \$100\.00 to what is owed"):
        draft_credit(plan, invoice, invoice, amounts={invoice[1].place: Decimal("-100.00")})
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


def test_a_plan_drawn_anew_keeps_what_is_billed() -> None:
    history = bill_all(kitchen_plan(), "M1")
    check_redrawn(kitchen_plan(), history)
    with pytest.raises(PlanFault, match="can't go below"):
        check_redrawn(draw_plan(Decimal(100), [Term("M1", "Signed", "Seen")]), history)
    with pytest.raises(PlanFault, match=r"^Signed is billed with \$2,521.12: it must stay in the plan"):
        check_redrawn(draw_plan(Decimal(100), [Term("N", "Other", "Seen")]), history)


def test_a_change_is_spread_only_over_what_is_not_billed() -> None:
    history = bill_all(kitchen_plan(), "M1", "M2", "M3")
    plan = place_spread(kitchen_plan(), ROT, left_to_bill(kitchen_plan(), history))
    assert {part.milestone for part in plan.parts} == {"M4", "M5"}
    assert draft_bill(plan, history, ["M4", "M5"]).amount == Decimal("10834.72")


JOIST = Terms(Decimal("80.00"), Markup(Decimal(20)), Decimal("354.25"))
SCREWS = Receipt(Decimal("26.80"), Decimal("1.74"), "2x10x8 and structural screws")


def measured_plan() -> Plan:
    change = SignedChange("T", "Sister one joist", JOIST.limit, by_measure=True)
    return place_alone(kitchen_plan(), change, "Joist", "Joist bolted")


def test_hours_and_receipts_are_priced_to_the_cent_each() -> None:
    worth = worth_so_far(JOIST, [Hours(Decimal("4"))], [SCREWS])
    assert (worth.hours, worth.receipts) == ((Decimal("320.00"),), (Decimal("34.25"),))
    assert worth.beyond == 0


def test_hours_and_receipts_are_billed_as_they_come_and_once() -> None:
    plan = measured_plan()
    hours = worth_so_far(JOIST, [Hours(Decimal("1.5"))], []).billable
    first = draft_bill(plan, (), ["T"], {"T": SoFar(hours)})
    assert first.amount == Decimal("120.00")
    worth = worth_so_far(JOIST, [Hours(Decimal("1.5"))], [SCREWS]).billable
    assert draft_bill(plan, first.lines, ["T"], {"T": SoFar(worth)}).amount == Decimal("34.25")
    with pytest.raises(CannotBill, match="nothing is left"):
        draft_bill(plan, first.lines, ["T"], {"T": SoFar(Decimal("120.00"))})


def test_hours_beyond_the_limit_are_shown_and_not_billed() -> None:
    worth = worth_so_far(JOIST, [Hours(Decimal("5"))], [SCREWS])
    assert (worth.total, worth.billable, worth.beyond) == tuple(map(Decimal, ("434.25", "354.25", "80.00")))
    assert draft_bill(measured_plan(), (), ["T"], {"T": SoFar(worth.total)}).amount == Decimal("354.25")


def test_a_change_by_the_hour_is_taxed_on_what_was_bought_and_never_on_more_than_was_signed() -> None:
    change = SignedChange("T", "One joist", Decimal("400.00"), Decimal("80.00"), by_measure=True)
    plan = place_alone(kitchen_plan(), change, "Joist", "Joist bolted")
    hours = draft_bill(plan, (), ["T"], {"T": SoFar(Decimal("120.00"))})
    assert (hours.amount, hours.taxable) == (Decimal("120.00"), Decimal("0.00"))
    bought = draft_bill(plan, hours.lines, ["T"], {"T": SoFar(Decimal("180.00"), Decimal("60.00"))})
    assert (bought.amount, bought.taxable) == (Decimal("60.00"), Decimal("60.00"))
    history = [*hours.lines, *bought.lines]
    most = draft_bill(plan, history, ["T"], {"T": SoFar(Decimal("500.00"), Decimal("200.00"))})
    assert (most.amount, most.taxable) == (Decimal("220.00"), Decimal("20.00"))


def test_hours_below_zero_are_refused() -> None:
    with pytest.raises(ValueError, match="below zero"):
        worth_so_far(JOIST, [Hours(Decimal("-1"))], [])


def test_a_deposit_first_in_line_is_billed_as_a_milestone() -> None:
    deposit = Term("D", "Deposit", "Signed", amount=Decimal("100.00"), is_deposit=True)
    plan = draw_plan(Decimal(1000), [deposit, Term("R", "The rest", "List signed off")])
    assert said(draft_bill(plan, (), ["D"])) == [("milestone", "100.00")]


def test_only_what_has_come_of_a_change_by_the_hour_is_due_now() -> None:
    by_the_hour = SignedChange("CO-3", "Hunt the leak", Decimal("400.00"), by_measure=True)
    plan = place_alone(kitchen_plan(), by_the_hour, "Hunt the leak", "The leak is found.")
    assert due_now(plan, (), "CO-3") == Decimal("0.00")
    assert due_now(plan, (), "CO-3", {"CO-3": SoFar(Decimal("120.50"))}) == Decimal("120.50")


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
    terms = [Term(f"{n}", f"{n}", "Seen.", Fraction(each, sum(shares))) for n, each in enumerate(shares)]
    plan = draw_plan(signed, terms, taxable=signed, retainage=Fraction(held, 100))
    contract_tax = round_cents(Fraction(signed) * Fraction(percent) / 100)
    keys = [each.key for each in plan.milestones if plan.amount(each.key)]
    order.shuffle(keys)
    lines: list[BillLine] = []
    tax = Decimal(0)

    def bill(drawn: Bill) -> Decimal:
        lines.extend(drawn.lines)
        by_rate = round_cents(Fraction(drawn.taxable) * Fraction(percent) / 100)
        return by_rate + cents_to_settle(plan, lines, drawn.taxable, percent, contract_tax - tax)

    for key in keys:
        tax += bill(draft_bill(plan, lines, [key]))
    if standing(plan, lines).held:
        tax += bill(draft_release(plan, lines))
    assert tax == contract_tax
