"""Where signed changes are billed, and what they may come to."""

from decimal import Decimal

import pytest

from invoicing.billing.status import left_to_bill
from invoicing.milestones.change_placement import (
    place_last,
    place_spread,
    place_with,
    settle_time_and_material,
)
from invoicing.milestones.plan import PlanFault, SignedChange
from tests.invoicing.kitchen import CABINETS, ROT, SURPRISE, changed_plan, kitchen_plan, place_alone


def test_a_change_is_spread_over_what_is_still_to_be_billed() -> None:
    left = {"M4": Decimal("300.00"), "M5": Decimal("100.00")}
    plan = place_spread(kitchen_plan(), SignedChange("CO", "More", Decimal("10.01")), left)
    parts = {part.milestone: str(part.amount) for part in plan.parts}
    assert parts == {"M4": "7.51", "M5": "2.50"}


def test_a_change_for_the_last_goes_to_the_last_that_is_open() -> None:
    left = {**left_to_bill(kitchen_plan(), ()), "M5": Decimal(0)}
    assert place_last(kitchen_plan(), CABINETS, left).amount("M4") == Decimal("8048.99")


def test_a_deduction_is_not_spread_over_less_than_it_takes_off() -> None:
    with pytest.raises(PlanFault, match=r"deducts \$161.03, and \$100.00 is left"):
        place_spread(kitchen_plan(), SURPRISE, {"M5": Decimal("100.00")})


def test_a_change_has_no_place_with_a_milestone_that_is_billed() -> None:
    with pytest.raises(PlanFault, match="billed already"):
        place_with(kitchen_plan(), ROT, "M1", {"M1": Decimal("0.00")})
    with pytest.raises(PlanFault, match="Every milestone is billed"):
        place_spread(kitchen_plan(), ROT, {})


def test_a_change_is_placed_once() -> None:
    with pytest.raises(PlanFault, match="in the schedule already"):
        place_with(changed_plan(), ROT, "M5", left_to_bill(changed_plan(), ()))


def test_a_measured_change_ends_at_what_it_came_to() -> None:
    limit = SignedChange("T", "Sister joists", Decimal("320.00"), Decimal("80.00"), is_time_and_material=True)
    alone = place_alone(kitchen_plan(), limit, "Joists", "Sound")
    plan = settle_time_and_material(alone, "T", Decimal("240"), Decimal("32.16"), Decimal("160"))
    assert (plan.amount("T"), plan.parts[0].taxable) == (Decimal(240), Decimal("32.16"))
    for ends_at in ("159.99", "320.01"):
        with pytest.raises(PlanFault, match="between"):
            settle_time_and_material(alone, "T", Decimal(ends_at), Decimal(0), Decimal(160))
    with pytest.raises(PlanFault, match="fixed price"):
        settle_time_and_material(changed_plan(), "CO-1", Decimal(1), Decimal(0), Decimal(0))


def test_a_deduction_may_take_off_all_that_is_left() -> None:
    plan = place_with(kitchen_plan(), SURPRISE, "M5", {"M5": Decimal("161.03")})
    assert plan.amount("M5") == Decimal("2360.09")


def test_a_cent_that_is_left_keeps_a_milestone_open() -> None:
    left = {"M4": Decimal("0.01"), "M5": Decimal("0.01")}
    assert place_with(kitchen_plan(), ROT, "M4", left).amount("M4") == Decimal("8313.60")
    spread = place_spread(kitchen_plan(), SignedChange("CO", "More", Decimal("0.02")), left)
    assert [str(part.amount) for part in spread.parts] == ["0.01", "0.01"]


def test_a_deduction_is_spread_with_what_is_taxed_of_it() -> None:
    """Three quarters and one quarter of 10.00, and of the 5.01 that are taxed."""
    left = {"M4": Decimal("300.00"), "M5": Decimal("100.00")}
    less = SignedChange("CO", "Less", Decimal("-10.00"), Decimal("-5.01"))
    parts = place_spread(kitchen_plan(), less, left).parts
    assert [(str(part.amount), str(part.taxable)) for part in parts] == [
        ("-7.50", "-3.76"),
        ("-2.50", "-1.25"),
    ]


def test_time_and_material_is_not_spread() -> None:
    left = {"M4": Decimal("300.00"), "M5": Decimal("100.00")}
    hours = SignedChange("T", "Sister joists", Decimal("320.00"), is_time_and_material=True)
    with pytest.raises(PlanFault, match="billed by hours and receipts: give it a line of its own"):
        place_spread(kitchen_plan(), hours, left)
    assert place_with(kitchen_plan(), hours, "M5", left).amount("M5") == Decimal("2841.12")


def test_a_time_and_material_change_may_end_at_what_is_billed_and_at_its_limit() -> None:
    limit = SignedChange("T", "Sister joists", Decimal("320.00"), is_time_and_material=True)
    alone = place_alone(kitchen_plan(), limit, "Joists", "Sound")
    for ends_at in ("160.00", "320.00"):
        plan = settle_time_and_material(alone, "T", Decimal(ends_at), Decimal(0), Decimal(160))
        assert plan.amount("T") == Decimal(ends_at)
