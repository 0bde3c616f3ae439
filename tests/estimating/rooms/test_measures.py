"""Measures of rooms: examples by hand, an independent geometry library, and properties."""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.measures.lengths import NM_PER_FOOT, NM_PER_INCH
from catalog.measures.room_measures import DeductRule
from estimating.rooms.faults import (
    BadCount,
    ColumnTooLarge,
    FootprintTooLarge,
    NoSuchWall,
    OpeningTooLarge,
    UnknownKind,
    check_plan,
    plan_faults,
)
from estimating.rooms.measures import measure
from estimating.rooms.outline import BadLength, Leg, PlanError, wall_letter
from estimating.rooms.plan import Column, Footprint, Opening, RoomPlan, l_shape, rectangle

IN, FT = NM_PER_INCH, NM_PER_FOOT
HEIGHT = 96 * IN

Corner = tuple[int, int]


def legs_round(ring: list[Corner], unit_nm: int = IN) -> tuple[Leg, ...]:
    """Return the walls round a rectilinear ring, from its first corner."""
    sides = [(bx - ax, by - ay) for (ax, ay), (bx, by) in pairwise([*ring, ring[0]])]
    legs = []
    for (x, y), (next_x, next_y) in pairwise([*sides, sides[0]]):
        cross = x * next_y - y * next_x
        turn = Decimal(90 if cross < 0 else -90 if cross > 0 else 0)
        legs.append(Leg((abs(x) + abs(y)) * unit_nm, turn))
    return tuple(legs)


@st.composite
def rings(draw: st.DrawFn) -> list[Corner]:
    """Return a clockwise rectilinear ring in whole inches: a row of bays, each with its own top and foot."""
    size = st.integers(6, 90)
    bays = draw(st.lists(st.tuples(size, size, size), min_size=1, max_size=6))
    tops: list[Corner] = []
    feet: list[Corner] = []
    x = 0
    for wide, top, foot in bays:
        tops += [(x, top), (x + wide, top)]
        feet += [(x, -foot), (x + wide, -foot)]
        x += wide
    ring = tops + feet[::-1]
    return [point for before, point in pairwise([ring[-1], *ring]) if point != before]


def kitchen() -> RoomPlan:
    """Return 13'-4" x 10'-8" x 8'-0": a window, a cased opening and a back door; cabinets on A and B."""
    return RoomPlan(
        "Kitchen",
        rectangle(160 * IN, 128 * IN),
        HEIGHT,
        openings=(
            Opening("Window", "window", 0, 60 * IN, 40 * IN, 42 * IN),
            Opening("Opening", "cased", 2, 36 * IN, 80 * IN),
            Opening("Back door", "door", 3, 36 * IN, 80 * IN),
        ),
        footprints=(
            Footprint("Sink run", "cabinets", 0, 0, 160 * IN, 24 * IN, 36 * IN, off_base=True),
            Footprint("Range run", "cabinets", 1, 0, 128 * IN, 24 * IN, 36 * IN, off_base=True),
        ),
    )


def test_kitchen_measures() -> None:
    measured = measure(kitchen())
    assert measured.amount("floor") == Fraction(160 * 128, 144)
    assert measured.amount("ceiling") == Fraction(160 * 128, 144)
    assert measured.amount("floor_perimeter") == 48
    assert measured.amount("wall_gross") == 384
    assert measured.amount("wall_net") == 384 - Fraction(60 * 40 + 2 * 36 * 80, 144)
    assert measured.amount("base") == 18
    assert measured.amount("opening_trim") == 49 + Fraction(4, 12)
    assert measured.amount("doors") == 1
    assert measured.amount("windows") == 1


@pytest.mark.parametrize(("wall", "net_sqft"), [(0, 90.0), (1, 85.3), (2, 86.7), (3, 65.3)])
def test_kitchen_walls_one_by_one(wall: int, net_sqft: float) -> None:
    assert measure(kitchen(), frozenset({wall})).amount("wall_net") == pytest.approx(net_sqft, abs=0.05)


def test_l_shaped_bath_measured_from_the_door() -> None:
    bath = RoomPlan("Bath", l_shape(98 * IN, 189 * IN // 2, 38 * IN, 30 * IN), 93 * IN)
    assert [leg.length_nm * 2 // IN for leg in bath.legs] == [196, 189, 120, 60, 76, 129]
    assert measure(bath).amount("floor_perimeter") == 32 + Fraction(1, 12)
    assert measure(bath).amount("floor") == Fraction(98 * 189, 288) - Fraction(38 * 30, 144)


DOOR_30 = Opening("Door", "door", 0, 30 * IN, 80 * IN)
WINDOW = Opening("Window", "window", 1, 36 * IN, 48 * IN, 36 * IN)
TEN_BY_TWELVE = RoomPlan(
    "Room", legs_round([(0, 0), (120, 0), (120, 144), (0, 144)]), HEIGHT, (DOOR_30, WINDOW), device_boxes=6
)
SMALL_L = RoomPlan(
    "Small L",
    legs_round([(0, 0), (150, 0), (150, 80), (90, 80), (90, 130), (0, 130)]),
    HEIGHT,
    (Opening("Door", "door", 0, 32 * IN, 80 * IN),),
    device_boxes=4,
)
WITH_COLUMN = RoomPlan(
    "Column",
    legs_round([(0, 0), (200, 0), (200, 160), (0, 160)]),
    HEIGHT,
    (Opening("Door", "door", 0, 36 * IN, 80 * IN),),
    columns=(Column(12 * IN, 12 * IN),),
    device_boxes=2,
)


@pytest.mark.parametrize(
    ("plan", "least_sqft", "expected"),
    [
        (TEN_BY_TWELVE, 0, (120.0, 44.0, 4, 0, 352.0, 323.3333, 186.5833)),
        (TEN_BY_TWELVE, 15, (120.0, 44.0, 4, 0, 352.0, 335.3333, 186.5833)),
        (SMALL_L, 0, (114.5833, 46.6667, 5, 1, 373.3333, 355.5556, 191.5)),
        (WITH_COLUMN, 0, (221.2222, 64.0, 4, 4, 512.0, 492.0, 207.75)),
    ],
    ids=["every opening", "openings of 15 sq ft", "L", "column"],
)
def test_rooms_computed_twice_elsewhere(plan: RoomPlan, least_sqft: int, expected: tuple[float, ...]) -> None:
    measured = measure(plan)
    codes = ("floor", "floor_perimeter", "inside_corners", "outside_corners", "wall_gross")
    amounts = [measured.amount(code) for code in codes]
    amounts += [measured.amount("wall_net", DeductRule("above", Fraction(least_sqft)))]
    amounts += [measured.amount("cut_in")]
    assert [float(amount) for amount in amounts] == pytest.approx(expected, abs=1e-3)


def test_a_pass_through_and_a_window_keep_the_base_under_them() -> None:
    openings = (
        Opening("Pass-through", "cased", 0, 4 * FT, 3 * FT, 3 * FT),
        Opening("Window", "window", 1, 3 * FT, 3 * FT, 3 * FT),
    )
    measured = measure(RoomPlan("Room", rectangle(10 * FT, 10 * FT), HEIGHT, openings))
    assert measured.amount("base") == 40
    assert measured.amount("opening_trim") == 14 + 12


def test_footprints_come_off_only_what_they_say() -> None:
    tub = Footprint("Tub", "tub", 2, 0, 5 * FT, 30 * IN, 20 * IN, off_floor=True, off_base=True)
    island = Footprint("Island", "island", None, None, 4 * FT, 2 * FT, off_floor=True, off_base=True)
    shelves = Footprint("Shelves", "other", 1, 0, 3 * FT, 1 * FT, 6 * FT, off_walls=True)
    measured = measure(
        RoomPlan("Room", rectangle(10 * FT, 8 * FT), HEIGHT, footprints=(tub, island, shelves))
    )
    assert measured.amount("floor") == 80 - Fraction(25, 2) - 8
    assert measured.amount("ceiling") == 80
    assert measured.amount("base") == 36 - 5
    assert measured.amount("wall_gross") == 36 * 8 - 18


def test_cabinets_hide_walls_only_where_the_firm_says_so() -> None:
    assert measure(kitchen()).amount("wall_gross") == 384
    hidden = measure(kitchen(), cabinets_hide_walls=True)
    assert hidden.amount("wall_gross") == 384 - 3 * Fraction(160 + 128, 12)


def test_cabinets_never_hide_more_wall_than_openings_leave() -> None:
    plan = RoomPlan(
        "Room",
        rectangle(10 * FT, 8 * FT),
        HEIGHT,
        (Opening("Glass wall", "window", 0, 9 * FT, 8 * FT),),
        (Footprint("Tall cabinets", "cabinets", 0, 0, 10 * FT, 2 * FT, 8 * FT, off_walls=True),),
    )
    assert measure(plan, frozenset({0})).amount("wall_net") == 0


def test_work_on_two_neighboring_walls_has_the_corner_between_and_half_of_the_others() -> None:
    plan = replace(WITH_COLUMN, ceiling_lights=3)
    measured = measure(plan, frozenset({1, 2}))
    assert measured.amount("inside_corners") == 1
    assert measured.amount("inside_corner") == 8
    assert measured.amount("outside_corners") == 0
    assert measured.amount("cut_in") == 2 * Fraction(160 + 200, 12) + 4 * 8
    assert measured.amount("floor") == Fraction(200 * 160 - 144, 144)
    assert measured.amount("device_boxes") == 0
    assert measured.amount("ceiling_lights") == 0


def test_choosing_every_wall_is_choosing_the_room() -> None:
    assert measure(WITH_COLUMN, frozenset(range(4))) == measure(WITH_COLUMN)


@given(rings())
def test_single_walls_add_up_to_the_room(ring: list[Corner]) -> None:
    plan = RoomPlan("Room", legs_round(ring), HEIGHT)
    whole, single = measure(plan), [measure(plan, frozenset({wall})) for wall in range(len(plan.legs))]
    for code in ("wall_gross", "ceiling_line", "base", "cut_in"):
        assert sum(measured.amount(code) for measured in single) == whole.amount(code)


@given(rings())
def test_area_and_perimeter_agree_with_an_independent_library(ring: list[Corner]) -> None:
    polygon = pytest.importorskip("shapely").Polygon(ring)
    measured = measure(RoomPlan("Room", legs_round(ring), HEIGHT))
    assert float(measured.amount("floor") * 144) == pytest.approx(polygon.area, rel=1e-12)
    assert float(measured.amount("floor_perimeter") * 12) == pytest.approx(polygon.length, rel=1e-12)


@given(rings())
def test_measuring_the_other_way_round_gives_the_same(ring: list[Corner]) -> None:
    clockwise = measure(RoomPlan("Room", legs_round(ring), HEIGHT))
    assert measure(RoomPlan("Room", legs_round(ring[::-1]), HEIGHT)) == clockwise


@given(rings(), st.integers(0, 3))
def test_inside_corners_exceed_outside_ones_by_four_less_four_a_column(
    ring: list[Corner], columns: int
) -> None:
    measured = measure(RoomPlan("Room", legs_round(ring), HEIGHT, columns=(Column(IN, IN),) * columns))
    assert measured.amount("inside_corners") - measured.amount("outside_corners") == 4 - 4 * columns


@given(
    st.lists(st.tuples(st.integers(1, 30), st.integers(1, 80)), max_size=5),
    st.fractions(0, 20),
    st.fractions(0, 20),
)
def test_deducting_only_larger_openings_never_lowers_the_net_area(
    sizes: list[tuple[int, int]], first_limit: Fraction, second_limit: Fraction
) -> None:
    openings = tuple(Opening("Window", "window", 0, wide * IN, high * IN, IN) for wide, high in sizes)
    measured = measure(RoomPlan("Room", rectangle(20 * FT, 9 * FT), HEIGHT, openings))
    small, large = sorted((first_limit, second_limit))
    assert measured.amount("wall_net", DeductRule("above", small)) <= measured.amount(
        "wall_net", DeductRule("above", large)
    )


def room(**changes: Any) -> RoomPlan:
    return replace(RoomPlan("Room", rectangle(10 * FT, 8 * FT), HEIGHT), **changes)


def door(**changes: Any) -> Opening:
    return replace(Opening("Door", "door", 1, 30 * IN, 80 * IN), **changes)


def cabinets(**changes: Any) -> Footprint:
    return replace(Footprint("Base run", "cabinets", 1, None, 6 * FT, 2 * FT, off_base=True), **changes)


BAD_ROOMS = [
    (room(height_nm=0), BadLength, "height", "The ceiling height must be more than zero."),
    (room(device_boxes=-1), BadCount, "device_boxes", "A count can't be below zero."),
    (
        room(openings=(door(), door(name="Patio door", width_nm=9 * FT))),
        OpeningTooLarge,
        "opening 2",
        "Patio door, 9' 0\", is longer than wall B (8' 0\").",
    ),
    (
        room(openings=(door(height_nm=7 * FT, sill_nm=2 * FT),)),
        OpeningTooLarge,
        "opening 1",
        "Door reaches 9' 0\" above the floor, higher than the ceiling at 8' 0\".",
    ),
    (
        room(openings=(door(offset_nm=6 * FT),)),
        OpeningTooLarge,
        "opening 1",
        "Door must begin between 0 and 5' 6\" from the start of wall B (8' 0\"), to end on the wall.",
    ),
    (
        room(openings=(door(width_nm=5 * FT), door(width_nm=4 * FT))),
        OpeningTooLarge,
        "opening 2",
        "The openings on wall B (8' 0\") are wider together than the wall.",
    ),
    (
        room(openings=(door(offset_nm=0), door(name="Window", kind="window", offset_nm=2 * FT))),
        OpeningTooLarge,
        "opening 2",
        "Window overlaps Door: check where each begins on the wall.",
    ),
    (room(openings=(door(wall=4),)), NoSuchWall, "opening 1", "Choose a wall for Door."),
    (
        room(openings=(door(width_nm=0),)),
        BadLength,
        "opening 1",
        "Door needs a width and a height of more than zero.",
    ),
    (
        room(openings=(door(sill_nm=-1),)),
        BadLength,
        "opening 1",
        "The sill of Door can't be below the floor.",
    ),
    (
        room(openings=(door(kind="hatch"),)),
        UnknownKind,
        "opening 1",
        "Choose a door, a window, a cased opening or a niche.",
    ),
    (
        room(footprints=(cabinets(length_nm=9 * FT),)),
        FootprintTooLarge,
        "footprint 1",
        "Base run, 9' 0\", is longer than wall B (8' 0\").",
    ),
    (
        room(footprints=(cabinets(depth_nm=11 * FT),)),
        FootprintTooLarge,
        "footprint 1",
        "Base run is larger than the room.",
    ),
    (
        room(footprints=(cabinets(height_nm=9 * FT),)),
        FootprintTooLarge,
        "footprint 1",
        "Base run must be higher than zero and no higher than the ceiling, 8' 0\".",
    ),
    (
        room(footprints=(cabinets(off_walls=True),)),
        BadLength,
        "footprint 1",
        "Base run needs a height, since the wall behind it is left out.",
    ),
    (
        room(footprints=(cabinets(wall=9),)),
        NoSuchWall,
        "footprint 1",
        "Choose a wall for Base run, or none if it stands free.",
    ),
    (
        room(footprints=(cabinets(depth_nm=0),)),
        BadLength,
        "footprint 1",
        "Base run needs a length and a depth of more than zero.",
    ),
    (
        room(footprints=(cabinets(kind="piano"),)),
        UnknownKind,
        "footprint 1",
        "Choose cabinets, a tub, an island or something else.",
    ),
    (
        room(openings=(door(),), footprints=(cabinets(),)),
        FootprintTooLarge,
        "footprints",
        "Doors and footprints that base stops at are longer together than wall B (8' 0\").",
    ),
    (
        room(footprints=(cabinets(wall=None, depth_nm=8 * FT, off_floor=True),) * 2),
        FootprintTooLarge,
        "footprints",
        "What is deducted from the floor is larger than the floor.",
    ),
    (
        room(columns=(Column(11 * FT, 1 * FT),)),
        ColumnTooLarge,
        "column 1",
        "The column is larger than the room.",
    ),
    (
        room(columns=(Column(8 * FT, 6 * FT),) * 2),
        ColumnTooLarge,
        "columns",
        "The columns together are larger than the room.",
    ),
    (
        room(columns=(Column(0, FT),)),
        BadLength,
        "column 1",
        "A column needs a width and a depth of more than zero.",
    ),
]


@pytest.mark.parametrize(("plan", "error", "field", "sentence"), BAD_ROOMS, ids=[row[3] for row in BAD_ROOMS])
def test_what_cannot_be_is_said_beside_its_field(
    plan: RoomPlan, error: type[PlanError], field: str, sentence: str
) -> None:
    (fault,) = plan_faults(plan)
    assert (type(fault), fault.field, str(fault)) == (error, field, sentence)
    with pytest.raises(error):
        measure(plan)


def test_lengths_in_a_sentence_are_metric_for_a_metric_firm() -> None:
    plan = room(footprints=(cabinets(length_nm=3_000_000_000),))
    with pytest.raises(FootprintTooLarge, match=r"Base run, 3\.000 m, is longer than wall B \(2\.438 m\)"):
        check_plan(plan, metric=True)


def test_every_fault_of_a_room_is_named_at_once() -> None:
    plan = room(openings=(door(wall=9),), columns=(Column(0, 0),), footprints=(cabinets(kind="x"),))
    assert [fault.field for fault in plan_faults(plan)] == ["opening 1", "footprint 1", "column 1"]


def test_a_transom_over_a_door_does_not_overlap_it() -> None:
    transom = Opening("Transom", "window", 1, 30 * IN, 12 * IN, 82 * IN, 0)
    assert not list(plan_faults(room(openings=(door(offset_nm=0), transom))))


@pytest.mark.parametrize(("cut_length_nm", "cut_width_nm"), [(10 * FT, FT), (FT, 8 * FT), (0, FT)])
def test_a_cut_out_leaves_something_of_the_room(cut_length_nm: int, cut_width_nm: int) -> None:
    with pytest.raises(BadLength, match="must be smaller than the room"):
        l_shape(10 * FT, 8 * FT, cut_length_nm, cut_width_nm)


@pytest.mark.parametrize(("wall", "letters"), [(0, "A"), (25, "Z"), (26, "AA"), (51, "AZ"), (52, "BA")])
def test_walls_are_lettered_in_order(wall: int, letters: str) -> None:
    assert wall_letter(wall) == letters


@pytest.mark.parametrize(
    ("opening", "sentence"),
    [
        (
            Opening("Hatch", "cased", 0, FT, FT, 3 * FT, recess_nm=1),
            "Hatch doesn't reach the floor, so that the floor can't run into it.",
        ),
        (Opening("Door", "door", 0, FT, FT, recess_nm=-1), "can't run into Door by less than zero"),
        (Opening("Arch", "cased", 0, FT, FT, recess_nm=3 * FT), "a wall is at most 2' 0\" thick here"),
    ],
)
def test_a_floor_runs_only_into_what_reaches_it_and_no_farther_than_a_wall_is_thick(
    opening: Opening, sentence: str
) -> None:
    plan = RoomPlan("Hall", rectangle(10 * FT, 8 * FT), 8 * FT, openings=(opening,))
    (fault,) = plan_faults(plan)
    assert sentence in str(fault)
    assert fault.field == "opening 1"
