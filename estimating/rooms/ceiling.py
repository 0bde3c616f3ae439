"""The ceiling over a room that isn't one level plane: slopes, steps and soffits, and what they make of walls.

The plan is cut along its walls, the edges of soffits, and the lines across the room where the ceiling bends
or steps. Of every piece of line (`Seam`) it is known what lies on either side: nothing, a span of the ceiling
between two bends, or the underside of a soffit. Areas, faces, edges and corners all follow from the seams.

Exact in fractions but for what has no fraction, a slanting length or area, which is the nearest whole.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cached_property, cmp_to_key, lru_cache
from itertools import accumulate, pairwise
from math import isqrt
from typing import Literal, NamedTuple

from catalog.measures.lengths import NM_PER_INCH
from estimating.rooms.outline import (
    OBLIQUE_ALLOWANCE_NM,
    RIGHT,
    Leg,
    Outline,
    PlanError,
    Point,
    squared,
    wall_letter,
)
from estimating.rooms.plan import HeightPoint, RoomPlan, Soffit, room_outline

XY = tuple[Fraction, Fraction]
# A span of the ceiling (0, 1, ...), the underside of a soffit (-1, -2, ...), or None for outside the room.
Plane = int | None
OUTSIDE: Plane = None

# A height as near as this to the end of the room, or to a corner of balanced walls, is there, and a soffit as
# near to an inside corner runs into it: what was typed and what was balanced differ by so much (invented).
SNAP_NM = NM_PER_INCH
# Slanting walls stand a nanometer or so off where they should: points as near as TOUCHING_NM are one, and
# what lies beside a line is looked up ASIDE_NM from it.
TOUCHING_NM = 1_000
ASIDE_NM = 50_000
STRAIGHT = 1_000  # faces that turn by less than one in so many run straight on


class CrossHeights(PlanError):
    """Heights that no one ceiling has; the field names the row."""


class Source(NamedTuple):
    """What a seam runs along: a wall, a side of a soffit (side 0 at its wall), or a bend of the ceiling."""

    kind: Literal["wall", "soffit", "bend"]
    number: int
    side: int = 0


@dataclass(frozen=True)
class Seam:
    """A piece of line on the plan with one plane on its left, seen from start to end, and another right.

    `along_nm` are the distances of its ends from the start of its source, a bend's from no certain point.
    """

    start: XY
    end: XY
    left: Plane
    right: Plane
    source: Source
    along_nm: tuple[Fraction, Fraction]

    @property
    def length_nm(self) -> Fraction:
        return abs(self.along_nm[1] - self.along_nm[0])


@dataclass(frozen=True)
class TopRun:
    """A straight run of the top of a wall: where it begins and ends along the wall, and its height there."""

    begin_nm: Fraction
    end_nm: Fraction
    begin_height_nm: Fraction
    end_height_nm: Fraction

    def goes_on_in(self, after: "TopRun") -> bool:
        """Tell whether another run begins where this one ends, and runs on straight."""
        meets = (self.end_nm, self.end_height_nm) == (after.begin_nm, after.begin_height_nm)
        rise, further = self.end_height_nm - self.begin_height_nm, after.end_height_nm - after.begin_height_nm
        return meets and rise * (after.end_nm - after.begin_nm) == further * (self.end_nm - self.begin_nm)

    @property
    def length_nm(self) -> Fraction:
        """Its length along the slope."""
        return slanting_nm(self.end_nm - self.begin_nm, self.end_height_nm - self.begin_height_nm)

    @property
    def area_nm2(self) -> Fraction:
        """The area of the wall under it."""
        return (self.end_nm - self.begin_nm) * (self.begin_height_nm + self.end_height_nm) / 2

    def height_at(self, along_nm: Fraction) -> Fraction:
        rise = self.end_height_nm - self.begin_height_nm
        return self.begin_height_nm + rise * (along_nm - self.begin_nm) / (self.end_nm - self.begin_nm)


@dataclass(frozen=True)
class Face:
    """An upright face in the room under a step of the ceiling or beside a soffit, `soffit` None for a step.

    `low_nm` and `high_nm` are the heights of its lower and upper edge at both its ends.
    """

    seam: Seam
    soffit: int | None
    low_nm: tuple[Fraction, Fraction]
    high_nm: tuple[Fraction, Fraction]

    @property
    def area_nm2(self) -> Fraction:
        (low, other_low), (high, other_high) = self.low_nm, self.high_nm
        return self.seam.length_nm * (high - low + other_high - other_low) / 2

    @property
    def lower_edge_nm(self) -> Fraction:
        return slanting_nm(self.seam.length_nm, self.low_nm[1] - self.low_nm[0])

    @property
    def upper_edge_nm(self) -> Fraction:
        return slanting_nm(self.seam.length_nm, self.high_nm[1] - self.high_nm[0])


@dataclass(frozen=True)
class CornerRun:
    """A straight corner that stands upright, inside or outside, between what `owners` tell.

    An owner is the index of a wall, that of the wall which a soffit runs along, or None for a step.
    """

    outside: bool
    length_nm: Fraction
    owners: tuple[int | None, int | None]
    names: tuple[str, str]

    @property
    def where(self) -> str:
        return "-".join(self.names)


@dataclass(frozen=True)
class Profile:
    """The heights across a room in one direction: at `places` (along `toward`, in its own units), rising.

    A place that comes twice is a step. `toward` is the direction of the first wall that heights were taken
    on; a place is the product of a point and `toward`, at a bend or step where the point touches it: seams
    end at corners, which may stand off the line by a hair, and what meets there must be as high.
    """

    toward: Point
    places: tuple[Fraction, ...]
    heights_nm: tuple[Fraction, ...]

    def place_of(self, point: XY) -> Fraction:
        place = point[0] * self.toward[0] + point[1] * self.toward[1]
        return _snapped(place, self.places, self._touching)

    @cached_property
    def _touching(self) -> Fraction:
        # a point is moved by TOUCHING_NM along either axis at most, so by less than twice that in all
        return 2 * _places_in(TOUCHING_NM, self.toward)

    @cached_property
    def spans(self) -> tuple[tuple[Fraction, Fraction, Fraction, Fraction], ...]:
        """Begin, end, and the height at each, of every stretch between two places."""
        points = list(zip(self.places, self.heights_nm, strict=True))
        return tuple((begin, end, low, high) for (begin, low), (end, high) in pairwise(points) if begin < end)

    def span_at(self, point: XY) -> int:
        place = self.place_of(point)
        return next(
            (number for number, (_, end, *_) in enumerate(self.spans) if place <= end), len(self.spans) - 1
        )

    def height_nm(self, span: int, point: XY) -> Fraction:
        begin, end, low, high = self.spans[span]
        return low + (high - low) * (self.place_of(point) - begin) / (end - begin)

    def slope_squared(self, span: int) -> Fraction:
        """The square of rise over run."""
        begin, end, low, high = self.spans[span]
        dx, dy = self.toward
        return (high - low) ** 2 * (dx * dx + dy * dy) / (end - begin) ** 2

    def rise(self, span: int) -> Fraction:
        begin, end, low, high = self.spans[span]
        return (high - low) / (end - begin)

    def between(self, begin: Fraction, end: Fraction) -> Iterator[Fraction]:
        """Yield the heights that bound those between two places, or those at one."""
        for from_place, to_place, low, high in self.spans:
            first, last = max(begin, from_place), min(end, to_place)
            if first < last or begin == end == first == last:
                rise = (high - low) / (to_place - from_place)
                yield low + rise * (first - from_place)
                yield low + rise * (last - from_place)


def is_level(plan: RoomPlan) -> bool:
    """Tell whether the ceiling is one level plane."""
    return not plan.heights and not plan.soffits


def ceiling_over(plan: RoomPlan) -> "Ceiling":
    """Return the ceiling of a plan whose walls are right. Raises PlanError where its heights don't agree."""
    return _ceiling(plan.legs, plan.balanced, plan.height_nm, plan.heights, plan.soffits)


@lru_cache(maxsize=256)
def _ceiling(
    legs: tuple[Leg, ...],
    balanced: bool,
    height_nm: int,
    heights: tuple[HeightPoint, ...],
    soffits: tuple[Soffit, ...],
) -> "Ceiling":
    plan = RoomPlan("", legs, height_nm, balanced=balanced, heights=heights, soffits=soffits)
    shape = squared(room_outline(plan))
    return Ceiling(plan, shape, profile_of(plan, shape))


def profile_of(plan: RoomPlan, shape: Outline) -> Profile:
    """Return the heights across the room. Raises CrossHeights where they aren't those of one ceiling."""
    first = plan.heights[0].wall if plan.heights else 0
    (ax, ay), (bx, by) = shape.segments[first]
    toward = bx - ax, by - ay
    ends = [x * toward[0] + y * toward[1] for x, y in shape.vertices]
    begin, end = Fraction(min(ends)), Fraction(max(ends))
    snap, allowance = _places_in(SNAP_NM, toward), _places_in(OBLIQUE_ALLOWANCE_NM, toward)
    headings = list(accumulate((leg.turn for leg in plan.legs[:-1]), initial=Decimal(0)))
    by_place: dict[Fraction, dict[int, list[tuple[int, int]]]] = defaultdict(lambda: defaultdict(list))
    for number, point in enumerate(plan.heights, start=1):
        across = (headings[point.wall] - headings[first]) % 180
        if across:
            raise CrossHeights(
                f"Heights are taken along walls that run the same way: wall {wall_letter(point.wall)} doesn't"
                f" run along wall {wall_letter(first)}. The ceiling is taken to be the same right across.",
                f"heights {number} wall",
            )
        (cx, cy), (dx, dy) = shape.segments[point.wall]
        share = Fraction(point.along_nm, shape.lengths_nm[point.wall])
        place = (cx + (dx - cx) * share) * toward[0] + (cy + (dy - cy) * share) * toward[1]
        place = _snapped(place, ends if plan.balanced else (begin, end), snap)
        # the same line across the room, given on another wall too
        elsewhere = [at for at, on_walls in by_place.items() if on_walls.keys() - {point.wall}]
        place = _snapped(place, elsewhere, snap if plan.balanced else allowance)
        by_place[place][point.wall].append((number, point.height_nm))
    places: list[Fraction] = []
    heights: list[Fraction] = []
    for place in sorted({begin, end, *by_place}):
        known = _heights_at(by_place[place], headings, first) if by_place[place] else [plan.height_nm]
        places += [place] * len(known)
        heights += [Fraction(height) for height in known]
    bends = [at for at in range(len(places)) if not _runs_on(places, heights, at)]
    return Profile(toward, tuple(places[at] for at in bends), tuple(heights[at] for at in bends))


def _places_in(length_nm: int, toward: Point) -> Fraction:
    """Return a length in the units of places."""
    return Fraction(length_nm * isqrt(toward[0] ** 2 + toward[1] ** 2))


def _snapped(place: Fraction, places: Iterable[Fraction | int], within: Fraction) -> Fraction:
    """Return the nearest of the places where it is as near as that, or else the place itself."""
    nearest = min(places, key=lambda at: abs(at - place), default=place)
    return Fraction(nearest) if abs(nearest - place) <= within else place


def _runs_on(places: Sequence[Fraction], heights: Sequence[Fraction], at: int) -> bool:
    """Tell whether the ceiling runs straight on at a place, so that the place says nothing."""
    if not 0 < at < len(places) - 1 or not places[at - 1] < places[at] < places[at + 1]:
        return False
    before, after = places[at] - places[at - 1], places[at + 1] - places[at]
    return (heights[at] - heights[at - 1]) * after == (heights[at + 1] - heights[at]) * before


def _heights_at(
    on_walls: dict[int, list[tuple[int, int]]], headings: Sequence[Decimal], first: int
) -> list[int]:
    """Return the height at a place, or the two at a step, in the direction of the first wall.

    `on_walls` holds the numbers of the rows and the heights. Raises CrossHeights.
    """
    found: list[int] = []
    for wall, rows in on_walls.items():
        heights = [height for _, height in rows]
        number = rows[-1][0]
        if (headings[wall] - headings[first]) % 360:
            heights.reverse()
        if len(heights) > 2:
            raise CrossHeights(
                "Two heights at one place are a step: a third can't be there.", f"heights {number} offset"
            )
        if found and heights != found:
            raise CrossHeights(
                "On another wall the ceiling has another height on this line across the room: give it once,"
                f" or the same on wall {wall_letter(wall)}.",
                f"heights {number} height",
            )
        found = heights
    return found if len(found) < 2 or found[0] != found[1] else found[:1]


@dataclass(frozen=True)
class Ceiling:
    """The ceiling over a room, cut into seams."""

    plan: RoomPlan
    shape: Outline
    profile: Profile

    @cached_property
    def boxes(self) -> tuple[tuple[XY, XY, XY, XY], ...]:
        """The corners of every soffit on the plan, from the start of its wall side, round."""
        return tuple(_box(self.shape, soffit) for soffit in self.plan.soffits)

    def reach_nm(self, soffit: Soffit) -> tuple[int, int]:
        """Return where a soffit begins and ends along its wall."""
        return _reach(self.shape, soffit)

    @cached_property
    def seams(self) -> tuple[Seam, ...]:
        """Every piece of line that has another plane on either side."""
        return tuple(self._seams())

    def height_nm(self, plane: Plane, point: XY) -> Fraction:
        """Return how high a plane is above the floor at a point of the plan; outside there is nothing."""
        if plane is None:
            return Fraction(0)
        if plane < 0:
            return self.undersides_nm[-plane - 1]
        return self.profile.height_nm(plane, point)

    @cached_property
    def undersides_nm(self) -> tuple[Fraction, ...]:
        """How high the underside of every soffit is above the floor."""
        return tuple(
            self.lowest_over_nm(number) - soffit.drop_nm for number, soffit in enumerate(self.plan.soffits)
        )

    def lowest_over_nm(self, soffit: int) -> Fraction:
        """Return the lowest height of the ceiling over a soffit, as far as it lies in the room."""
        places = [self.profile.place_of(corner) for corner in self.boxes[soffit]]
        begin, end = self.profile.places[0], self.profile.places[-1]
        low, high = (min(max(place, begin), end) for place in (min(places), max(places)))
        return min(self.profile.between(low, high))

    @cached_property
    def tops(self) -> tuple[tuple[TopRun, ...], ...]:
        """The top of every wall in runs, from the wall's start."""
        runs: list[list[TopRun]] = [[] for _ in self.shape.lengths_nm]
        for seam in self.seams:
            if seam.source.kind == "wall":
                plane = seam.left if seam.right is None else seam.right
                heights = self.height_nm(plane, seam.start), self.height_nm(plane, seam.end)
                runs[seam.source.number].append(TopRun(*seam.along_nm, *heights))
        return tuple(tuple(_joined(sorted(of_wall, key=lambda run: run.begin_nm))) for of_wall in runs)

    def lowest_on_wall_nm(self, wall: int, begin_nm: int, end_nm: int) -> Fraction:
        """Return the lowest height of the top of a wall between two places along it."""
        marks = [mark for run in self.tops[wall] for mark in (run.begin_nm, run.end_nm)]
        hair = min(Fraction(TOUCHING_NM), Fraction(end_nm - begin_nm, 3))
        begin, end = (_snapped(Fraction(at), marks, hair) for at in (begin_nm, end_nm))
        heights = []
        for run in self.tops[wall]:
            first, last = max(run.begin_nm, begin), min(run.end_nm, end)
            if first < last:
                heights += [run.height_at(first), run.height_at(last)]
        return min(heights)

    def height_on_wall_nm(self, wall: int, along_nm: int) -> Fraction:
        """Return how high the top of a wall is at a place along it, at a step the higher; 0 off the wall."""
        at = Fraction(along_nm)
        return max(
            (
                run.height_at(at)
                for run in self.tops[wall]
                if run.begin_nm - TOUCHING_NM <= at <= run.end_nm + TOUCHING_NM
            ),
            default=Fraction(0),
        )

    @cached_property
    def plan_areas_nm2(self) -> dict[int, Fraction]:
        """The area on the plan of every plane."""
        doubled: dict[int, Fraction] = defaultdict(Fraction)
        for seam in self.seams:
            (ax, ay), (bx, by) = seam.start, seam.end
            part = ax * by - bx * ay
            if seam.left is not None:
                doubled[seam.left] += part
            if seam.right is not None:
                doubled[seam.right] -= part
        return {plane: area / 2 for plane, area in doubled.items()}

    @property
    def area_nm2(self) -> Fraction:
        """The area of the ceiling along its slopes, undersides of soffits included."""
        return sum((self.true_nm2(plane, area) for plane, area in self.plan_areas_nm2.items()), Fraction(0))

    def true_nm2(self, plane: int, area_nm2: Fraction) -> Fraction:
        """Return an area along the slope of a plane from that on the plan."""
        slope = self.profile.slope_squared(plane) if plane >= 0 else Fraction(0)
        return _root(area_nm2**2 * (1 + slope)) if slope else area_nm2

    @cached_property
    def faces(self) -> tuple[Face, ...]:
        """The upright faces in the room, those of a soffit from its near end round to its far one."""
        return tuple(sorted(self._faces(), key=self._face_order))

    @cached_property
    def bends(self) -> tuple[tuple[bool, Fraction], ...]:
        """The bends where two planes of the ceiling meet: whether each stands out, and its length."""
        lengths: dict[int, Fraction] = defaultdict(Fraction)
        for seam in self.seams:
            if seam.left is None or seam.right is None or min(seam.left, seam.right) < 0:
                continue
            before, after = sorted((seam.left, seam.right))
            if self.height_nm(before, seam.start) == self.height_nm(after, seam.start):
                lengths[before] += seam.length_nm
        rise = self.profile.rise
        return tuple((rise(span + 1) > rise(span), length) for span, length in sorted(lengths.items()))

    @cached_property
    def corners(self) -> tuple[CornerRun, ...]:
        """The upright corners, from wall A on."""
        return tuple(_Corners(self).all())

    def owner(self, source: Source) -> int | None:
        """Return the wall that a face along a source belongs to, None for a step across the room."""
        if source.kind == "soffit":
            return self.plan.soffits[source.number].wall
        return source.number if source.kind == "wall" else None

    def owner_of(self, face: Face) -> int | None:
        """Return the wall that a face belongs to: that of its soffit, None for a step."""
        return None if face.soffit is None else self.plan.soffits[face.soffit].wall

    def name(self, source: Source) -> str:
        if source.kind == "soffit":
            return "soffit"
        return wall_letter(source.number) if source.kind == "wall" else "step"

    def rings_of(self, plane: int) -> tuple[tuple[Point, ...], ...]:
        """Return the outlines of a plane on the plan in whole nanometers; of a hole, the other way round."""
        onward: dict[XY, list[XY]] = defaultdict(list)
        for seam in self.seams:
            if seam.left == plane:
                onward[seam.start].append(seam.end)
            if seam.right == plane:
                onward[seam.end].append(seam.start)
        rings = []
        while onward:
            start = min(onward)
            ring = [start]
            here = _leave(onward, None, start)
            while here != start:
                ring.append(here)
                here = _leave(onward, ring[-2], here)
            rings.append(tuple((_nearest(x), _nearest(y)) for x, y in ring))
        return tuple(rings)

    def _seams(self) -> Iterator[Seam]:
        lines = list(self._lines())
        cuts = _cuts([(start, end) for start, end, *_ in lines])
        seen: set[tuple[XY, XY]] = set()
        for (start, end, source, length), shares in zip(lines, cuts, strict=True):
            dx, dy = end[0] - start[0], end[1] - start[1]
            points = [
                (share, self._met((start[0] + dx * share, start[1] + dy * share))) for share in sorted(shares)
            ]
            for (first, a), (last, b) in pairwise(points):
                if a == b or (min(a, b), max(a, b)) in seen:
                    continue
                seen.add((min(a, b), max(a, b)))
                left, right = self._beside(a, b)
                if left != right:
                    whole = length or _root(dx * dx + dy * dy)
                    yield Seam(a, b, left, right, source, (first * whole, last * whole))

    def _lines(self) -> Iterator[tuple[XY, XY, Source, Fraction | None]]:
        """Yield everything that the plan is cut along, with its length where that was measured."""
        for wall, (start, end) in enumerate(self.shape.segments):
            yield _exact(start), _exact(end), Source("wall", wall), Fraction(self.shape.lengths_nm[wall])
        for index, (corners, soffit) in enumerate(zip(self.boxes, self.plan.soffits, strict=True)):
            begin, stop = _reach(self.shape, soffit)
            lengths = (stop - begin, soffit.depth_nm) * 2
            for side, (near, far) in enumerate(pairwise((*corners, corners[0]))):
                yield near, far, Source("soffit", index, side), Fraction(lengths[side])
        xs, ys = zip(*self.shape.vertices, strict=True)
        reach = max(xs) - min(xs) + max(ys) - min(ys)
        dx, dy = self.profile.toward
        steps = -(-2 * reach // max(abs(dx), abs(dy))) + 1
        for number, (place, *_) in enumerate(self.profile.spans[1:]):
            # the foot of the start of the room on the line, then far enough either way along it
            x, y = (axis * place / (dx * dx + dy * dy) for axis in (dx, dy))
            yield (
                (x + dy * steps, y - dx * steps),
                (x - dy * steps, y + dx * steps),
                Source("bend", number),
                None,
            )

    def _met(self, point: XY) -> XY:
        """Return the corner of a wall or a soffit that a point is at, or else the point."""
        x, y = point
        for a, b in self._met_points:
            if abs(x - a) <= TOUCHING_NM and abs(y - b) <= TOUCHING_NM:
                return a, b
        return point

    @cached_property
    def _met_points(self) -> tuple[XY, ...]:
        return (*map(_exact, self.shape.vertices), *(corner for box in self.boxes for corner in box))

    def _beside(self, a: XY, b: XY) -> tuple[Plane, Plane]:
        """Return the planes on the left and on the right of a piece of line that nothing crosses."""
        dx, dy = b[0] - a[0], b[1] - a[1]
        hair = Fraction(ASIDE_NM) / max(abs(dx), abs(dy))
        x, y = (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
        return self._plane_at((x - dy * hair, y + dx * hair)), self._plane_at((x + dy * hair, y - dx * hair))

    def _plane_at(self, point: XY) -> Plane:
        if not is_inside(point, self.shape.vertices):
            return OUTSIDE
        over = [
            (self.undersides_nm[index], index)
            for index, corners in enumerate(self.boxes)
            if is_inside(point, corners)
        ]
        return -min(over)[1] - 1 if over else self.profile.span_at(point)

    def _faces(self) -> Iterator[Face]:
        for seam in self.seams:
            if seam.left is None or seam.right is None:
                continue
            heights = {
                plane: (self.height_nm(plane, seam.start), self.height_nm(plane, seam.end))
                for plane in (seam.left, seam.right)
            }
            lower, upper = sorted(heights, key=lambda plane: sum(heights[plane]))
            if heights[lower] != heights[upper]:
                soffit = -lower - 1 if lower < 0 else None
                yield Face(seam, soffit, heights[lower], heights[upper])

    def _face_order(self, face: Face) -> tuple[int, int, Fraction]:
        source = face.seam.source
        if face.soffit is None:
            return len(self.plan.soffits), source.number, min(face.seam.along_nm)
        own = source.kind == "soffit" and source.number == face.soffit
        # The sides of a box follow its corners: 1 is the far end, 2 the front, 3 the near end.
        return face.soffit, -source.side if own else 0, -min(face.seam.along_nm)


@dataclass(frozen=True)
class _Corners:
    """Finds the upright corners: at every point, level by level, the angle that the room takes up there."""

    ceiling: Ceiling

    def all(self) -> Iterator[CornerRun]:
        at: dict[XY, list[tuple[XY, Seam]]] = defaultdict(list)
        for seam in self.ceiling.seams:
            at[seam.start].append((seam.end, seam))
            at[seam.end].append((seam.start, seam))
        vertices = {_exact(vertex): number for number, vertex in enumerate(self.ceiling.shape.vertices)}
        order = sorted(at, key=lambda point: (vertices.get(point, len(vertices)), point))
        for point in order:
            yield from self._at(point, at[point], vertices.get(point))

    def _at(self, point: XY, ends: list[tuple[XY, Seam]], vertex: int | None) -> Iterator[CornerRun]:
        rays = sorted(
            (((x - point[0], y - point[1]), seam) for (x, y), seam in ends), key=cmp_to_key(_by_angle)
        )
        # The plane between each ray and the next, counterclockwise.
        planes = [seam.left if seam.start == point else seam.right for _, seam in rays]
        heights = [self.ceiling.height_nm(plane, point) for plane in planes]
        found: dict[tuple[bool, Source, Source], Fraction] = defaultdict(Fraction)
        for low, high in pairwise(sorted({Fraction(0), *heights})):
            for first, last in _runs([height >= high for height in heights]):
                (begin, from_seam), (end, to_seam) = rays[first], rays[(last + 1) % len(rays)]
                kind = self._kind(begin, end, (from_seam.source, to_seam.source), vertex)
                if kind:
                    found[kind < 0, from_seam.source, to_seam.source] += high - low
        for (outside, one, other), length in found.items():
            sources = sorted((one, other), key=lambda source: (source.kind != "wall", source.number))
            if vertex is not None and {one.kind, other.kind} == {"wall"}:
                count = len(self.ceiling.shape.vertices)
                sources = [Source("wall", (vertex - 1) % count), Source("wall", vertex)]
            owners = self.ceiling.owner(sources[0]), self.ceiling.owner(sources[1])
            names = self.ceiling.name(sources[0]), self.ceiling.name(sources[1])
            yield CornerRun(outside, length, owners, names)

    def _kind(self, begin: XY, end: XY, sources: tuple[Source, Source], vertex: int | None) -> int:
        """Return 1 for an inside corner, -1 for an outside one, 0 where a face runs straight on."""
        if vertex is not None and sources[0].kind == sources[1].kind == "wall":
            return self.ceiling.shape.corner(vertex - 1)  # by the turn that was typed
        cross = begin[0] * end[1] - begin[1] * end[0]
        sizes = (begin[0] ** 2 + begin[1] ** 2) * (end[0] ** 2 + end[1] ** 2)
        if cross * cross * STRAIGHT**2 <= sizes:
            return 0
        return (cross > 0) - (cross < 0)


def slanting_nm(run_nm: Fraction, rise_nm: Fraction) -> Fraction:
    """Return a length along a slope, to the nearest nanometer; exact where there is no slope."""
    return _root(run_nm**2 + rise_nm**2) if rise_nm else run_nm


def _reach(shape: Outline, soffit: Soffit) -> tuple[int, int]:
    """Return where a soffit begins and ends along its wall, in an inside corner where it comes near one."""
    assert soffit.wall is not None
    begin, length = soffit.offset_nm or 0, shape.lengths_nm[soffit.wall]
    end = begin + soffit.length_nm
    if begin <= SNAP_NM and shape.corner(soffit.wall - 1) > 0:
        begin = 0
    if length - end <= SNAP_NM and shape.corner(soffit.wall) > 0:
        end = length
    return begin, end


def _box(shape: Outline, soffit: Soffit) -> tuple[XY, XY, XY, XY]:
    """Return the corners of a soffit on the plan.

    An end in a square corner lies along the wall there, which may be turned by a hair.
    """
    assert soffit.wall is not None
    wall, count = soffit.wall, len(shape.lengths_nm)
    (ax, ay), (bx, by) = shape.segments[wall]
    dx, dy = bx - ax, by - ay
    length = shape.lengths_nm[wall]
    side = 1 if shape.signed_double_area_nm2 > 0 else -1  # the room is on the left of counterclockwise walls
    begin, end = _reach(shape, soffit)
    aside = Fraction(side * soffit.depth_nm) / (_root(Fraction(dx * dx + dy * dy) * 10**24) / 10**12)
    square = [abs(shape.turns[at]) == RIGHT and shape.corner(at) > 0 for at in (wall - 1, wall)]

    def into(along: int, other: int, sign: int) -> XY:
        """Return the corner off the wall, `other` being the wall that the end may lie along."""
        share = Fraction(along, length)
        foot = ax + dx * share, ay + dy * share
        if along not in (0, length) or not square[along == length]:
            return foot[0] - dy * aside, foot[1] + dx * aside
        (cx, cy), (ex, ey) = shape.segments[other]
        part = Fraction(soffit.depth_nm, shape.lengths_nm[other]) * sign
        return foot[0] + (ex - cx) * part, foot[1] + (ey - cy) * part

    feet = [(ax + dx * Fraction(along, length), ay + dy * Fraction(along, length)) for along in (begin, end)]
    return feet[0], feet[1], into(end, (wall + 1) % count, 1), into(begin, wall - 1, -1)


def _cuts(lines: Sequence[tuple[XY, XY]]) -> list[set[Fraction]]:
    """Return for every line the shares of its length at which another meets it, its ends included."""
    cuts: list[set[Fraction]] = [{Fraction(0), Fraction(1)} for _ in lines]
    for one, (a, b) in enumerate(lines):
        rx, ry = b[0] - a[0], b[1] - a[1]
        for other in range(one + 1, len(lines)):
            c, d = lines[other]
            qx, qy = d[0] - c[0], d[1] - c[1]
            ox, oy = c[0] - a[0], c[1] - a[1]
            turned = rx * qy - ry * qx
            if turned:
                on_one, on_other = (ox * qy - oy * qx) / turned, (ox * ry - oy * rx) / turned
                if 0 <= on_one <= 1 and 0 <= on_other <= 1:
                    cuts[one].add(on_one)
                    cuts[other].add(on_other)
            for line, ends in ((one, (c, d)), (other, (a, b))):
                cuts[line].update(_on_line(lines[line], ends))
    return cuts


def _on_line(line: tuple[XY, XY], points: Iterable[XY]) -> Iterator[Fraction]:
    """Yield the shares of a line's length at which points touch it between its ends."""
    (ax, ay), (bx, by) = line
    dx, dy = bx - ax, by - ay
    square = dx * dx + dy * dy
    for x, y in points:
        off = (x - ax) * dy - (y - ay) * dx
        share = (x - ax) * dx + (y - ay) * dy
        if 0 < share < square and off * off <= TOUCHING_NM**2 * square:
            yield share / square


def _joined(runs: Sequence[TopRun]) -> Iterator[TopRun]:
    """Yield runs of the top of a wall, those that go straight on as one."""
    current: TopRun | None = None
    for run in runs:
        if current and current.goes_on_in(run):
            current = TopRun(current.begin_nm, run.end_nm, current.begin_height_nm, run.end_height_nm)
            continue
        if current:
            yield current
        current = run
    if current:
        yield current


def _runs(taken: Sequence[bool]) -> Iterator[tuple[int, int]]:
    """Yield the first and last place of each run of true values round a ring; nothing where all are true."""
    count = len(taken)
    for first in range(count):
        if taken[first] and not taken[first - 1]:
            last = first
            while taken[(last + 1) % count]:
                last += 1
            yield first, last % count


def _by_angle(one: tuple[XY, Seam], other: tuple[XY, Seam]) -> int:
    """Compare two rays by their angle from east, counterclockwise."""
    (ax, ay), (bx, by) = one[0], other[0]
    half, other_half = ay < 0 or (not ay and ax < 0), by < 0 or (not by and bx < 0)
    if half != other_half:
        return 1 if half else -1
    cross = ax * by - ay * bx
    return (cross < 0) - (cross > 0)


def is_inside(
    point: tuple[Fraction | int, Fraction | int], ring: Sequence[tuple[Fraction | int, Fraction | int]]
) -> bool:
    """Tell whether a point that is on no side of a ring lies inside it."""
    x, y = point
    crossed = (
        (ay > y) != (by > y) and ((x - ax) * (by - ay) < (bx - ax) * (y - ay)) == (by > ay)
        for (ax, ay), (bx, by) in pairwise((*ring, ring[0]))
    )
    return sum(crossed) % 2 == 1


def _leave(onward: dict[XY, list[XY]], before: XY | None, here: XY) -> XY:
    """Take the seam away that leads on from here; where two do, the one that turns left most."""
    ways = onward[here]
    best = ways[0]
    if before and len(ways) > 1:
        best = max(ways, key=lambda way: _turn(before, here, way))
    ways.remove(best)
    if not ways:
        del onward[here]
    return best


def _turn(a: XY, b: XY, c: XY) -> Fraction:
    return (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])


def _exact(point: Point) -> XY:
    return Fraction(point[0]), Fraction(point[1])


def _root(square: Fraction) -> Fraction:
    """Return a square root to the nearest whole."""
    return Fraction((isqrt(4 * square.numerator // square.denominator) + 1) // 2)


def _nearest(exact: Fraction) -> int:
    return (2 * exact.numerator + exact.denominator) // (2 * exact.denominator)
