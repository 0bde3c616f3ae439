"""What is cut out of a notched piece, and where on it, as an installer marks it."""

from collections.abc import Iterator
from dataclasses import dataclass

from catalog.measures.units import format_length
from estimating.sheet_layout.layout import Piece
from estimating.sheet_layout.regions import Band, area, bounds, parts, stack, without
from estimating.sheet_layout.surface import Surface, View, region_of


@dataclass(frozen=True)
class CutOut:
    """A notch or a hole by its box, in nanometers: its size, and how far the piece goes on at each side of
    it. `stepped` says that it is less than its box."""

    width_nm: int
    height_nm: int
    left_nm: int
    right_nm: int
    below_nm: int
    above_nm: int
    stepped: bool

    def in_words(self, metric: bool = False) -> str:
        """Such as 2' 8" × 2' 6" at the bottom, 1' 8" from the left; across and up, as the piece lies."""
        size = f"{format_length(self.width_nm, metric)} × {format_length(self.height_nm, metric)}"
        if self.stepped:
            size = f"in steps within {size}"
        upright = "" if self.below_nm and self.above_nm else "top" if self.below_nm else "bottom"
        across = "" if self.left_nm and self.right_nm else "right" if self.left_nm else "left"
        up, along = format_length(self.below_nm, metric), format_length(self.left_nm, metric)
        if upright and across:
            return f"{size} at the {upright} {across}"
        if upright:
            return f"{size} at the {upright}, {along} from the left"
        if across:
            return f"{size} at the {across}, {up} up"
        return f"{size}, {along} from the left and {up} up"


def cut_outs(piece: Piece) -> Iterator[CutOut]:
    """What a piece lacks of its box, from the bottom up; each connected part by itself."""
    shape = region_of(Surface(piece.rings[0], piece.rings[1:]), View(), 1)
    left, low, right, high = bounds(shape)
    gone = stack(Band(a, b, without(((left, right),), runs)) for a, b, runs in shape)
    for part in sorted(parts(gone, left, right), key=lambda part: bounds(part)[1::-1]):
        x, y, x_end, y_end = bounds(part)
        stepped = area(part) < (x_end - x) * (y_end - y)
        yield CutOut(x_end - x, y_end - y, x - left, right - x_end, y - low, high - y_end, stepped)
