"""Cabinets screwed to studs: counted by hand on walls of plain numbers."""

from dataclasses import replace

import pytest

from catalog.measures.lengths import NM_PER_INCH as IN
from estimating.cabinets.units import Unit
from estimating.rooms.elevation import elevation_in_words, elevation_svg
from estimating.rooms.outline import LEFT, Leg
from estimating.rooms.plan import Footprint, Framing, RoomPlan
from estimating.rooms.stud_screws import screwed_units, studs_in
from tests.specs import room

HUNG = Footprint(
    "Wall cabinets",
    "hung",
    0,
    0,
    72 * IN,
    12 * IN,
    30 * IN,
    bottom_nm=54 * IN,
    units=(Unit("cabinet", 12 * IN), Unit("cabinet", 30 * IN), Unit("cabinet", 30 * IN)),
)


def kitchen(first: int | None = 16) -> RoomPlan:
    studs = Framing(16 * IN, None if first is None else first * IN)
    return room("12'", "10'", footprints=(HUNG,), studs=studs)


def test_studs_are_counted_from_the_left_corner() -> None:
    assert [at // IN for at in studs_in(kitchen(7), 0)] == [7, 23, 39, 55, 71, 87, 103, 119, 135]
    assert studs_in(room("12'", "10'"), 0) == ()
    # not measured: one space from the corner
    assert [at // IN for at in studs_in(kitchen(None), 0)][:3] == [0, 16, 32]


def test_the_left_corner_is_the_walls_end_where_the_room_was_walked_the_other_way() -> None:
    legs = tuple(Leg(length * IN, LEFT) for length in (144, 120, 144, 120))
    walked = replace(kitchen(7), legs=legs, footprints=())
    assert [at // IN for at in studs_in(walked, 0)] == [137, 121, 105, 89, 73, 57, 41, 25, 9]


def test_screws_go_where_a_stud_is_behind_a_cabinet_clear_of_its_sides() -> None:
    behind = [[at // IN for at in unit.studs] for unit in screwed_units(kitchen(), 0)]
    # 12 in: 0 to 12, no stud but the one in the corner; 30 in: to 42; 30 in: to 72
    assert behind == [[], [16, 32], [48, 64]]
    # at 41-1/2 in the stud is behind the side of 3/4 in
    off = replace(kitchen(), studs=Framing(16 * IN, 19 * IN // 2))
    assert [len(unit.studs) for unit in screwed_units(off, 0)] == [1, 1, 1]


def test_the_rails_of_a_wall_cabinet_are_at_its_top_and_bottom() -> None:
    (unit, *_) = screwed_units(kitchen(), 0)
    assert [height / IN for height in unit.heights] == [55.5, 82.5]


def test_a_cabinet_without_a_stud_is_named() -> None:
    words = elevation_in_words(kitchen(), 0)
    assert 'Studs 16" apart, the first 16" from the left corner.' in words
    assert 'Wall cabinets that meet no stud, at 0" from the start: put blocking in the wall behind.' in words
    assert "stud" not in elevation_in_words(replace(kitchen(), studs=None), 0)


@pytest.mark.parametrize("studs", [None, Framing(16 * IN)])
def test_the_elevation_draws_studs_and_screws_where_they_are_known(studs: Framing | None) -> None:
    svg = elevation_svg(replace(kitchen(), studs=studs), 0)
    assert svg.count('class="plan-stud"') == (9 if studs else 0)
    assert svg.count('class="plan-screw"') == (4 * 2 * 2 if studs else 0)
