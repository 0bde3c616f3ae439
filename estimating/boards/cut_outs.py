"""The notches and holes to cut out of a piece, and where on it, as an installer marks them."""

from collections.abc import Iterator
from dataclasses import dataclass

from catalog.measures.lengths import format_length
from estimating.sheet_layout.layout import Piece
from estimating.sheet_layout.regions import Band, area, bounds, parts, stack, without
from estimating.sheet_layout.surface import Surface, View, region_of


@dataclass(frozen=True)
class CutOut:
    """A notch or a hole, as the box round it, in nanometers.

    `left_nm`, `right_nm`, `below_nm` and `above_nm` are how far the piece goes on beyond the box, zero at an
    edge. `stepped` tells a cut-out that doesn't fill its box.
    """

    width_nm: int
    height_nm: int
    left_nm: int
    right_nm: int
    below_nm: int
    above_nm: int
    stepped: bool

    def in_words(self, metric: bool = False) -> str:
        """Return its size across and up, and its position on the piece as it lies.

        For example: 2' 8" × 2' 6" at the bottom, 1' 8" from the left.
        """
        size = f"{format_length(self.width_nm, metric)} × {format_length(self.height_nm, metric)}"
        if self.stepped:
            size = f"in steps within {size}"
        level = "" if self.below_nm and self.above_nm else "top" if self.below_nm else "bottom"
        side = "" if self.left_nm and self.right_nm else "right" if self.left_nm else "left"
        up, from_left = format_length(self.below_nm, metric), format_length(self.left_nm, metric)
        if level and side:
            return f"{size} at the {level} {side}"
        if level:
            return f"{size} at the {level}, {from_left} from the left"
        if side:
            return f"{size} at the {side}, {up} up"
        return f"{size}, {from_left} from the left and {up} up"


def cut_outs(piece: Piece) -> Iterator[CutOut]:
    """Yield what is cut out of a piece's box, from the bottom up; each connected part by itself."""
    shape = region_of(Surface(piece.rings[0], piece.rings[1:]), View(), 1)
    left, low, right, high = bounds(shape)
    missing = stack(Band(start, end, without(((left, right),), runs)) for start, end, runs in shape)
    for part in sorted(parts(missing, left, right), key=lambda part: bounds(part)[1::-1]):
        x, y, x_end, y_end = bounds(part)
        stepped = area(part) < (x_end - x) * (y_end - y)
        yield CutOut(x_end - x, y_end - y, x - left, right - x_end, y - low, high - y_end, stepped)
