"""Ceilings that slope, step or drop to soffits, niches and bays: by hand, and against other geometry."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise
from math import hypot, sqrt
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from catalog.measures.lengths import NM_PER_FOOT, NM_PER_INCH
from catalog.measures.room_measures import DeductRule
from estimating.linear_stock.pieces import StickRules, pieces_of
from estimating.rooms.ceiling import ceiling_over
from estimating.rooms.faults import plan_faults
from estimating.rooms.measures import measure
from estimating.rooms.outline import Leg
from estimating.rooms.plan import Footprint, HeightPoint, Opening, RoomPlan, Soffit, Spot, l_shape, rectangle
from tests.estimating.rooms.test_measures import Corner, legs_round, rings

IN, FT = NM_PER_INCH, NM_PER_FOOT
UNIT = 3 * IN  # everything that is drawn at random lies on a grid of 3 in
NO_MITERS = StickRules(casing_width_nm=0, crown_width_nm=0, corner_nm=0)
TWELVE_BY_TEN = RoomPlan("Room", rectangle(12 * FT, 10 * FT), 8 * FT)


def feet(plan: RoomPlan, *codes: str, walls: frozenset[int] | None = None) -> list[float]:
    measured = measure(plan, walls)
    return [float(measured.amount(code)) for code in codes]


def test_a_gable_wall_and_its_two_slopes() -> None:
    gable = replace(TWELVE_BY_TEN, heights=(HeightPoint(0, 6 * FT, 12 * FT),))
    rafter = hypot(6, 4)
    assert feet(gable, "wall_gross", "ceiling", "ceiling_line", "inside_corner", "floor") == pytest.approx(
        [2 * (12 * 8 + 12 * 4 / 2) + 2 * 10 * 8, 2 * rafter * 10, 4 * rafter + 20, 4 * 8 + 10, 120]
    )
    assert feet(gable, "wall_gross", walls=frozenset({0})) == [120]
    assert feet(gable, "wall_gross", walls=frozenset({1})) == [80]


def test_a_slope_up_to_the_far_wall_gives_corners_of_their_own_heights() -> None:
    shed = replace(TWELVE_BY_TEN, heights=(HeightPoint(0, 12 * FT, 12 * FT),))
    assert feet(shed, "wall_gross", "ceiling", "inside_corner", "outside_corner") == pytest.approx(
        [2 * 12 * 10 + 10 * 8 + 10 * 12, hypot(12, 4) * 10, 2 * 8 + 2 * 12, 0]
    )


def test_a_step_in_the_ceiling_has_a_face_and_an_edge() -> None:
    heights = (
        HeightPoint(0, 6 * FT, 8 * FT),
        HeightPoint(0, 6 * FT, 7 * FT),
        HeightPoint(0, 12 * FT, 7 * FT),
    )
    step = replace(TWELVE_BY_TEN, heights=heights)
    assert feet(step, "wall_gross", "ceiling", "ceiling_line", "inside_corner", "outside_corner") == [
        2 * (6 * 8 + 6 * 7) + 10 * 8 + 10 * 7 + 10,
        120,
        44 + 10,
        2 * 8 + 2 * 7 + 2 * 1,
        10,
    ]
    assert feet(step, "wall_gross", walls=frozenset({0, 1, 2})) == [
        90 + 70 + 90
    ]  # the face with all walls only


def test_a_soffit_with_a_free_end_adds_its_end() -> None:
    soffit = Soffit("Soffit", 0, None, 5 * FT, FT, FT)
    boxed = replace(TWELVE_BY_TEN, soffits=(soffit,))
    assert feet(boxed, "wall_gross", "ceiling", "ceiling_line", "inside_corner", "outside_corner") == [
        352 - 5 - 1 + 5 + 1,  # off wall A and off wall D at its end; its front and its free end
        120,
        44 + 6,
        4 * 8 + 1,  # 7 + 1 in the corner D-A, of which 1 is in front of the soffit; 1 at the free end
        6 + 1,
    ]
    # its end's upright edge stands out, which no brush cuts in
    assert feet(boxed, "cut_in") == [44 + 6 + 44 + 2 * (4 * 8 + 1) + 2 * 6]


def test_two_soffits_that_meet_in_a_corner_are_counted_there_once() -> None:
    soffits = (Soffit("Long", 0, 0, 12 * FT, FT, FT), Soffit("Short", 1, 0, 10 * FT, FT, FT))
    both = replace(TWELVE_BY_TEN, soffits=soffits)
    crown = [
        (piece.where, piece.length_nm / FT) for piece in pieces_of("ceiling_line", both, rules=NO_MITERS)
    ]
    assert ("wall B", 10) in crown  # under both of them, which hang as low
    assert feet(both, "wall_gross", "ceiling", "outside_corner", "inside_corner") == [
        352 - 12 - 10 - 1 - 1 + 11 + 9,
        120,
        11 + 9,
        7 + 7 + 7 + 8 + 1 + 1 + 1,
    ]


def test_a_niche_adds_its_sides_and_takes_its_opening_off_whatever_the_rule() -> None:
    niche = Opening("Niche", "niche", 0, 24 * IN, 12 * IN, 48 * IN, 36 * IN, 4 * IN)
    plan = replace(TWELVE_BY_TEN, openings=(niche,))
    inner = 2 * Fraction(4 * 12, 144) + 2 * Fraction(4 * 24, 144)
    for rule in (DeductRule("all"), DeductRule("none"), DeductRule("above", Fraction(20))):
        assert measure(plan).amount("wall_net", rule) == 352 + inner
    assert feet(plan, "outside_corner", "inside_corner", "opening_trim", "base", "floor") == pytest.approx(
        [6, 32 + 6 + 4 * 4 / 12, 0, 44, 120]
    )


def test_a_niche_on_the_floor_brings_floor_and_base_with_it() -> None:
    niche = Opening("Niche", "niche", 0, 24 * IN, 60 * IN, 0, 36 * IN, 12 * IN)
    plan = replace(TWELVE_BY_TEN, openings=(niche,))
    assert feet(plan, "floor", "floor_perimeter", "base", "ceiling_line", "outside_corner", "wall_net") == [
        122,
        46,
        46,
        44,
        12,
        352 + 2 * 5 + 2,
    ]


def test_a_bay_is_measured_by_walking_its_angles() -> None:
    # 12 ft of wall with a bay of 45 degrees in its middle: 2 ft deep, 4 ft at the back, 8 at its mouth.
    cheek = round(sqrt(8) * FT)
    half = Decimal(45)
    legs = (
        Leg(2 * FT, -half),
        Leg(cheek, half),
        Leg(4 * FT, half),
        Leg(cheek, -half),
        Leg(2 * FT),
        Leg(10 * FT),
        Leg(12 * FT),
        Leg(10 * FT),
    )
    bay = RoomPlan("Bay", legs, 8 * FT)
    around = 12 + 2 * 10 + 2 * 2 + 4 + 2 * sqrt(8)
    assert feet(bay, "floor", "wall_gross", "inside_corners", "outside_corners", "base") == pytest.approx(
        [120 + 2 * (4 + 8) / 2, around * 8, 6, 2, around]
    )
    # A soffit across the back of the bay: its ends run into the cheeks, which slant away from it.
    boxed = replace(bay, soffits=(Soffit("Soffit", 2, None, 4 * FT, FT, FT),))
    slanting_gap = 2 * 1 * 1  # its ends show, as the cheeks leave a corner of 45 degrees beside each
    assert feet(boxed, "wall_gross", "ceiling", "outside_corner") == pytest.approx(
        [around * 8 - 4 + 4 + slanting_gap, 132, 2 * 8 + 4 + 2 + 2], abs=1e-6
    )


# Rooms at random, against shapely and quarters of a circle.


@dataclass(frozen=True)
class Region:
    """A part of the ceiling on the plan: z = a x + b y + c."""

    shape: Any
    a: float
    b: float
    c: float

    def z(self, x: float, y: float) -> float:
        return self.a * x + self.b * y + self.c


@dataclass(frozen=True)
class Case:
    """A room on the grid, and the same as regions of its ceiling."""

    ring: list[Corner]
    plan: RoomPlan
    regions: list[Region]
    room: Any


@st.composite
def cases(draw: st.DrawFn) -> Case:
    shapely = pytest.importorskip("shapely")
    ring = draw(rings())
    height, room = 32, shapely.Polygon(ring)
    walls = list(pairwise([*ring, ring[0]]))
    soffits, boxes = [], []
    for _ in range(draw(st.integers(0, 3))):
        wall = draw(st.integers(0, len(walls) - 1))
        (ax, ay), (bx, by) = walls[wall]
        length = abs(bx - ax) + abs(by - ay)
        begin = draw(st.integers(0, length - 1))
        end = draw(st.integers(begin + 1, length))
        depth, drop = draw(st.integers(1, 8)), draw(st.integers(6, 9))
        soffits.append(Soffit("S", wall, begin * UNIT, (end - begin) * UNIT, depth * UNIT, drop * UNIT))
        east, north = (bx - ax) // length, (by - ay) // length
        corners = [(ax + east * at, ay + north * at) for at in (begin, end)]
        corners += [(x + north * depth, y - east * depth) for x, y in reversed(corners)]
        boxes.append((drop, shapely.Polygon(corners)))
    heights, spans = draw(profiles(walls, ring, height))
    regions, taken = [], shapely.Polygon()
    undersides = [(lowest_under(spans, box) - drop, box) for drop, box in boxes]
    for level, box in sorted(undersides, key=lambda each: each[0]):
        regions.append(Region(polygons((room & box) - taken), 0, 0, level))
        taken |= box
    for strip, a, b, c in spans:
        regions.append(Region(polygons((room & strip) - taken), a, b, c))
    plan = RoomPlan("Random", legs_round(ring, UNIT), height * UNIT, heights=heights, soffits=tuple(soffits))
    return Case(ring, plan, [region for region in regions if region.shape.area], room)


def lowest_under(spans: list[tuple[Any, float, float, float]], box: Any) -> float:
    """Return the lowest height of the strips over a box."""
    over = [(polygons(strip & box), a, b, c) for strip, a, b, c in spans]
    return min(
        float(a * x + b * y + c) for part, a, b, c in over if part.area for x, y in part.exterior.coords
    )


@st.composite
def profiles(
    draw: st.DrawFn, walls: list[tuple[Corner, Corner]], ring: list[Corner], height: int
) -> tuple[tuple[HeightPoint, ...], list[tuple[Any, float, float, float]]]:
    """Return heights along one wall, and the strips of the plan between them with their planes."""
    shapely = pytest.importorskip("shapely")
    wall = draw(st.integers(0, len(walls) - 1))
    (ax, ay), (bx, by) = walls[wall]
    length = abs(bx - ax) + abs(by - ay)
    axis, forward = int(ax == bx), (bx - ax) + (by - ay) > 0
    places = sorted(draw(st.lists(st.integers(0, length), max_size=4, unique=True)))
    points = []
    for place in places:
        for _ in range(draw(st.integers(1, 2))):
            points.append((place, draw(st.integers(27, 48))))
    heights = tuple(HeightPoint(wall, place * UNIT, high * UNIT) for place, high in points)
    along = sorted(
        (((ax, ay)[axis] + (place if forward else -place), order if forward else -order), high)
        for order, (place, high) in enumerate(points)
    )
    known = [(place, high) for (place, _), high in along]
    low, high = min(point[axis] for point in ring), max(point[axis] for point in ring)
    if not known or known[0][0] > low:
        known.insert(0, (low, height))
    if known[-1][0] < high:
        known.append((high, height))
    spans = []
    for (begin, z), (end, z_end) in pairwise(known):
        if begin < end:
            rise = (z_end - z) / (end - begin)
            far = 10_000
            strip = shapely.box(begin, -far, end, far) if axis == 0 else shapely.box(-far, begin, far, end)
            spans.append((strip, *((rise, 0) if axis == 0 else (0, rise)), z - rise * begin))
    return heights, spans


def polygons(shape: Any) -> Any:
    """Return a shape without the points and lines in which others only touch."""
    shapely = pytest.importorskip("shapely")
    return shapely.union_all([part for part in getattr(shape, "geoms", [shape]) if part.area])


def straight_parts(shared: Any) -> Iterator[tuple[Corner, Corner]]:
    """Yield the straight pieces of what two outlines share."""
    if shared.geom_type == "LineString":
        yield from pairwise(shared.coords)
    for part in getattr(shared, "geoms", ()):
        yield from straight_parts(part)


def expected(case: Case) -> dict[str, float]:
    """Return the measures in units of the grid, from the regions alone."""
    sums = dict.fromkeys(("wall_gross", "ceiling", "ceiling_line", "inside_corner", "outside_corner"), 0.0)
    for region in case.regions:
        sums["ceiling"] += region.shape.area * sqrt(1 + region.a**2 + region.b**2)
        for start, end in straight_parts(region.shape.boundary & case.room.boundary):
            z, z_end = region.z(*start), region.z(*end)
            sums["wall_gross"] += hypot(end[0] - start[0], end[1] - start[1]) * (z + z_end) / 2
            sums["ceiling_line"] += hypot(end[0] - start[0], end[1] - start[1], z_end - z)
    for number, one in enumerate(case.regions):
        for other in case.regions[number + 1 :]:
            for start, end in straight_parts(one.shape.boundary & other.shape.boundary):
                lower, upper = sorted((one, other), key=lambda region: region.z(*start) + region.z(*end))
                drops = [upper.z(*at) - lower.z(*at) for at in (start, end)]
                length = hypot(end[0] - start[0], end[1] - start[1])
                if max(drops) > 1e-9:
                    sums["wall_gross"] += length * sum(drops) / 2
                    rise = upper.z(*end) - upper.z(*start)
                    sums["ceiling_line"] += hypot(length, rise)
                    sums["outside_corner"] += length
                elif (one.a, one.b) != (other.a, other.b):
                    sums[_bend(one, other)] += length
    for kind, length in _upright(case):
        sums[kind] += length
    return sums


def _bend(one: Region, other: Region) -> str:
    """Tell whether the ceiling stands out where two slopes meet: a mean of both is then higher."""
    middle, beyond = one.shape.representative_point(), other.shape.representative_point()
    fall = one.a * (beyond.x - middle.x) + one.b * (beyond.y - middle.y)
    rise = other.a * (beyond.x - middle.x) + other.b * (beyond.y - middle.y)
    return "outside_corner" if rise > fall else "inside_corner"


def _upright(case: Case) -> Iterator[tuple[str, float]]:
    """Yield upright corners by the quarters of a circle that are open, level by level, at every point."""
    shapely = pytest.importorskip("shapely")
    points = {point for region in case.regions for ring in _rings(region.shape) for point in ring.coords}
    hair = 1 / 1024
    for x, y in sorted(points):
        quarters = []
        for east, north in ((1, 1), (-1, 1), (-1, -1), (1, -1)):
            spot = shapely.Point(x + east * hair, y + north * hair)
            over = [region for region in case.regions if region.shape.contains(spot)]
            quarters.append(over[0].z(x, y) if over else 0.0)
        for low, high in pairwise(sorted({0.0, *quarters})):
            taken = [quarter >= high for quarter in quarters]
            if sum(taken) == 3:
                yield "outside_corner", high - low
            elif sum(taken) == 1:
                yield "inside_corner", high - low
            elif sum(taken) == 2 and taken[0] == taken[2]:
                yield "inside_corner", 2 * (high - low)


def _rings(shape: Any) -> Iterator[Any]:
    for part in getattr(shape, "geoms", [shape]):
        if part.geom_type == "Polygon":
            yield from (part.exterior, *part.interiors)


@settings(max_examples=60, deadline=None)
@given(cases())
def test_every_quantity_agrees_with_another_geometry(case: Case) -> None:
    assert not list(plan_faults(case.plan))
    measured, wanted = measure(case.plan), expected(case)
    foot = UNIT / FT
    for code, amount in wanted.items():
        scale = foot**2 if code in ("wall_gross", "ceiling") else foot
        assert float(measured.amount(code)) == pytest.approx(amount * scale, abs=1e-6), code
    for code in ("ceiling_line", "inside_corner", "outside_corner", "base", "floor_perimeter"):
        pieces = sum(piece.length_nm for piece in pieces_of(code, case.plan, rules=NO_MITERS))
        assert pieces / FT == pytest.approx(float(measured.amount(code)), abs=1e-6), code


def same_sums(one: RoomPlan, other: RoomPlan) -> None:
    """Check that two rooms have the same measures, to a nanometer in each of their lines."""
    first, second = measure(one).values, measure(other).values
    assert first.keys() == second.keys()
    for code, amount in first.items():
        assert float(second[code]) == pytest.approx(float(amount), abs=1e-6), code


@settings(max_examples=25, deadline=None)
@given(cases(), st.data())
def test_a_room_walked_from_another_corner_or_with_a_wall_in_two_has_the_same_sums(
    case: Case, data: st.DataObject
) -> None:
    plan = case.plan
    count = len(plan.legs)
    by = data.draw(st.integers(1, count - 1))
    moved = replace(
        plan,
        legs=plan.legs[by:] + plan.legs[:by],
        heights=tuple(replace(point, wall=(point.wall - by) % count) for point in plan.heights),
        soffits=tuple(replace(soffit, wall=((soffit.wall or 0) - by) % count) for soffit in plan.soffits),
    )
    same_sums(plan, moved)
    last = plan.legs[-1]
    at = data.draw(st.integers(1, last.length_nm // UNIT)) * UNIT // 2
    if any(soffit.wall == count - 1 for soffit in plan.soffits):
        return
    heights = tuple(
        replace(point, wall=count, along_nm=point.along_nm - at)
        if point.wall == count - 1 and point.along_nm > at
        else point
        for point in plan.heights
    )
    legs = (*plan.legs[:-1], Leg(at, Decimal(0)), Leg(last.length_nm - at))
    same_sums(plan, replace(plan, legs=legs, heights=heights))


def walked_from_two_corners(plan: RoomPlan) -> tuple[RoomPlan, RoomPlan]:
    """Return a room with its first corner cut off at 45 degrees, and the same walked from that cut.

    In the second all other walls slant on the plan.
    """
    cut, half = 3 * IN, Decimal(45)
    first, last = plan.legs[0], plan.legs[-1]
    shorter = [replace(first, length_nm=first.length_nm - cut), *plan.legs[1:-1]]
    legs = (*shorter, Leg(last.length_nm - cut, half), Leg(round(sqrt(2) * cut), half))
    askew = replace(
        plan,
        legs=legs[-1:] + legs[:-1],
        openings=tuple(replace(opening, wall=opening.wall + 1) for opening in plan.openings),
        soffits=tuple(replace(soffit, wall=(soffit.wall or 0) + 1) for soffit in plan.soffits),
        heights=tuple(replace(point, wall=point.wall + 1) for point in plan.heights),
    )
    return replace(plan, legs=legs), askew


@settings(max_examples=25, deadline=None)
@given(cases())
def test_a_room_that_stands_askew_on_its_plan_has_the_same_sums(case: Case) -> None:
    plan, last = case.plan, len(case.plan.legs) - 1
    # what the cut moves or shortens is left out
    soffits = tuple(soffit for soffit in plan.soffits if soffit.wall not in (0, last))
    heights = plan.heights if plan.heights and plan.heights[0].wall not in (0, last) else ()
    same_sums(*walked_from_two_corners(replace(plan, soffits=soffits, heights=heights)))


STEP = (HeightPoint(1, 69 * IN, 8 * FT), HeightPoint(1, 69 * IN, 7 * FT), HeightPoint(1, 12 * FT, 7 * FT))
OFF_BY_A_HAIR = {
    "a bend that runs into a corner": {"heights": (HeightPoint(1, 3 * IN, 81 * IN),)},
    "a step on both its walls": {
        "heights": (*STEP, HeightPoint(3, 75 * IN, 7 * FT), HeightPoint(3, 75 * IN, 8 * FT))
    },
    "a soffit that ends at a step": {
        "heights": STEP,
        "soffits": (Soffit("Soffit", 3, 75 * IN, 36 * IN, FT, FT),),
    },
    "a soffit whose front is at a step": {
        "heights": STEP,
        "soffits": (Soffit("Soffit", 0, 3 * FT, 3 * FT, 69 * IN, FT),),
    },
    "a window that ends at a step": {
        "heights": STEP,
        "openings": (Opening("Window", "window", 3, 36 * IN, FT, 78 * IN, 75 * IN),),
    },
}


@pytest.mark.parametrize("parts", OFF_BY_A_HAIR.values(), ids=OFF_BY_A_HAIR)
def test_what_meets_on_one_line_meets_where_slanting_walls_are_off_by_a_hair(parts: dict[str, Any]) -> None:
    room = RoomPlan("Room", rectangle(109 * IN, 12 * FT), 8 * FT)
    same_sums(*walked_from_two_corners(replace(room, **parts)))


def test_a_height_that_two_walls_don_t_agree_on_is_told_of_in_a_slanting_room_too() -> None:
    heights = (HeightPoint(1, 5 * FT, 10 * FT), HeightPoint(3, 7 * FT, 9 * FT))
    _, askew = walked_from_two_corners(RoomPlan("Room", rectangle(12 * FT, 12 * FT), 8 * FT, heights=heights))
    assert [fault.field for fault in plan_faults(askew)] == ["heights 2 height"]


def test_a_ridge_given_on_both_its_walls_is_one_where_the_walls_are_balanced() -> None:
    legs = (Leg(12 * FT), Leg(10 * FT), Leg(12 * FT - IN // 2), Leg(10 * FT))
    ridge = (HeightPoint(0, 6 * FT, 10 * FT), HeightPoint(2, 6 * FT - IN // 4, 10 * FT))
    room = RoomPlan("Out of square", legs, 8 * FT, balanced=True, heights=ridge)
    assert len(ceiling_over(room).bends) == 1


@settings(max_examples=25, deadline=None)
@given(cases())
def test_walls_one_by_one_make_the_room_but_for_steps_right_across(case: Case) -> None:
    plan = case.plan
    alone = [measure(plan, frozenset({wall})) for wall in range(len(plan.legs))]
    steps = [face for face in ceiling_over(plan).faces if face.soffit is None]
    whole = measure(plan)
    for code, of_steps in (
        ("wall_gross", sum((face.area_nm2 for face in steps), Fraction(0)) / FT**2),
        ("ceiling_line", sum((face.upper_edge_nm for face in steps), Fraction(0)) / FT),
        ("floor_perimeter", Fraction(0)),
        ("base", Fraction(0)),
    ):
        assert sum(measured.amount(code) for measured in alone) + of_steps == whole.amount(code), code
        assert all(measured.amount("ceiling") == whole.amount("ceiling") for measured in alone)


@pytest.mark.parametrize("off_nm", [IN // 2, -IN // 2])
def test_a_step_along_a_wall_that_juts_out_is_clean_where_the_walls_are_balanced(off_nm: int) -> None:
    legs = l_shape(12 * FT, 10 * FT, 6 * FT, 4 * FT)
    off = (replace(legs[0], length_nm=legs[0].length_nm + off_nm), *legs[1:])
    step = (HeightPoint(0, 6 * FT, 8 * FT), HeightPoint(0, 6 * FT, 7 * FT))
    heights = (*step, HeightPoint(0, 12 * FT - IN // 2, 7 * FT))
    true, balanced = (
        measure(RoomPlan("L", walls, 8 * FT, heights=heights, balanced=True)) for walls in (legs, off)
    )
    for code in ("wall_gross", "ceiling_line", "inside_corner", "outside_corner", "cut_in"):
        assert float(balanced.amount(code)) == pytest.approx(float(true.amount(code)), rel=0.01), code
    assert true.amount("outside_corner") == 7 + 6
    assert balanced.amount("outside_corners") == true.amount("outside_corners") == 1


@settings(max_examples=25, deadline=None)
@given(rings(), st.data())
def test_a_slope_of_equal_heights_is_a_level_ceiling(ring: list[Corner], data: st.DataObject) -> None:
    level = RoomPlan("Level", legs_round(ring, UNIT), 32 * UNIT)
    wall = data.draw(st.integers(0, len(level.legs) - 1))
    places = data.draw(st.lists(st.integers(0, level.legs[wall].length_nm // UNIT), max_size=3, unique=True))
    points = tuple(HeightPoint(wall, place * UNIT, level.height_nm) for place in places)
    assert measure(replace(level, heights=points)) == measure(level)


OCTAGON = tuple(Leg(5 * FT, Decimal(45)) for _ in range(8))


def test_a_ceiling_under_slanting_walls_by_hand() -> None:
    # A regular octagon: heights along wall A, which runs over the middle 5 of its 5 + 5 sqrt(2) ft.
    far = 5 / sqrt(2)
    room = RoomPlan("Tower", OCTAGON, 8 * FT, heights=(HeightPoint(0, 5 * FT // 2, 11 * FT),))
    rise = 3 / (2.5 + far)
    at_ends_of_a = 8 + rise * far
    walls = 2 * 5 * (at_ends_of_a + 11) / 2 + 4 * 5 * (8 + at_ends_of_a) / 2 + 2 * 5 * 8
    floor = 2 * (1 + sqrt(2)) * 25
    assert feet(room, "floor", "wall_gross", "ceiling", "inside_corner") == pytest.approx(
        [floor, walls, floor * sqrt(1 + rise**2), 4 * at_ends_of_a + 4 * 8 + 5 + 2 * far], abs=1e-6
    )
    # A soffit all along wall B, which slants: its ends stand off the walls beside it by their 45 degrees.
    boxed = RoomPlan("Tower", OCTAGON, 8 * FT, soffits=(Soffit("Soffit", 1, None, 5 * FT, FT, FT),))
    assert feet(boxed, "wall_gross", "ceiling", "outside_corner", "inside_corner") == pytest.approx(
        [40 * 8 + 2 * 1, floor, 5 + 2 + 2, 8 * 8], abs=1e-6
    )


def test_a_soffit_in_a_room_that_is_balanced_has_no_ends_in_its_corners() -> None:
    legs = (Leg(12 * FT), Leg(10 * FT + IN // 2), Leg(12 * FT + IN // 4), Leg(10 * FT))
    room = RoomPlan("Out of square", legs, 8 * FT, balanced=True)
    boxed = replace(room, soffits=(Soffit("Soffit", 0, 0, 12 * FT - IN // 2, FT, FT),))
    faces = measure(boxed).amount("wall_gross") - measure(room).amount("wall_gross")
    assert float(faces) == pytest.approx(-2, abs=1e-3)
    assert measure(boxed).amount("outside_corners") == 0
    assert measure(boxed).amount("inside_corners") == 6


BELOW = (HeightPoint(0, 12 * FT, 6 * FT),)
BAD_OVERHEAD = [
    (
        {"heights": (HeightPoint(0, 13 * FT, 9 * FT),)},
        "heights 1 offset",
        "Wall A is 12' 0\" long: its heights are taken between 0 and that from its start.",
    ),
    (
        {"heights": (HeightPoint(0, 6 * FT, 9 * FT), HeightPoint(1, 6 * FT, 9 * FT))},
        "heights 2 wall",
        "Heights are taken along walls that run the same way: wall B doesn't run along wall A. The ceiling is"
        " taken to be the same right across.",
    ),
    (
        {"heights": tuple(HeightPoint(0, 6 * FT, high * FT) for high in (8, 9, 10))},
        "heights 3 offset",
        "Two heights at one place are a step: a third can't be there.",
    ),
    (
        {"heights": (HeightPoint(0, 6 * FT, 9 * FT), HeightPoint(2, 6 * FT, 10 * FT))},
        "heights 2 height",
        "On another wall the ceiling has another height on this line across the room: give it once, or the"
        " same on wall C.",
    ),
    (
        {"soffits": (Soffit("Soffit", 0, 0, 12 * FT, FT, 9 * FT),)},
        "soffit 1 height",
        "Soffit drops 9' 0\" below a ceiling that is 8' 0\" high: type how far it hangs down.",
    ),
    (
        {"soffits": (Soffit("Soffit", 0, 4 * FT, 10 * FT, FT, FT),)},
        "soffit 1 offset",
        "Soffit ends 14' 0\" from the start of wall A, which is 12' 0\" long.",
    ),
    (
        {"soffits": (Soffit("Soffit", 1, 0, 10 * FT, FT, 7 * FT),), "heights": BELOW},
        "soffit 1 height",
        "Soffit drops 7' 0\" below a ceiling that is 6' 0\" high: type how far it hangs down.",
    ),
    (
        {"openings": (Opening("Niche", "niche", 0, 13 * FT, FT, 4 * FT, 0, 4 * IN),)},
        "opening 1",
        "Niche, 13' 0\", is longer than wall A (12' 0\").",
    ),
    (
        {"openings": (Opening("Niche", "niche", 0, FT, FT, 4 * FT, 0, 0),)},
        "opening 1 recess",
        "Type how deep Niche goes into the wall.",
    ),
    (
        {"openings": (Opening("Niche", "niche", 0, FT, 4 * FT, 4 * FT, 0, 4 * IN),)},
        "opening 1 height",
        "Niche reaches the ceiling: measure it as walls of the room instead.",
    ),
    (
        {
            "openings": (
                Opening("Window", "window", 0, 3 * FT, 3 * FT, 3 * FT, FT),
                Opening("Niche", "niche", 0, FT, FT, 4 * FT, 2 * FT, 4 * IN),
            )
        },
        "opening 2",
        "Niche overlaps Window: check where each begins on the wall.",
    ),
    (
        {"openings": (Opening("Window", "window", 1, 3 * FT, 3 * FT, 4 * FT, FT),), "heights": BELOW},
        "opening 1 height",
        "Window reaches 7' 0\" above the floor, higher than the ceiling or soffit there at 6' 0\".",
    ),
    (
        {"openings": (Opening("Window", "window", 0, 3 * FT, 3 * FT, 4 * FT),), "heights": BELOW},
        "opening 1 offset",
        "Type where Window begins on wall A (12' 0\"): the ceiling there comes down to 6' 0\", lower than its"
        " top.",
    ),
    (
        {
            "footprints": (
                Footprint("Island", "island", None, None, 5 * FT, 3 * FT, spot=Spot(0, FT, 8 * FT)),
            )
        },
        "footprint 1 off_wall",
        "Island doesn't fit there: 8' 0\" off wall A (12' 0\") it would stand in another wall.",
    ),
    (
        {
            "footprints": (
                Footprint("Island", "island", None, None, 5 * FT, 3 * FT, spot=Spot(0, 9 * FT, FT)),
            )
        },
        "footprint 1 offset",
        "Island must begin between 0 and 7' 0\" from the start of wall A (12' 0\"), to end on the wall.",
    ),
]


@pytest.mark.parametrize(("parts", "field", "sentence"), BAD_OVERHEAD, ids=[row[2] for row in BAD_OVERHEAD])
def test_what_cannot_be_overhead_is_said_beside_its_field(
    parts: dict[str, Any], field: str, sentence: str
) -> None:
    (fault,) = plan_faults(replace(TWELVE_BY_TEN, **parts))
    assert (fault.field, str(fault)) == (field, sentence)
