"""A room's plan in drawing units: its walls to scale, and where in it something can stand free.

Drawing coordinates are floats, y downwards.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import hypot

from estimating.rooms.labels import XY, Shape
from estimating.rooms.outline import Outline

WIDTH, MARGIN, TALLEST = 400.0, 44.0, 300.0


@dataclass(frozen=True)
class DrawnWall:
    """A wall on the drawing. `side` is 1 or -1: which side of it, seen along the wall, the room is on."""

    index: int
    start: XY
    end: XY
    side: int

    @property
    def length(self) -> float:
        return hypot(self.end[0] - self.start[0], self.end[1] - self.start[1])

    @property
    def along(self) -> XY:
        """The direction of the wall, of length 1."""
        length = self.length or 1.0
        return (self.end[0] - self.start[0]) / length, (self.end[1] - self.start[1]) / length

    def at(self, along: float, into: float = 0.0) -> XY:
        """Return the point at these distances along the wall and into the room."""
        x, y = self.along
        return (
            self.start[0] + along * x - into * self.side * y,
            self.start[1] + along * y + into * self.side * x,
        )

    def box(self, begin: float, length: float, depth: float) -> Shape:
        """Return the corners of something along the wall that stands out into the room."""
        end = begin + length
        return self.at(begin), self.at(end), self.at(end, depth), self.at(begin, depth)


def to_scale(shape: Outline) -> tuple[float, list[DrawnWall]]:
    """Return the drawing units per nanometer, and the walls in drawing units with the start at the origin."""
    xs, ys = zip(*shape.vertices, shape.end, strict=True)
    wide, high = max(xs) - min(xs), max(ys) - min(ys)
    scale = min((WIDTH - 2 * MARGIN) / (wide or 1), TALLEST / (high or 1))
    side = -1 if shape.signed_double_area_nm2 > 0 else 1
    walls = [
        DrawnWall(index, (ax * scale, -ay * scale), (bx * scale, -by * scale), side)
        for index, ((ax, ay), (bx, by)) in enumerate(shape.segments)
    ]
    return scale, walls


def widest_spot(ring: Sequence[XY]) -> XY:
    """Return the point of a coarse grid that is farthest inside the ring; the ring's middle if none is."""
    xs, ys = zip(*ring, strict=True)
    left, top, wide, high = min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys)
    steps = 24
    spots = [
        (left + wide * column / steps, top + high * row / steps)
        for row in range(1, steps)
        for column in range(1, steps)
    ]
    sides = list(zip(ring, (*ring[1:], ring[0]), strict=True))
    inside = [spot for spot in spots if is_inside(spot, sides)]
    middle = (left + wide / 2, top + high / 2)

    def clearance(spot: XY) -> tuple[float, float]:
        return round(_distance_to_nearest(spot, sides), 3), -_distance(spot, middle)

    return max(inside, key=clearance, default=middle)


def is_inside(spot: XY, sides: Iterable[tuple[XY, XY]]) -> bool:
    """Return whether a spot lies inside the shape with these sides, holes being outside."""
    x, y = spot
    crossed = [
        (ay > y) != (by > y) and x < ax + (bx - ax) * (y - ay) / (by - ay) for (ax, ay), (bx, by) in sides
    ]
    return sum(crossed) % 2 == 1


def _distance_to_nearest(spot: XY, sides: Iterable[tuple[XY, XY]]) -> float:
    distances = []
    for (ax, ay), (bx, by) in sides:
        dx, dy = bx - ax, by - ay
        square = dx * dx + dy * dy
        share = ((spot[0] - ax) * dx + (spot[1] - ay) * dy) / square if square else 0.0
        share = min(1.0, max(0.0, share))
        distances.append(_distance(spot, (ax + share * dx, ay + share * dy)))
    return min(distances)


def _distance(start: XY, end: XY) -> float:
    return hypot(start[0] - end[0], start[1] - end[1])
