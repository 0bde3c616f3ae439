"""Walls drawn as they look, read back from the drawing's own numbers."""

from dataclasses import replace
from decimal import Decimal
from xml.etree import ElementTree as ET

import pytest

from catalog.measures.lengths import NM_PER_INCH as IN
from estimating.cabinets.units import parse_units
from estimating.rooms.elevation import elevation_in_words, elevation_svg, walls_to_draw
from estimating.rooms.outline import Leg
from estimating.rooms.plan import Footprint, HeightPoint, Opening, RoomPlan, Soffit, rectangle

SVG = "{http://www.w3.org/2000/svg}"
SINK = Footprint(
    "Sink run",
    "cabinets",
    0,
    0,
    120 * IN,
    24 * IN,
    units=parse_units("36, dishwasher 24, sink 36, filler 24"),
)
UPPERS = Footprint("Uppers", "hung", 0, 0, 36 * IN, 12 * IN, units=parse_units("36"))
WINDOW = Opening("Window", "window", 0, 30 * IN, 36 * IN, sill_nm=42 * IN, offset_nm=60 * IN)
ROOM = RoomPlan("Kitchen", rectangle(120 * IN, 100 * IN), 96 * IN, (WINDOW,), (SINK, UPPERS))

Box = tuple[float, float, float, float]  # from the wall's left end and from the floor, in inches


def boxes(plan: RoomPlan, wall: int = 0, name: str = "plan-opened") -> list[Box]:
    """Left, bottom, width and height of the outlined boxes, in inches by the wall's own outline."""
    root = ET.fromstring(elevation_svg(plan, wall))
    (outline,) = root.iter(f"{SVG}polyline")
    points = [[float(at) for at in point.split(",")] for point in outline.attrib["points"].split()]
    left, right = min(x for x, _ in points), max(x for x, _ in points)
    floor, length = max(y for _, y in points), plan.legs[wall].length_nm / IN
    scale = (right - left) / length
    found = []
    for box in root.iter(f"{SVG}rect"):
        if name in box.attrib["class"].split():
            x, y, width, height = (float(box.attrib[key]) for key in ("x", "y", "width", "height"))
            found.append(((x - left) / scale, (floor - y - height) / scale, width / scale, height / scale))
    return found


def near(*box: float) -> object:
    return pytest.approx(box, abs=0.1)


def test_cabinets_counter_and_window_stand_where_their_sizes_say() -> None:
    window, *run, counter, upper = boxes(ROOM)
    assert window == near(60, 42, 30, 36)
    assert run == [near(0, 0, 36, 34.5), near(36, 0, 24, 34.5), near(60, 0, 36, 34.5), near(96, 0, 24, 34.5)]
    assert counter == near(0, 34.5, 120, 1.5)
    assert upper == near(0, 54, 36, 30)
    assert boxes(ROOM, name="plan-splash") == [
        near(0, 36, 120, 18)
    ]  # the window's sill is higher than the counter


def test_a_wall_that_runs_counterclockwise_begins_at_the_right() -> None:
    legs = tuple(Leg(leg.length_nm, Decimal(-90)) for leg in ROOM.legs)
    mirrored = RoomPlan("Kitchen", legs, 96 * IN, (WINDOW,), (SINK, UPPERS))
    window, first, *_ = boxes(mirrored)
    assert window == near(30, 42, 30, 36)
    assert first == near(84, 0, 36, 34.5)


def test_the_top_follows_the_slope_and_a_soffit_hangs_under_it() -> None:
    attic = RoomPlan(
        "Attic",
        rectangle(120 * IN, 100 * IN),
        96 * IN,
        footprints=(SINK,),
        heights=(HeightPoint(0, 0, 60 * IN), HeightPoint(0, 60 * IN, 96 * IN)),
        soffits=(Soffit("Soffit", 0, 80 * IN, 40 * IN, 12 * IN, 14 * IN),),
    )
    root = ET.fromstring(elevation_svg(attic, 0))
    (outline,) = root.iter(f"{SVG}polyline")
    points = [tuple(map(float, point.split(","))) for point in outline.attrib["points"].split()]
    floor, scale = points[0][1], (points[-2][0] - points[0][0]) / 120
    profile = {(round((x - points[0][0]) / scale), round((floor - y) / scale)) for x, y in points}
    assert profile == {(0, 0), (0, 60), (60, 96), (80, 96), (80, 82), (120, 82), (120, 0)}
    assert near(80, 82, 40, 14) in boxes(attic)


def test_what_runs_into_a_corner_is_drawn_cut_through() -> None:
    side = Footprint("Side", "cabinets", 1, 0, 80 * IN, 24 * IN, units=parse_units("space 24, 36"))
    room = RoomPlan("Kitchen", ROOM.legs, 96 * IN, footprints=(SINK, side))
    assert boxes(room, 0, "plan-footprint")[0] == near(96, 0, 24, 34.5)
    assert boxes(room, 1, "plan-footprint")[0] == near(0, 0, 24, 34.5)  # the sink run, from the other wall


def test_words_say_what_the_drawing_shows() -> None:
    assert walls_to_draw(ROOM) == (0,)
    words = elevation_in_words(ROOM, 0)
    assert words == (
        "Wall A, 10' 0\" long. Window, 5' 0\" from the start: 2' 6\" wide, 3' 0\" high, 3' 6\" above the"
        " floor."
        ' Wall A, base cabinets, 0" from the start: 36", dishwasher 24", sink 36", filler 24".'
        ' Wall A, wall cabinets, 0" from the start: 36".'
    )
    assert ET.fromstring(elevation_svg(ROOM, 0)).findtext(f"{SVG}desc") == words
    assert "914 mm" in elevation_in_words(ROOM, 0, metric=True)


def test_the_walls_of_a_room_are_drawn_to_one_scale() -> None:
    short = Footprint(
        "Short run", "cabinets", 1, 0, 100 * IN, 24 * IN, units=parse_units("30, 36, filler 34")
    )
    plan = replace(ROOM, footprints=(*ROOM.footprints, short))
    drawn = [ET.fromstring(elevation_svg(plan, wall, larger=1.5)) for wall in (0, 1)]
    lines = [next(root.iter(f"{SVG}polyline")).attrib["points"].split() for root in drawn]
    across = [[float(point.split(",")[0]) for point in line] for line in lines]
    long, short_one = (max(at) - min(at) for at in across)
    assert drawn[0].attrib["viewBox"] == drawn[1].attrib["viewBox"]
    assert long / short_one == pytest.approx(1.2, abs=0.01)
