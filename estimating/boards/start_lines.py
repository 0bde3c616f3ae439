"""Where tile starts: two lines to snap, square to each other, at whose crossing a tile lies.

Each line runs along edges of tile. It is measured from the first edge that it meets: of the wall, or of what
stands there.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from catalog.measures.lengths import format_length
from estimating.boards.tile import TileLayout, TilePiece
from estimating.sheet_layout.regions import Point


@dataclass(frozen=True)
class StartLines:
    """The crossing of the two lines, and how far it is from what is to its left and below it.

    The tile that is set first lies right of the one line and above the other.
    """

    at: Point
    from_left_nm: int
    up_nm: int


def start_lines(layout: TileLayout) -> StartLines | None:
    """Return the lines to start from; none on what isn't square-cornered or is folded open, or without whole
    tiles.

    They cross at the whole tile nearest to the middle; on what stands upright at the second row of tile,
    which then stands level on the line while the first is fitted under it (common practice).
    """
    if not layout.surface.rectilinear or (layout.upright and not layout.surface.level):
        return None
    whole = [piece for piece in layout.pieces if piece.whole]
    if not whole:
        return None
    xs, ys = zip(*(layout.surface.within or layout.surface.ring), strict=True)
    middle_x, middle_y = min(xs) + max(xs), min(ys) + max(ys)  # twice
    if layout.upright and layout.rules.pattern == "straight":
        levels = sorted({piece.y_nm for piece in whole})
        level = levels[min(1, len(levels) - 1)]
        whole = [piece for piece in whole if piece.y_nm == level]

    def off_middle(corner: Point) -> tuple[int, int, int]:
        x, y = corner
        return abs(2 * x - middle_x) + abs(2 * y - middle_y), y, x

    x, y = min(map(_lowest_corner, whole), key=off_middle)
    lefts = [at for at in _crossed(layout, y, along_x=True) if at <= x]
    belows = [at for at in _crossed(layout, x, along_x=False) if at <= y]
    if not lefts or not belows:
        return None
    return StartLines((x, y), x - max(lefts), y - max(belows))


def _lowest_corner(piece: TilePiece) -> Point:
    """Return the corner of a tile at its lower left; at 45 degrees, the one that it stands on."""
    if not piece.rings:
        return piece.x_nm, piece.y_nm
    return min((point for ring in piece.rings for point in ring), key=lambda point: point[::-1])


def _crossed(layout: TileLayout, level: int, *, along_x: bool) -> Iterator[int]:
    """Yield where the outline and the holes of a surface are crossed by a line at this level."""
    for ring in (layout.surface.ring, *layout.surface.holes):
        for a, b in pairwise((*ring, ring[0])):
            (along_a, level_a), (along_b, level_b) = (a, b) if along_x else (a[::-1], b[::-1])
            if along_a == along_b and min(level_a, level_b) <= level <= max(level_a, level_b):
                yield along_a


def start_in_words(layout: TileLayout, metric: bool = False) -> str:
    """Say where to snap the lines; empty where there are none."""
    lines = start_lines(layout)
    if lines is None:
        return ""
    left, up = (format_length(length, metric) for length in (lines.from_left_nm, lines.up_nm))
    if layout.slanting:
        return (
            f"Start: snap a line {left} from the edge at its left and one {up} above the edge below; where"
            " they cross a whole tile stands on its corner, its sides at 45° to both."
        )
    if layout.upright and layout.rules.pattern == "straight":
        return (
            f"Start: a level line {up} above the edge below, where the second row stands, and a plumb line"
            f" {left} from the edge at its left; a whole tile lies right of the one and above the other."
        )
    return (
        f"Start: snap a line up the drawing, {left} from the edge at its left, and one across it, {up} above"
        " the edge below; a whole tile lies right of the one and above the other."
    )
