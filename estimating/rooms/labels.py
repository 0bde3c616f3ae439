"""Where labels of a drawing can stand without covering a line or one another.

Drawing coordinates only: floats, y downwards.
"""

from cmath import rect
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import atan2, degrees, hypot, radians

XY = tuple[float, float]
Shape = Sequence[XY]  # a convex polygon, or two points for a line

CLEARANCE = 1.5


@dataclass(frozen=True)
class Label:
    """A text of some width and height centered at a point and turned by degrees."""

    center: XY
    angle: float
    width: float
    height: float

    def corners(self, clearance: float = 0.0) -> Shape:
        unit = rect(1, radians(self.angle))
        along = (self.width / 2 + clearance) * unit
        aside = (self.height / 2 + clearance) * unit * 1j
        middle = complex(*self.center)
        spots = (
            middle + along + aside,
            middle + along - aside,
            middle - along - aside,
            middle - along + aside,
        )
        return tuple((spot.real, spot.imag) for spot in spots)

    def is_free(self, obstacles: Iterable[Shape]) -> bool:
        """Whether it keeps clear of all these shapes."""
        own = self.corners(CLEARANCE)
        return not any(overlap(own, shape) for shape in obstacles)


def readable(direction: XY) -> float:
    """The angle of a text along a direction, never upside down: an upright one reads upwards.

    Within a degree of upright counts as upright, since balanced walls are hardly ever plumb.
    """
    angle = degrees(atan2(direction[1], direction[0]))
    return (angle + 91) % 180 - 91


def overlap(one: Shape, other: Shape) -> bool:
    """Whether two convex shapes share more than an edge (separating axes)."""
    for shape in (one, other):
        for (ax, ay), (bx, by) in pairwise((*shape, shape[0])):
            axis = (by - ay, ax - bx)
            if not hypot(*axis):
                continue
            ours, theirs = _shadow(one, axis), _shadow(other, axis)
            if ours[1] <= theirs[0] or theirs[1] <= ours[0]:
                return False
    return True


def text_width(text: str, size: float) -> float:
    """Width to keep for a text: rather too wide than too narrow."""
    return sum(0.32 if each in " '\"-.,/" else 0.64 for each in text) * size


def _shadow(shape: Shape, axis: XY) -> tuple[float, float]:
    cast = [x * axis[0] + y * axis[1] for x, y in shape]
    return min(cast), max(cast)
