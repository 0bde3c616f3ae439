"""Outlines that close, outlines that don't, and what balancing does to them."""

from decimal import Decimal
from fractions import Fraction
from math import dist, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.measures.lengths import NM_PER_FOOT, NM_PER_INCH
from estimating.rooms.faults import check_plan
from estimating.rooms.measures import measure
from estimating.rooms.outline import (
    BadLength,
    BadTurn,
    CrossingWalls,
    DoesNotClose,
    Leg,
    Misclosure,
    PlanError,
    TooFewWalls,
)
from estimating.rooms.plan import RoomPlan, rectangle, room_outline

IN, FT = NM_PER_INCH, NM_PER_FOOT
RIGHT, LEFT = Decimal(90), Decimal(-90)


def room(*legs: Leg, balanced: bool = False) -> RoomPlan:
    return RoomPlan("Room", legs, 96 * IN, balanced=balanced)


def off_by_an_inch(balanced: bool = False) -> RoomPlan:
    """Return 10 ft by 8 ft with the last wall an inch too long: 433 in are traced in all."""
    return room(Leg(10 * FT), Leg(8 * FT), Leg(10 * FT), Leg(97 * IN), balanced=balanced)


def test_a_closing_error_is_stated_as_a_surveyor_does() -> None:
    misclosure = room_outline(off_by_an_inch()).misclosure
    assert (misclosure.distance_nm, misclosure.direction, misclosure.ratio) == (IN, "north", "1 in 433")
    with pytest.raises(DoesNotClose) as caught:
        measure(off_by_an_inch())
    assert str(caught.value) == (
        "The walls don't close: the last wall ends 1\" north of the start, the first wall running east"
        " (1 in 433). Check the lengths and turns, or balance the difference over the walls."
    )
    assert caught.value.field == "walls"
    assert caught.value.misclosure == misclosure


def test_distance_and_direction_of_a_slanting_error() -> None:
    legs = (Leg(10 * FT), Leg(8 * FT), Leg(10 * FT - 3 * IN), Leg(100 * IN))
    misclosure = room_outline(room(*legs)).misclosure
    assert misclosure.distance_nm == 5 * IN
    assert misclosure.direction == "north-east"


@pytest.mark.parametrize(
    ("east", "north", "words"),
    [
        (10, 4, "east"),
        (10, 5, "north-east"),
        (4, 10, "north"),
        (-5, 10, "north-west"),
        (-10, 4, "west"),
        (-10, -4, "west"),
        (-10, -10, "south-west"),
        (4, -10, "south"),
        (10, -5, "south-east"),
        (10, -4, "east"),
    ],
)
def test_compass_words_meet_halfway_between(east: int, north: int, words: str) -> None:
    assert Misclosure(east, north, 100).direction == words


def test_what_a_tape_cannot_show_is_still_an_error_between_right_angles() -> None:
    sixty_fourth = IN // 64
    plan = room(Leg(10 * FT), Leg(8 * FT), Leg(10 * FT), Leg(8 * FT + sixty_fourth))
    with pytest.raises(DoesNotClose, match='ends less than 1/16" north of the start'):
        check_plan(plan)


def test_balancing_moves_each_corner_by_its_share_of_the_length_traced() -> None:
    shape = room_outline(off_by_an_inch(balanced=True))
    traced_in = (0, 120, 216, 336)
    as_measured = ((0, 0), (10 * FT, 0), (10 * FT, -8 * FT), (0, -8 * FT))
    for traced, (x, y), balanced in zip(traced_in, as_measured, shape.vertices, strict=True):
        assert balanced[0] == x
        assert abs(balanced[1] - (y - Fraction(traced * IN, 433))) <= Fraction(1, 2)
    assert shape.closed
    assert shape.misclosure.distance_nm == IN


errors = st.integers(-6 * IN, 6 * IN)


@given(errors, errors)
def test_a_balanced_room_closes_and_no_wall_changes_by_more_than_its_share(east: int, north: int) -> None:
    legs = (Leg(10 * FT), Leg(8 * FT + north), Leg(10 * FT + east), Leg(8 * FT))
    shape = room_outline(room(*legs, balanced=True))
    ring = (*shape.vertices, shape.vertices[0])
    for leg, length_nm, start, end in zip(legs, shape.lengths_nm, ring, ring[1:], strict=False):
        assert length_nm == pytest.approx(dist(start, end), abs=1)
        share = Fraction(leg.length_nm, shape.misclosure.traced_nm)
        assert abs(length_nm - leg.length_nm) <= shape.misclosure.distance_nm * share + 2
    check_plan(room(*legs, balanced=True))


def test_balancing_a_room_that_closes_changes_nothing() -> None:
    exact = RoomPlan("Room", rectangle(10 * FT, 8 * FT), 96 * IN)
    balanced = RoomPlan("Room", rectangle(10 * FT, 8 * FT), 96 * IN, balanced=True)
    assert measure(balanced) == measure(exact)
    assert room_outline(exact).misclosure.ratio == "no error"


def test_right_angles_are_exact_however_many_turns_add_up_to_them() -> None:
    ring = [Leg(FT, Decimal(45)), Leg(FT, Decimal(45)), Leg(FT, Decimal(180 - 45)), Leg(FT)]
    assert room_outline(room(*ring)).vertices[3][1] == room_outline(room(*ring)).vertices[2][1] - FT


def test_three_walls_at_sixty_degrees() -> None:
    sixty = Decimal(120)
    measured = measure(room(Leg(10 * FT, sixty), Leg(10 * FT, sixty), Leg(10 * FT)))
    assert float(measured.amount("floor")) == pytest.approx(sqrt(3) / 4 * 100, rel=1e-9)
    assert measured.amount("floor_perimeter") == 30
    assert measured.amount("inside_corners") == 3


def bay(oblique_nm: int) -> RoomPlan:
    """Return a 14 ft by 10 ft room with a bay 6 ft wide whose two oblique walls turn 45 degrees."""
    half = Decimal(45)
    depth_nm = round(30 * IN / sqrt(2) / (IN / 16)) * (IN // 16)
    front_nm = 6 * FT - 2 * depth_nm
    return room(
        Leg(14 * FT, RIGHT),
        Leg(10 * FT, RIGHT),
        Leg(4 * FT, -half),
        Leg(oblique_nm, half),
        Leg(front_nm, half),
        Leg(30 * IN, -half),
        Leg(4 * FT, RIGHT),
        Leg(10 * FT),
    )


def test_a_bay_read_off_a_tape_closes_within_a_sixteenth() -> None:
    measured = measure(bay(30 * IN))
    depth = 30 / sqrt(2) / 12
    assert float(measured.amount("floor")) == pytest.approx(140 + (6 - depth) * depth, abs=0.1)
    assert measured.amount("inside_corners") == 6
    assert measured.amount("outside_corners") == 2
    assert measured.amount("floor_perimeter") == sum(leg.length_nm for leg in bay(30 * IN).legs) / Fraction(
        FT
    )


def test_a_bay_that_is_half_an_inch_out_does_not_close() -> None:
    with pytest.raises(DoesNotClose):
        check_plan(bay(30 * IN + IN // 2))


BAD_WALLS = [
    (room(Leg(FT), Leg(FT)), TooFewWalls, "walls", "A room needs at least three walls."),
    (
        room(Leg(FT), Leg(0), Leg(FT), Leg(FT)),
        BadLength,
        "wall 2",
        "Wall B needs a length of more than zero.",
    ),
    (
        room(Leg(FT), Leg(FT, Decimal(180)), Leg(FT), Leg(FT)),
        BadTurn,
        "wall 2",
        "The turn after wall B must be less than 180 degrees, right or left.",
    ),
    (
        room(Leg(FT), Leg(FT, Decimal("NaN")), Leg(FT), Leg(FT)),
        BadTurn,
        "wall 2",
        "The turn after wall B must be less than 180 degrees, right or left.",
    ),
    (
        room(
            Leg(8 * FT),
            Leg(4 * FT),
            Leg(4 * FT),
            Leg(6 * FT, LEFT),
            Leg(4 * FT, LEFT),
            Leg(2 * FT),
        ),
        CrossingWalls,
        "walls",
        "Wall A and wall D cross or touch. Check the lengths and the turns between them.",
    ),
]


def test_a_wall_that_leads_back_along_the_first_touches_it() -> None:
    plan = room(Leg(4 * FT, Decimal(0)), Leg(4 * FT, RIGHT), Leg(FT, RIGHT), Leg(8 * FT, RIGHT), Leg(FT))
    check_plan(plan)
    with pytest.raises(CrossingWalls):
        check_plan(room(Leg(8 * FT, RIGHT), Leg(FT, RIGHT), Leg(2 * FT, RIGHT), Leg(FT, LEFT), Leg(6 * FT)))


@pytest.mark.parametrize(("plan", "error", "field", "sentence"), BAD_WALLS)
def test_walls_that_cannot_be_are_refused_in_a_sentence(
    plan: RoomPlan, error: type[PlanError], field: str, sentence: str
) -> None:
    with pytest.raises(error) as caught:
        measure(plan)
    assert (str(caught.value), caught.value.field) == (sentence, field)
