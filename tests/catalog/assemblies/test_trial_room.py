from fractions import Fraction

import pytest

from catalog.assemblies.trial_room import trial_room
from catalog.measures.room_measures import MEASURES


@pytest.mark.parametrize("measure", sorted(MEASURES))
def test_a_trial_room_has_the_amount_asked_for_and_every_other_measure(measure: str) -> None:
    room, _ = trial_room(measure, Fraction(96))
    assert room.amount(measure) == 96
    assert all(room.has(code) for code in MEASURES)


def test_a_trial_of_a_perimeter_is_the_square_room_around_it() -> None:
    room, floor_sqft = trial_room("base", Fraction(40))
    assert (room.amount("floor"), floor_sqft) == (100, 100)


def test_a_trial_of_walls_is_the_square_room_that_has_them() -> None:
    room, _ = trial_room("wall_net", Fraction(320))
    assert room.amount("floor") == 100
    assert room.amount("wall_gross") == 320


def test_a_trial_marks_all_but_the_amount_as_estimated() -> None:
    room, _ = trial_room("floor", Fraction(100))
    assert "floor" not in room.estimated
    assert {"base", "doors", "joint"} <= room.estimated
