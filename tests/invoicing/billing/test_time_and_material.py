"""Changes that are billed by hours and receipts, up to their limit."""

from dataclasses import replace
from decimal import Decimal

import pytest

from catalog.money.markup import Markup
from invoicing.billing.draft import CannotBill, EarnedSoFar, draft_bill, due_now
from invoicing.billing.time_and_material import (
    HoursEntry,
    ReceiptEntry,
    TimeAndMaterialTerms,
    price_time_and_material,
)
from invoicing.milestones.plan import ChangePart, Plan, SignedChange
from tests.invoicing.billing.plans import kinds_and_amounts
from tests.invoicing.kitchen import kitchen_plan, place_alone

JOIST = TimeAndMaterialTerms(Decimal("80.00"), Markup(Decimal(20)), Decimal("354.25"))
SCREWS = ReceiptEntry(Decimal("26.80"), Decimal("1.74"))  # 2x10x8 and structural screws


def time_and_material_plan() -> Plan:
    change = SignedChange("T", "Sister one joist", JOIST.limit, is_time_and_material=True)
    return place_alone(kitchen_plan(), change, "Joist", "Joist bolted")


def test_hours_and_receipts_are_priced_to_the_cent_each() -> None:
    price = price_time_and_material(JOIST, [HoursEntry(Decimal("4"))], [SCREWS])
    assert (price.hours, price.receipts) == ((Decimal("320.00"),), (Decimal("34.25"),))
    assert price.over_limit == 0


def test_hours_and_receipts_are_billed_as_they_come_and_once() -> None:
    plan = time_and_material_plan()
    hours = price_time_and_material(JOIST, [HoursEntry(Decimal("1.5"))], []).billable
    first = draft_bill(plan, (), ["T"], {"T": EarnedSoFar(hours)})
    assert first.amount == Decimal("120.00")
    both = price_time_and_material(JOIST, [HoursEntry(Decimal("1.5"))], [SCREWS]).billable
    assert draft_bill(plan, first.lines, ["T"], {"T": EarnedSoFar(both)}).amount == Decimal("34.25")
    with pytest.raises(CannotBill, match="nothing is left"):
        draft_bill(plan, first.lines, ["T"], {"T": EarnedSoFar(Decimal("120.00"))})


def test_hours_beyond_the_limit_are_shown_and_not_billed() -> None:
    price = price_time_and_material(JOIST, [HoursEntry(Decimal("5"))], [SCREWS])
    assert (price.total, price.billable, price.over_limit) == tuple(
        map(Decimal, ("434.25", "354.25", "80.00"))
    )
    bill = draft_bill(time_and_material_plan(), (), ["T"], {"T": EarnedSoFar(price.total)})
    assert bill.amount == Decimal("354.25")


def test_a_change_by_the_hour_is_taxed_on_what_was_bought_and_never_on_more_than_was_signed() -> None:
    change = SignedChange("T", "One joist", Decimal("400.00"), Decimal("80.00"), is_time_and_material=True)
    plan = place_alone(kitchen_plan(), change, "Joist", "Joist bolted")
    hours = draft_bill(plan, (), ["T"], {"T": EarnedSoFar(Decimal("120.00"))})
    assert (hours.amount, hours.taxable) == (Decimal("120.00"), Decimal("0.00"))
    bought = draft_bill(plan, hours.lines, ["T"], {"T": EarnedSoFar(Decimal("180.00"), Decimal("60.00"))})
    assert (bought.amount, bought.taxable) == (Decimal("60.00"), Decimal("60.00"))
    history = [*hours.lines, *bought.lines]
    most = draft_bill(plan, history, ["T"], {"T": EarnedSoFar(Decimal("500.00"), Decimal("200.00"))})
    assert (most.amount, most.taxable) == (Decimal("220.00"), Decimal("20.00"))


def test_hours_below_zero_are_refused() -> None:
    with pytest.raises(ValueError, match="below zero"):
        price_time_and_material(JOIST, [HoursEntry(Decimal("-1"))], [])


def test_only_what_has_come_of_a_change_by_the_hour_is_due_now() -> None:
    by_the_hour = SignedChange("CO-3", "Hunt the leak", Decimal("400.00"), is_time_and_material=True)
    plan = place_alone(kitchen_plan(), by_the_hour, "Hunt the leak", "The leak is found.")
    assert due_now(plan, (), "CO-3") == Decimal("0.00")
    assert due_now(plan, (), "CO-3", {"CO-3": EarnedSoFar(Decimal("120.50"))}) == Decimal("120.50")


def test_each_entry_is_rounded_half_up() -> None:
    """A tenth of an hour at $80.05 is 8.005; 0.05 with 10 % on top is 0.055."""
    terms = TimeAndMaterialTerms(Decimal("80.05"), Markup(Decimal(10)), Decimal("100.00"))
    price = price_time_and_material(terms, [HoursEntry(Decimal("0.1"))], [ReceiptEntry(Decimal("0.05"))])
    assert (price.hours, price.receipts) == ((Decimal("8.01"),), (Decimal("0.06"),))
    assert price.material == Decimal("0.06")


def test_what_was_given_back_at_the_store_may_not_bring_a_receipt_below_zero() -> None:
    price_time_and_material(JOIST, [HoursEntry(Decimal(0))], [ReceiptEntry(Decimal(-1), Decimal(1))])
    with pytest.raises(ValueError, match="below zero"):
        price_time_and_material(JOIST, [], [ReceiptEntry(Decimal("-1.00"), Decimal("0.99"))])


def test_time_and_material_that_fell_below_what_is_billed_takes_nothing_off() -> None:
    """An entry was deleted after it was billed: the bill stands until a credit note."""
    plan = time_and_material_plan()
    first = draft_bill(plan, (), ["T"], {"T": EarnedSoFar(Decimal("120.00"))})
    assert due_now(plan, first.lines, "T", {"T": EarnedSoFar(Decimal("40.00"))}) == 0


def test_the_fixed_part_of_a_change_and_its_hours_are_billed_apart_on_one_milestone() -> None:
    fixed = SignedChange("CO", "Rot", Decimal("60.00"))
    hours = SignedChange("CO-T", "Rot, by the hour", Decimal("90.00"), is_time_and_material=True)
    plan = place_alone(kitchen_plan(), fixed, "Rot", "The rot is gone.")
    plan = replace(
        plan,
        changes=(*plan.changes, hours),
        parts=(*plan.parts, ChangePart("CO-T", "CO", Decimal("90.00"))),
    )
    first = draft_bill(plan, (), ["CO"], {"CO-T": EarnedSoFar(Decimal("30.00"))})
    assert kinds_and_amounts(first) == [("change", "60.00"), ("change", "30.00")]
    second = draft_bill(plan, first.lines, ["CO"], {"CO-T": EarnedSoFar(Decimal("50.00"))})
    assert [(line.change, line.amount) for line in second.lines] == [("CO-T", Decimal("20.00"))]
