"""The best, likely and worst hours of a work item."""

from fractions import Fraction

import pytest

from catalog.measures.room_measures import MeasureSet
from estimating.ranges.spread import Spread
from estimating.ranges.work import spread_of
from estimating.takeoff.takeoff import take_off
from estimating.takeoff.work import Override, Work
from tests.specs import assembly, operation, uses


def item_spread(**fields: object) -> Spread:
    tile = operation(
        "set tile",
        "10 hours per 100 sq ft",
        "sq ft",
        low=Fraction(8, 100),
        high=Fraction(18, 100),
        set_up_hours=Fraction(1),
    )
    work = Work(
        "1",
        "Tile",
        "floor",
        assembly=assembly("tile", "floor", uses(tile)),
        overrides=(Override("floor", Fraction(100), ""),),
        **fields,  # type: ignore[arg-type]
    )
    (item,) = take_off({}, [work]).items
    assert item.measures != MeasureSet()
    return spread_of(item)


def test_labor_is_added_at_its_best_and_worst_hours_and_its_set_up_stays() -> None:
    assert item_spread() == Spread(9, 11, 19)


def test_hours_typed_by_hand_get_the_usual_spread() -> None:
    spread = item_spread(extra_hours=Fraction(10))
    assert spread.best == pytest.approx(9 + 6.7)
    assert spread.worst == pytest.approx(19 + 16.7)
