"""A new firm quotes a kitchen, and a bath with a closet in a house of 1958, from the shipped catalog alone.

Both jobs, their people and places are invented; sizes and areas are worked out by hand in the comments.
"""

import json
from collections import Counter
from decimal import Decimal
from fractions import Fraction
from math import ceil
from pathlib import Path

import pytest
from django.conf import settings

from catalog.assemblies.expansion import hours
from catalog.assemblies.specs import MaterialSpec
from catalog.measures.lengths import format_length, parse_length
from catalog.measures.room_measures import MeasureSet
from catalog.measures.units import format_quantity
from catalog.money.markup import Markup
from catalog.rows.values import CatalogReader
from estimating.pricing.price import AllowanceInput, Policy, price
from estimating.rooms.measures import measure
from estimating.rooms.plan import Footprint, Opening, RoomPlan, l_shape, rectangle
from estimating.takeoff.cautions import job_cautions, work_cautions
from estimating.takeoff.takeoff import TakeOff, take_off
from estimating.takeoff.work import Override, RoomUse, Work
from tests.estimating.plain_kitchen import furnished_kitchen_room
from tests.specs import inches

pytestmark = pytest.mark.django_db


BATH = RoomPlan(
    name="Bath",
    legs=l_shape(*(parse_length(typed) for typed in ("8' 2\"", "7' 10 1/2\"", "3' 2\"", "2' 6\""))),
    height_nm=parse_length("7' 9\""),
    openings=(
        Opening("Door", "door", 0, inches("28"), inches("80")),
        Opening("Window", "window", 1, inches("24"), inches("36"), sill_nm=inches("48")),
    ),
    footprints=(Footprint("Tub", "tub", 2, 0, inches("60"), inches("30"), off_floor=True),),
    device_boxes=3,
    ceiling_lights=1,
)
CLOSET = RoomPlan(
    name="Closet",
    legs=rectangle(parse_length("2' 6\""), parse_length("2'")),
    height_nm=parse_length("7' 9\""),
    openings=(Opening("Cased opening", "cased", 0, inches("24"), inches("80")),),
)
KITCHEN = furnished_kitchen_room()
ROOMS = {room.name: room for room in (BATH, CLOSET)}

ONE = {"each": "1"}
# Three tub walls to 7 ft: (30 + 60 + 30) in x 7 ft = 70 sq ft.
TUB_WALLS = {"area": "70"}
# Base outside the tub: 32 ft 1 in less the tub's 60 + 30 + 30 in and the door's 28 in = 19.75 ft.
OUTSIDE_TUB = {"base": "19.75"}
STRIPPED: dict[str, frozenset[int] | None] = {"Bath": frozenset({1, 2})}  # plaster comes off two walls
WHOLE: dict[str, frozenset[int] | None] = {"Bath": None}
BOTH: dict[str, frozenset[int] | None] = {"Bath": None, "Closet": None}
IN_CLOSET: dict[str, frozenset[int] | None] = {"Closet": None}

Line = tuple[str, dict[str, frozenset[int] | None], dict[str, str]]
BATH_LINES: list[Line] = [
    ("protect-room", BOTH, {}),
    ("protect-path", WHOLE, {"length": "30"}),
    ("dust-barrier", WHOLE, ONE),
    ("protect-fixture", WHOLE, ONE),
    ("test-asbestos", WHOLE, {"each": "2"}),
    ("test-lead", WHOLE, ONE),
    ("lead-safe-room", BOTH, {}),
    ("toilet-out", WHOLE, ONE),
    ("take-out-vanities", WHOLE, ONE),
    ("take-out-vinyl", WHOLE, {}),
    ("take-out-plaster", STRIPPED, {}),
    ("take-out-trim", WHOLE, {"length": "40"}),
    ("haul-by-load", WHOLE, {"each": "2"}),
    ("re-screw-subfloor", WHOLE, {}),
    ("block-grab-bar", WHOLE, {"each": "2"}),
    ("hang-moisture-board", STRIPPED, {}),
    ("hang-moisture-ceiling", WHOLE, {}),
    ("finish-level-4", STRIPPED, {}),
    ("finish-ceiling-4", WHOLE, {}),
    ("backer-wet-wall", WHOLE, TUB_WALLS),
    ("backer-floor", WHOLE, {}),
    ("waterproof-walls", WHOLE, TUB_WALLS),
    ("tile-wall-3x6", WHOLE, TUB_WALLS),
    ("grout-wall-3x6", WHOLE, TUB_WALLS),
    ("seal-wall", WHOLE, TUB_WALLS),
    ("caulk-wet-joints", WHOLE, {"length": "24"}),
    ("mask-room", BOTH, {}),
    ("prime-walls", BOTH, {}),
    ("new-ceiling-paint", BOTH, {}),
    ("paint-bath-walls", BOTH, {}),
    ("tile-floor-12x12", WHOLE, {}),
    ("grout-floor-12x12", WHOLE, {}),
    ("seal-floor", WHOLE, {}),
    ("tile-cove-base", WHOLE, OUTSIDE_TUB),
    ("base-trim", IN_CLOSET, {}),
    ("casing-trim", WHOLE, {"opening_trim": "15.67"}),
    ("swap-fan-grille", WHOLE, ONE),
    ("swap-light-trims", WHOLE, {}),
    ("toilet-in", WHOLE, ONE),
    ("set-vanity", WHOLE, ONE),
    ("plumber-hook-up", WHOLE, ONE),
    ("set-grab-bar", WHOLE, ONE),
    ("paint-shelves", IN_CLOSET, {"length": "10"}),  # four shelves of 2 ft 6 in
    ("final-clean", BOTH, {}),
    ("walk-through", WHOLE, {}),
]
BATH_OPTION: Line = ("mount-towel-rail", WHOLE, ONE)
# Priced apart: "if we find", and the changes of days 3 and 6 (tile from 7 ft to the ceiling: 10 ft x 9 in).
BATH_LATER: list[Line] = [
    ("replace-subfloor", WHOLE, {"area": "12"}),
    ("repair-by-hour", WHOLE, {"each": "5"}),
    ("backer-wet-wall", WHOLE, {"area": "7.5"}),
    ("tile-wall-3x6", WHOLE, {"area": "7.5"}),
]


def work(reader: CatalogReader, line: Line, is_option: bool = False) -> Work:
    code, rooms, by_hand = line
    assembly = reader.assembly_by_code(code)
    return Work(
        key=code,
        title=assembly.name,
        phase=assembly.phase,
        assembly=assembly,
        rooms=tuple(RoomUse(room, walls) for room, walls in rooms.items()),
        overrides=tuple(Override(name, Fraction(amount), "counted") for name, amount in by_hand.items()),
        is_option=is_option,
    )


@pytest.fixture(scope="module")
def bath_works(shipped: CatalogReader) -> list[Work]:
    return [*(work(shipped, line) for line in BATH_LINES), work(shipped, BATH_OPTION, is_option=True)]


@pytest.fixture(scope="module")
def bath(bath_works: list[Work]) -> TakeOff:
    return take_off(ROOMS, bath_works)


def in_words(measures: MeasureSet, code: str) -> str:
    return format_quantity(measures.amount(code), "sq ft")


def test_the_bath_measures_as_plain_geometry_gives() -> None:
    whole = measure(RoomPlan("Bath", BATH.legs, BATH.height_nm))
    # 8.1667 x 7.875 less 3.1667 x 2.5 ft
    assert in_words(whole, "floor") == "56.4 sq ft"
    assert format_length(int(whole.amount("floor_perimeter") * parse_length("1'"))) == "32' 1\""
    # the tub takes 60 x 30 in = 12.5 sq ft
    assert whole.amount("floor") - measure(BATH).amount("floor") == Fraction(25, 2)


def test_the_kitchen_measures_as_plain_geometry_gives() -> None:
    kitchen = measure(KITCHEN)
    assert in_words(kitchen, "floor") == "142.22 sq ft"
    assert format_length(int(kitchen.amount("floor_perimeter") * parse_length("1'"))) == "48' 0\""
    assert in_words(kitchen, "wall_gross") == "384 sq ft"
    assert in_words(kitchen, "wall_net") == "327.33 sq ft"


def test_the_bath_is_quoted_without_a_question_left(bath: TakeOff) -> None:
    assert bath.problems == ()
    assert len(bath.items) == len(BATH_LINES) + 1
    assert all(hours(item.requirements) > 0 for item in bath.items)
    assert all(line.purchase is not None and line.purchase.cost > 0 for line in bath.materials)


def test_what_may_come_later_can_be_quoted_too(shipped: CatalogReader) -> None:
    later = take_off(ROOMS, [work(shipped, line) for line in BATH_LATER])
    assert later.problems == ()
    # 5 hours are 5 hours; 12 sq ft of subfloor at 14 h per 100 sq ft and an hour of set-up
    assert {item.work.key: item.hours for item in later.items[:2]} == {
        "replace-subfloor": Fraction(12 * 14, 100) + 1,
        "repair-by-hour": 5,
    }


def required(bath: TakeOff, material: str) -> Fraction:
    return next(line.required for line in bath.materials if line.material.code == material)


def test_the_bath_takes_what_its_sizes_say(bath: TakeOff) -> None:
    outside_tub = Fraction(98 * Fraction("94.5") - 38 * 30, 144) - Fraction(25, 2)
    # 54 tiles meet that floor, no two of whose cuts fit into one; 5 % besides
    assert outside_tub < required(bath, "tile-12x12") == 57 == ceil(54 * Fraction(21, 20))
    assert required(bath, "tile-3x6") == 77  # 70 sq ft and 10 %
    assert required(bath, "tile-cove") == Fraction("19.75") * Fraction("1.1")
    assert required(bath, "plumber-visit") == 1
    assert required(bath, "grab-bar") == 1


def test_a_tiled_bath_floor_has_two_beds_of_thinset(bath: TakeOff) -> None:
    beds = {
        item.work.key
        for item in bath.items
        for requirement in item.requirements
        if requirement.use.code == "thinset" and requirement.calculation.measure == "floor"
    }
    assert beds == {"backer-floor", "tile-floor-12x12"}


def test_new_board_gets_two_coats_of_primer_and_two_of_paint(bath: TakeOff) -> None:
    painted = [item for item in bath.items if item.work.key in ("prime-walls", "paint-bath-walls")]
    rolled = [Counter(requirement.use.code for requirement in item.requirements) for item in painted]
    assert rolled[0]["roll-primer"] == 2
    assert rolled[1]["roll-first-coat"] + rolled[1]["roll-second-coat"] == 2


def test_a_bath_of_1958_warns_of_lead_and_asbestos(bath_works: list[Work]) -> None:
    texts = " ".join(caution.text for caution in job_cautions(1958, bath_works))
    assert "1958" in texts
    for word in ("40 CFR 745", "asbestos", "29 CFR 1926.1153", "licensed"):
        assert word in texts


def test_ladders_and_gloves_are_told_to_whoever_works_and_not_to_the_client(bath_works: list[Work]) -> None:
    on_paper = " ".join(caution.text for caution in job_cautions(1958, bath_works))
    at_work = " ".join(
        line for work in bath_works if work.assembly for line in work_cautions(1958, work.assembly)
    )
    for word in ("ladder", "gloves"):
        assert word in at_work
        assert word not in on_paper


def test_the_option_and_the_licensed_trade_are_bought_apart(bath: TakeOff) -> None:
    assert "towel-rail-heated" not in {line.material.code for line in bath.materials}
    assert bath.purchase_costs["mount-towel-rail"].material_taxable > 0
    assert bath.purchase_costs["plumber-hook-up"].subcontract == Decimal("640.00")


def test_the_bath_has_a_price_to_the_cent(bath: TakeOff) -> None:
    twenty = Markup(Decimal(20))
    policy = Policy(
        labor_rate=Decimal("70.00"),
        labor=twenty,
        material=twenty,
        equipment=twenty,
        subcontract=twenty,
        tax_rate=Fraction(65, 1000),
    )
    vanity = AllowanceInput("vanity", "Vanity and top", "set", Decimal("780.00"))
    priced = price(bath, policy, [vanity])
    assert priced.total == priced.total.quantize(Decimal("0.01"))
    assert sum(line.price for line in priced.lines) == priced.total


def test_the_kitchen_is_quoted_from_the_catalog_alone(shipped: CatalogReader) -> None:
    fixture = json.loads(Path(settings.BASE_DIR, "demo_fixtures", "kitchen.json").read_text("utf-8"))
    works = []
    for line in fixture["work"]:
        walls = frozenset("ABCD".index(wall) for wall in line["rooms"][0].get("walls", []))
        by_hand = {measured["measure"]: measured["amount"] for measured in line.get("measures", [])}
        works.append(work(shipped, (line["assembly"], {"Kitchen": walls or None}, by_hand)))
    kitchen = take_off({"Kitchen": KITCHEN}, works)
    assert kitchen.problems == ()
    assert len(kitchen.items) == 31


def test_nothing_of_either_job_lacks_a_package(bath: TakeOff) -> None:
    for item in bath.items:
        for requirement in item.requirements:
            if isinstance(requirement.use, MaterialSpec):
                assert requirement.use.offers, requirement.use.name
