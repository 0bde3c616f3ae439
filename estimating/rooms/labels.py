"""Where the labels of a drawing can stand without covering a line or one another.

Drawing coordinates are floats, y downwards.
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
    """A text of some width and height, centered at a point and turned by an angle in degrees."""

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
        """Return whether the label keeps clear of all these shapes."""
        own = self.corners(CLEARANCE)
        return not any(overlap(own, shape) for shape in obstacles)


def readable(direction: XY) -> float:
    """Return the angle of a text along a direction, never upside down: an upright text reads upwards.

    Within a degree of upright counts as upright, since balanced walls are hardly ever plumb.
    """
    angle = degrees(atan2(direction[1], direction[0]))
    return (angle + 91) % 180 - 91


def overlap(first: Shape, second: Shape) -> bool:
    """Return whether two convex shapes share more than an edge (by separating axes)."""
    for shape in (first, second):
        for (ax, ay), (bx, by) in pairwise((*shape, shape[0])):
            axis = (by - ay, ax - bx)
            if not hypot(*axis):
                continue
            (low, high), (other_low, other_high) = _projection(first, axis), _projection(second, axis)
            if high <= other_low or other_high <= low:
                return False
    return True


def text_width(text: str, size: float) -> float:
    """Return the width to keep for a text: rather too wide than too narrow."""
    return sum(0.32 if character in " '\"-.,/" else 0.64 for character in text) * size


def _projection(shape: Shape, axis: XY) -> tuple[float, float]:
    """Return the least and the greatest coordinate of a shape along an axis."""
    along = [x * axis[0] + y * axis[1] for x, y in shape]
    return min(along), max(along)
