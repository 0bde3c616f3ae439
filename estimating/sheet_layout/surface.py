"""The surface that sheets go on, and the ways of looking at it that a layout starts from."""

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from math import isqrt
from typing import Literal, NamedTuple

from estimating.sheet_layout.regions import (
    Band,
    Point,
    Region,
    Ring,
    Run,
    Runs,
    stack,
    straightened,
    unite,
    without,
)
from estimating.sheet_layout.rules import CannotLay

Axis = Literal["x", "y"]
Corner = Literal["sw", "se", "nw", "ne"]

MOST_CORNERS = 1_000


class Lines(NamedTuple):
    """Studs or joists side by side: where the middle of one is, from one to the next, and how they run.

    Those that run along y are at an x, those along x at a y.
    """

    at_nm: int
    spacing_nm: int
    along: Axis = "y"


@dataclass(frozen=True)
class Surface:
    """A floor, wall or ceiling: its outline and what is cut out of it, in nanometers, either way round.

    A hole may reach the outline or lie over it (cabinets along a wall): what lies outside is nothing.
    `within` is the outline without what runs out of it into doorways, in which tile is centered; empty where
    it is the outline itself. `level` keeps courses level under a top that slants. `framing` is what the
    surface is fastened to, where that is known: studs or joists. Fasteners keep off the
    middles of `clear_of`: the joists under a floor, whose sheets are held by the subfloor alone so that they
    don't move with them.
    """

    ring: Ring
    holes: tuple[Ring, ...] = ()
    within: Ring = ()
    level: bool = False
    framing: Lines | None = None
    clear_of: Lines | None = None

    @cached_property
    def rectilinear(self) -> bool:
        """Whether every edge runs along x or y."""
        return all(a[0] == b[0] or a[1] == b[1] for ring in (self.ring, *self.holes) for a, b in _edges(ring))

    @cached_property
    def bearing(self) -> tuple[int, int]:
        """What the layout takes for x: (1, 0), or the direction of the longest wall, eastward, where that
        slants. Left and lower are then as on the plan, or nearly."""
        if self.level or self.rectilinear:
            return 1, 0
        across = ((b[0] - a[0], b[1] - a[1]) for a, b in _edges(straightened(self.ring)))
        dx, dy = max(across, key=lambda step: step[0] ** 2 + step[1] ** 2)
        if not dx or not dy:
            return 1, 0
        return (dx, dy) if dx > 0 else (-dx, -dy)

    def on_plan(self, point: Point) -> Point:
        """Turn a point of the surface in its bearing back to where it was given, to the nearest nanometer."""
        return turned(point, self.bearing, back=True)


@dataclass(frozen=True)
class View:
    """A way of looking at a surface so that courses run along x and start at the lower left.

    Where `swap`, x and y change places first; then the view may be mirrored in x, in y, or both.
    """

    swap: bool = False
    mirror_x: bool = False
    mirror_y: bool = False

    def see(self, point: Point) -> Point:
        x, y = point[::-1] if self.swap else point
        return -x if self.mirror_x else x, -y if self.mirror_y else y

    def back(self, point: Point) -> Point:
        x, y = -point[0] if self.mirror_x else point[0], -point[1] if self.mirror_y else point[1]
        return (y, x) if self.swap else (x, y)

    def back_box(self, left: int, low: int, right: int, high: int) -> tuple[int, int, int, int]:
        """Return the lower left corner, the width and the height of a box in the view, on the surface."""
        (ax, ay), (bx, by) = self.back((left, low)), self.back((right, high))
        return min(ax, bx), min(ay, by), abs(bx - ax), abs(by - ay)


def view_of(along: Axis, corner: Corner) -> View:
    """Return the view in which courses along an axis from a corner run along x from the lower left."""
    east, north = corner[1] == "e", corner[0] == "n"
    return View(along == "y", *((north, east) if along == "y" else (east, north)))


def region_of(surface: Surface, view: View, strip_nm: int) -> Region:
    """Return the surface as seen in a view.

    An oblique one, turned to its bearing, is covered by strips at most `strip_nm` deep, each as long as the
    surface anywhere in it. Raises CannotLay where the outline encloses nothing or has too many corners.
    """
    if sum(map(len, (surface.ring, *surface.holes))) > MOST_CORNERS:
        raise CannotLay(f"The surface has more than {MOST_CORNERS:,} corners: draw it more simply.")
    rings = [[view.see(turned(point, surface.bearing)) for point in ring]
             for ring in (surface.ring, *surface.holes)]  # fmt: skip
    edges = [list(_edges(ring)) for ring in rings]
    levels = {y for ring in rings for _, y in ring}
    steps = set(levels)
    if not surface.rectilinear:
        low, high = min(levels), max(levels)
        count = -(-(high - low) // strip_nm)
        levels = {low + (high - low) * i // count for i in range(count + 1)} if count else set()
        steps |= levels
    slabs = [(low, high, _slab(edges, low, high)) for low, high in pairwise(sorted(steps))]
    bands, at = [], 0
    for low, high in pairwise(sorted(levels)):
        inside: list[Run] = []
        while at < len(slabs) and slabs[at][1] <= high:
            inside.extend(slabs[at][2])
            at += 1
        bands.append(Band(low, high, unite(inside)))
    region = stack(bands)
    if not region:
        raise CannotLay("The outline encloses no surface: check its corners.")
    return region


def turned(point: Point, bearing: tuple[int, int], back: bool = False) -> Point:
    """Return a point turned so that the bearing becomes x (or back again), to the nearest nanometer."""
    dx, dy = bearing
    if not dy:
        return point
    if back:
        dy = -dy
    scale = 1 << 64
    size = isqrt((dx * dx + dy * dy) * scale * scale)
    x, y = point
    along, aside = (x * dx + y * dy) * scale, (y * dx - x * dy) * scale
    return (2 * along + size) // (2 * size), (2 * aside + size) // (2 * size)


def length_around(surface: Surface) -> int:
    """Return the length of the outline and the holes as drawn, to the nearest nanometer."""
    squares = ((b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2
               for ring in (surface.ring, *surface.holes) for a, b in _edges(ring))  # fmt: skip
    return sum((isqrt(4 * square) + 1) // 2 for square in squares)


def _edges(ring: tuple[Point, ...] | list[Point]) -> list[tuple[Point, Point]]:
    return list(pairwise((*ring, ring[0]))) if ring else []


def _slab(rings: list[list[tuple[Point, Point]]], low: int, high: int) -> Runs:
    """Return the runs of a slab in which no edge ends: the ring's widest extent less the holes' narrowest."""
    inside = unite((min(a), max(b)) for a, b in _crossings(rings[0], low, high))
    for hole in rings[1:]:
        taken = ((max(a), min(b)) for a, b in _crossings(hole, low, high))
        inside = without(inside, unite(run for run in taken if run[0] < run[1]))
    return inside


def _crossings(edges: list[tuple[Point, Point]], low: int, high: int) -> list[tuple[Run, Run]]:
    """Return where edges enter and leave a slab, in pairs: x at its low and high level, rounded down.

    An edge crosses the whole slab or none of it.
    """
    found = sorted(
        (_x_at(a, b, low), _x_at(a, b, high))
        for a, b in edges
        if min(a[1], b[1]) <= low and high <= max(a[1], b[1])
    )
    found.sort(key=sum)
    return list(zip(found[::2], found[1::2], strict=False))


def _x_at(a: Point, b: Point, level: int) -> int:
    return a[0] + (b[0] - a[0]) * (level - a[1]) // (b[1] - a[1])
