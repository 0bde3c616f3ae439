"""Each shipped assembly goes on each shape of room, in the right units, and takes no less on a larger one.

The shapes are measured as they stand and again larger every way by a half.
"""

from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise

import pytest

from catalog.assemblies.expansion import hours
from catalog.assemblies.specs import AssemblySpec, OperationSpec, measures_used
from catalog.measures.lengths import NM_PER_INCH, parse_length
from catalog.measures.room_measures import BY_HAND
from catalog.rows.values import CatalogReader
from estimating.boards.layouts import Boards
from estimating.rooms.outline import Leg
from estimating.rooms.plan import Footprint, Opening, RoomPlan, l_shape, rectangle
from estimating.takeoff.takeoff import take_off
from estimating.takeoff.work import ItemQuantities, Override, RoomUse, Work
from tests.catalog.starter.small_catalog import entries

# Asks for no row, but the fixture that reads the catalog needs the database to be there.
pytestmark = [pytest.mark.django_db, pytest.mark.one_database]

CODES = [entry["code"] for entry in entries("assemblies")]
LEFT, RIGHT = Decimal(-90), Decimal(90)
FIRST_ANSWERS = Boards(effort="first")  # the search for better ones has tests of its own


def plan(name: str, legs: Iterable[Leg], times: Fraction, width: str, tub: bool = False) -> RoomPlan:
    def grown(length_nm: int) -> int:
        return int(length_nm * times)

    inch = NM_PER_INCH
    return RoomPlan(
        name=name,
        legs=tuple(Leg(grown(leg.length_nm), leg.turn) for leg in legs),
        height_nm=grown(parse_length("8'")),
        openings=(
            Opening("Door", "door", 0, grown(parse_length(width, bare="in")), grown(80 * inch)),
            Opening("Window", "window", 1, grown(18 * inch), grown(24 * inch), sill_nm=grown(40 * inch)),
        ),
        footprints=(Footprint("Tub", "tub", 0, None, grown(60 * inch), grown(30 * inch), off_floor=True),)
        if tub
        else (),
        device_boxes=int(4 * times),
        ceiling_lights=int(2 * times),
    )


def bay(deep: str = "3'") -> tuple[Leg, ...]:
    """A room of 12 x 10 ft with a square bay of 6 ft by 3 in its first wall, walked clockwise."""
    walls = [("3'", LEFT), (deep, RIGHT), ("6'", RIGHT), (deep, LEFT), ("3'", RIGHT)]
    walls += [("10'", RIGHT), ("12'", RIGHT), ("10'", RIGHT)]
    return tuple(Leg(parse_length(length), turn) for length, turn in walls)


SHAPES: dict[str, tuple[tuple[Leg, ...], str]] = {
    "rectangle": (rectangle(parse_length("13' 4\""), parse_length("10' 8\"")), "30"),
    "L": (
        l_shape(
            parse_length("8' 2\""),
            parse_length("7' 10 1/2\""),
            parse_length("3' 2\""),
            parse_length("2' 6\""),
        ),
        "28",
    ),
    "bay": (bay(), "30"),
    "closet": (rectangle(parse_length("2' 6\""), parse_length("2'")), "24"),
}


def taken(assembly: AssemblySpec, shape: str, times: Fraction) -> ItemQuantities:
    """The assembly on a room, with a count of what is measured by hand that grows with it."""
    legs, width = SHAPES[shape]
    room = plan(shape, legs, times, width, tub=shape == "rectangle")
    by_hand = tuple(
        Override(code, Fraction(10) * times, "counted")
        for code in measures_used(assembly)
        if code in BY_HAND or code == "outside_corner"
    )
    work = Work("one", "One", assembly.phase, assembly=assembly, rooms=(RoomUse(shape),), overrides=by_hand)
    done = take_off({shape: room}, [work], boards=FIRST_ANSWERS)
    assert done.problems == ()
    return done.items[0]


def one_cut(use: object) -> Fraction:
    """The hours of one cut of a board: a smaller floor can take one more, so that no notched leg breaks."""
    return use.rate.per_unit if isinstance(use, OperationSpec) and use.code == "cut-backer" else Fraction(0)


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("code", CODES)
def test_each_assembly_goes_on_each_shape_of_room_and_takes_no_less_on_a_larger_one(
    shipped: CatalogReader, code: str, shape: str
) -> None:
    assembly = shipped.assembly_by_code(code)
    small, large = taken(assembly, shape, Fraction(1)), taken(assembly, shape, Fraction(3, 2))
    assert small.requirements
    assert 0 < hours(small.requirements) <= hours(large.requirements)
    for less, more in zip(small.requirements, large.requirements, strict=True):
        assert less.use == more.use
        assert 0 <= less.quantity <= more.quantity + one_cut(less.use), less.use.name
        assert less.unit == ("hour" if isinstance(less.use, OperationSpec) else less.use.unit)


# A larger room has no more doors and windows, and is still one room: what goes by these grows by their count.
COUNTED_IN_THE_ROOM = {"rooms", "doors", "windows"}
# Others make and set it: he is there once, however large it is, and their price grows with it.
ONE_VISIT = {"counter-by-others"}
MEASURE = {entry["code"]: entry["measure"] for entry in entries("assemblies")}


@pytest.mark.parametrize("code", [code for code in CODES if MEASURE[code] not in COUNTED_IN_THE_ROOM])
def test_a_room_of_three_times_the_size_takes_more(shipped: CatalogReader, code: str) -> None:
    assembly = shipped.assembly_by_code(code)
    small, large = (taken(assembly, "rectangle", times).requirements for times in (Fraction(1), Fraction(3)))
    assert sum(requirement.quantity for requirement in large) > sum(
        requirement.quantity for requirement in small
    )
    assert hours(large) > hours(small) or code in ONE_VISIT


@pytest.mark.parametrize("code", [code for code in CODES if MEASURE[code] in COUNTED_IN_THE_ROOM])
def test_three_times_as_many_of_what_is_counted_in_the_room_take_more(
    shipped: CatalogReader, code: str
) -> None:
    assembly = shipped.assembly_by_code(code)
    few, many = (
        take_off(
            {"rectangle": plan("rectangle", SHAPES["rectangle"][0], Fraction(1), "30")},
            [
                Work(
                    "one",
                    "One",
                    assembly.phase,
                    assembly=assembly,
                    rooms=(RoomUse("rectangle"),),
                    overrides=(Override(MEASURE[code], Fraction(count), "counted"),),
                )
            ],
        ).items[0]
        for count in (1, 3)
    )
    assert hours(many.requirements) > hours(few.requirements)


def test_a_higher_level_of_finish_takes_more_hours(shipped: CatalogReader) -> None:
    levels = [shipped.assembly_by_code(f"finish-level-{level}") for level in range(5)]
    worked = [hours(taken(level, "rectangle", Fraction(1)).requirements) for level in levels]
    assert all(less < more for less, more in pairwise(worked))
