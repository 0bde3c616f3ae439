"""The drawing of a room, checked by reading the SVG back."""

from dataclasses import replace
from decimal import Decimal
from math import dist
from re import findall
from typing import Any
from xml.etree import ElementTree as ET

import pytest

from catalog.measures.lengths import NM_PER_FOOT, NM_PER_INCH
from estimating.rooms.drawing import plan_svg
from estimating.rooms.labels import Label, overlap, readable, text_width
from estimating.rooms.outline import BadLength, Leg, TooFewWalls
from estimating.rooms.plan import (
    Column,
    Footprint,
    HeightPoint,
    Opening,
    RoomPlan,
    Soffit,
    Spot,
    l_shape,
    rectangle,
)

IN, FT = NM_PER_INCH, NM_PER_FOOT
SVG = "{http://www.w3.org/2000/svg}"

KITCHEN = RoomPlan(
    "Kitchen",
    rectangle(160 * IN, 128 * IN),
    96 * IN,
    openings=(
        Opening("Sink window", "window", 0, 60 * IN, 40 * IN, 42 * IN),
        Opening("To the hall", "cased", 2, 36 * IN, 80 * IN),
        Opening("Back door", "door", 3, 36 * IN, 80 * IN, 0, 2 * FT),
    ),
    footprints=(Footprint("Sink run", "cabinets", 0, 0, 160 * IN, 24 * IN),),
)
BATH = RoomPlan("Bath", l_shape(98 * IN, 189 * IN // 2, 38 * IN, 30 * IN), 93 * IN)
OPEN = RoomPlan("Den", (Leg(10 * FT), Leg(8 * FT), Leg(10 * FT), Leg(97 * IN)), 96 * IN)
CHASE = RoomPlan(
    "Chase",
    (
        Leg(12 * FT),
        Leg(6 * FT),
        Leg(8 * IN),
        Leg(6 * IN, Decimal(-90)),
        Leg(128 * IN, Decimal(-90)),
        Leg(6 * IN),
        Leg(8 * IN),
        Leg(6 * FT),
    ),
    96 * IN,
)
BAY = RoomPlan(
    "Bay",
    (
        Leg(10 * FT),
        Leg(8 * FT),
        Leg(3 * FT, Decimal(-45)),
        Leg(20 * IN, Decimal(45)),
        Leg(20 * IN, Decimal(45)),
        Leg(20 * IN, Decimal(-45)),
        Leg(3 * FT),
        Leg(8 * FT),
    ),
    96 * IN,
    balanced=True,
)
ATTIC = RoomPlan(
    "Attic",
    rectangle(16 * FT, 12 * FT),
    5 * FT,
    openings=(Opening("Niche", "niche", 3, 24 * IN, 12 * IN, 30 * IN, 5 * FT, 4 * IN),),
    footprints=(
        Footprint("Island", "island", None, None, 4 * FT, 30 * IN, spot=Spot(0, 6 * FT, 5 * FT)),
        Footprint("Chest", "cabinets", 2, 0, 8 * FT, 24 * IN),
    ),
    heights=(HeightPoint(1, 4 * FT, 9 * FT), HeightPoint(1, 8 * FT, 9 * FT)),
    soffits=(Soffit("Duct", 2, 0, 8 * FT, FT, FT), Soffit("Beam", 0, 4 * FT, 6 * FT, 2 * FT, FT)),
)


def drawn(plan: RoomPlan, **options: Any) -> ET.Element:
    return ET.fromstring(plan_svg(plan, **options))


def classed(svg: ET.Element, name: str) -> list[ET.Element]:
    return [element for element in svg.iter() if name in element.get("class", "").split()]


def texts(svg: ET.Element, name: str) -> list[str]:
    return ["".join(element.itertext()) for element in classed(svg, name)]


def number(element: ET.Element, name: str) -> float:
    return float(element.attrib[name])


def ends(line: ET.Element) -> tuple[tuple[float, float], tuple[float, float]]:
    return (number(line, "x1"), number(line, "y1")), (number(line, "x2"), number(line, "y2"))


def test_every_wall_has_its_letter_and_length() -> None:
    assert sorted(texts(drawn(KITCHEN), "plan-dim")) == [
        "A 13' 4\"",
        "B 10' 8\"",
        "C 13' 4\"",
        "D 10' 8\"",
    ]
    assert sorted(texts(drawn(BATH), "plan-dim"))[5] == "F 5' 4-1/2\""


def test_a_metric_firm_reads_meters() -> None:
    svg = drawn(KITCHEN, metric=True)
    assert sorted(texts(svg, "plan-dim"))[0] == "A 4.064 m"
    assert "ceiling 2.438 m high" in svg.findtext(f"{SVG}desc", "")


def test_openings_are_drawn_one_by_one_each_after_its_kind() -> None:
    svg = drawn(KITCHEN)
    assert len(classed(svg, "plan-opening")) == 3
    assert [len(classed(svg, name)) for name in ("plan-leaf", "plan-swing", "plan-glass")] == [1, 1, 2]


def test_walls_stop_at_openings_and_keep_the_rooms_proportions() -> None:
    svg = drawn(replace(KITCHEN, openings=KITCHEN.openings[:1]))
    lengths = [dist(*ends(line)) for line in classed(svg, "plan-wall")]
    left, right, *whole = lengths
    assert left == pytest.approx(right, abs=0.2)
    scale = whole[0] / 128
    assert left + right == pytest.approx(100 * scale, abs=0.3)
    assert whole[1] == pytest.approx(160 * scale, abs=0.3)


def test_a_door_opens_into_the_room_whichever_way_round_it_was_measured() -> None:
    door = Opening("Door", "door", 0, 30 * IN, 80 * IN)
    for turn in (Decimal(90), Decimal(-90)):
        legs = tuple(Leg(leg.length_nm, turn) for leg in rectangle(10 * FT, 8 * FT))
        svg = drawn(RoomPlan("Room", legs, 96 * IN, (door,)))
        (_, hinge_y), (_, tip_y) = ends(classed(svg, "plan-leaf")[0])
        walls_y = [y for line in classed(svg, "plan-wall") for _, y in ends(line)]
        assert min(walls_y) <= tip_y <= max(walls_y)
        assert tip_y != hinge_y


def test_chosen_walls_stand_out() -> None:
    assert not classed(drawn(BATH), "plan-chosen")
    svg = drawn(BATH, highlight=frozenset({2}))
    wall, text = classed(svg, "plan-chosen")
    assert "".join(text.itertext()) == "C 5' 0\""
    longest = max(dist(*ends(line)) for line in classed(svg, "plan-wall"))
    assert dist(*ends(wall)) / longest == pytest.approx(60 / 98, abs=0.002)


def test_footprints_and_columns_are_hatched() -> None:
    island = Footprint("Island", "island", None, None, 4 * FT, 2 * FT)
    plan = replace(KITCHEN, footprints=(*KITCHEN.footprints, island), columns=(Column(FT, FT),))
    svg = drawn(plan, ident="k1")
    hatched = [
        element for element in classed(svg, "plan-footprint") if element.get("fill") == "url(#k1-hatch)"
    ]
    assert len(hatched) == 3
    assert texts(svg, "plan-name") == ["Sink run", "Island"]


def test_two_plans_on_a_page_share_no_id() -> None:
    ids = [
        element.get("id")
        for svg in (drawn(KITCHEN, ident="a"), drawn(KITCHEN, ident="b"))
        for element in svg.iter()
        if element.get("id")
    ]
    assert len(ids) == len(set(ids)) == 6


def test_title_and_description_say_what_is_drawn() -> None:
    svg = drawn(KITCHEN, ident="k")
    assert svg.findtext(f"{SVG}title") == "Plan of Kitchen"
    assert svg.get("aria-labelledby") == "k-title k-desc"
    description = svg.findtext(f"{SVG}desc", "")
    assert description.startswith("4 walls, ceiling 8' 0\" high. Wall A 13' 4\", then 90 degrees right.")
    assert (
        "Sink window (window) on wall A: 5' 0\" wide, 3' 4\" high, 3' 6\" above the floor."
        " To the hall (cased opening) on wall C: 3' 0\" wide, 6' 8\" high." in description
    )
    assert description.endswith("Sink run, along wall A: 13' 4\" long, 2' 0\" deep.")


def test_names_are_text_never_markup() -> None:
    name = '<script>alert("x")</script> & </title>'
    footprint = Footprint(name, "other", 0, 0, 160 * IN, 60 * IN)
    plan = replace(KITCHEN, name=name, footprints=(footprint,), openings=())
    assert "<script" not in plan_svg(plan)
    svg = drawn(plan)
    assert svg.findtext(f"{SVG}title") == f"Plan of {name}"
    assert f"{name}, along wall A" in svg.findtext(f"{SVG}desc", "")


@pytest.mark.parametrize("plan", [KITCHEN, BATH, OPEN, CHASE, BAY, ATTIC], ids=lambda plan: plan.name)
def test_a_strict_page_takes_the_drawing(plan: RoomPlan) -> None:
    svg = drawn(plan)
    assert not [
        element
        for element in svg.iter()
        if element.get("style") or element.tag in (f"{SVG}style", f"{SVG}script")
    ]
    assert svg.get("viewBox")
    assert svg.get("width") is None


@pytest.mark.parametrize("plan", [KITCHEN, BATH, OPEN, CHASE, BAY, ATTIC], ids=lambda plan: plan.name)
@pytest.mark.parametrize(("metric", "larger"), [(False, 1.0), (True, 1.0), (False, 1.6)])
def test_labels_cover_no_wall_and_not_one_another(plan: RoomPlan, metric: bool, larger: float) -> None:
    svg, size = drawn(plan, metric=metric, larger=larger), 12 * larger
    boxes = []
    for text in classed(svg, "plan-dim"):
        angle = float(text.get("transform", "rotate(0 ").split("(")[1].split()[0])
        assert number(text, "font-size") == pytest.approx(size)
        center = number(text, "x"), number(text, "y") - 0.36 * size
        boxes.append(Label(center, angle, text_width("".join(text.itertext()), size), size).corners())
    assert len(boxes) == len(plan.legs)
    walls = [ends(line) for line in classed(svg, "plan-wall")]
    for index, box in enumerate(boxes):
        assert not any(overlap(box, other) for other in [*boxes[index + 1 :], *walls])


def test_everything_lies_inside_the_view() -> None:
    for plan in (KITCHEN, BATH, OPEN, CHASE, BAY, ATTIC):
        svg = drawn(plan)
        left, top, width, height = (float(edge) for edge in svg.get("viewBox", "").split())
        for line in svg.iter(f"{SVG}line"):
            for x, y in ends(line):
                assert left <= x <= left + width
                assert top <= y <= top + height


def test_walls_that_do_not_close_show_by_how_much() -> None:
    svg = drawn(OPEN)
    assert texts(svg, "plan-gap-text") == ['Open: ends 1" north of the start']
    (gap,) = [element for element in classed(svg, "plan-gap") if element.tag == f"{SVG}line"]
    assert gap.get("stroke-dasharray")
    assert "The walls don't close" in svg.findtext(f"{SVG}desc", "")
    assert not classed(drawn(replace(OPEN, balanced=True)), "plan-gap")


def test_walls_just_begun_are_drawn_as_far_as_they_go() -> None:
    svg = drawn(RoomPlan("Begun", (Leg(12 * FT),), 96 * IN))
    assert texts(svg, "plan-dim") == ["A 12' 0\""]
    assert texts(svg, "plan-gap-text") == ["Open: ends 12' 0\" east of the start"]


def test_walls_that_cannot_be_drawn_are_refused() -> None:
    with pytest.raises(TooFewWalls):
        plan_svg(RoomPlan("None", (), 96 * IN))
    with pytest.raises(BadLength):
        plan_svg(RoomPlan("None", (Leg(0), Leg(FT), Leg(FT)), 96 * IN))


def test_an_opening_that_fits_no_wall_does_not_stop_the_drawing() -> None:
    lost = Opening("Door", "door", 9, 30 * IN, 80 * IN)
    assert not classed(drawn(replace(KITCHEN, openings=(lost,))), "plan-opening")


@pytest.mark.parametrize(
    ("direction", "angle"),
    [
        ((1, 0), 0),
        ((-1, 0), 0),
        ((0, 1), -90),
        ((0, -1), -90),
        ((1, 1), 45),
        ((-1, 1), -45),
        ((1, 9999), -90),
    ],
)
def test_texts_are_never_upside_down(direction: tuple[float, float], angle: float) -> None:
    assert readable(direction) == pytest.approx(angle, abs=0.1)


def test_an_island_is_drawn_where_it_stands() -> None:
    svg = drawn(ATTIC)
    island = classed(svg, "plan-footprint")[0]
    xs, ys = zip(*(map(float, point.split(",")) for point in island.attrib["points"].split()), strict=True)
    wall_a = max(classed(svg, "plan-wall"), key=lambda line: -number(line, "y1") - number(line, "y2"))
    (left, top), (right, _) = ends(wall_a)
    foot = (right - left) / 16
    place = [(min(xs) - left) / foot, (max(xs) - left) / foot, (min(ys) - top) / foot, (max(ys) - top) / foot]
    assert place == pytest.approx([6, 10, 5, 7.5], abs=0.02)


def test_what_is_overhead_is_dashed_named_and_told_in_words() -> None:
    svg = drawn(ATTIC)
    dashed = [element for element in svg.iter() if element.get("stroke-dasharray")]
    assert [element.tag.removeprefix(SVG) for element in dashed].count("polygon") == 2  # soffits
    assert [element.tag.removeprefix(SVG) for element in dashed].count("line") >= 2  # bends
    named = texts(svg, "plan-name")
    assert named.count("9' 0\" high") == 2
    assert "Beam" in named
    assert "Duct, dashed" in named  # the chest under it has its own name there
    words = svg.findtext(f"{SVG}desc", "")
    for sentence in (
        "4 walls, ceiling 5' 0\" to 9' 0\" high.",
        "4' 0\" from the start of wall B the ceiling is 9' 0\" high.",
        "Beam along wall A, 4' 0\" from its start: 6' 0\" long, 2' 0\" deep, 1' 0\" below the ceiling.",
        'Niche on wall D: 2\' 0" wide, 1\' 0" high, 2\' 6" above the floor, 4" deep.',
        "Island, standing free 5' 0\" off wall A, 6' 0\" from its start: 4' 0\" long, 2' 6\" deep.",
    ):
        assert sentence in words


@pytest.mark.parametrize("larger", [1.0, 1.6])
def test_heights_and_names_cover_no_other_text(larger: float) -> None:
    boxes = []
    for text in drawn(ATTIC, larger=larger).iter(f"{SVG}text"):
        angle, size = (
            float(text.get("transform", "rotate(0 ").split("(")[1].split()[0]),
            number(text, "font-size"),
        )
        center = number(text, "x"), number(text, "y") - 0.36 * size
        boxes.append(Label(center, angle, text_width("".join(text.itertext()), size), size).corners())
    assert len(boxes) >= 4 + 2 + 2
    for index, box in enumerate(boxes):
        assert not any(overlap(box, other) for other in boxes[index + 1 :])


def test_two_openings_of_one_size_are_each_their_own_row() -> None:
    window = Opening("Window", "window", 0, 36 * IN, 48 * IN, 36 * IN)
    svg = plan_svg(replace(KITCHEN, openings=(window, window)))
    assert findall(r'data-item="openings (\d)"', svg) == ["0", "1"]
