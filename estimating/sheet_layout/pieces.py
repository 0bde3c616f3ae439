"""From a plan to a layout: every piece, cut, joint and fastener in its place on the surface."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import NamedTuple

from estimating.sheet_layout.courses import Course, Ground, notch_lengths
from estimating.sheet_layout.fasteners import fasteners
from estimating.sheet_layout.layout import Joint, Part, Parts, Piece, StraightCut
from estimating.sheet_layout.packing import Packing, Size
from estimating.sheet_layout.regions import (
    Band,
    Box,
    Region,
    across,
    area,
    bounds,
    covers,
    outlines,
    parts,
    stack,
    unite,
    without,
)
from estimating.sheet_layout.surface import View


class Cell(NamedTuple):
    """A piece in the view: its course and its shape."""

    course: int
    shape: Region

    def size(self, ground: Ground) -> Size:
        """Return the sides of the box, along the course first; the longer first if pieces may be turned."""
        w, h = self.sides
        return (h, w) if ground.rules.may_turn and w < h else (w, h)

    @property
    def sides(self) -> Size:
        left, low, right, high = bounds(self.shape)
        return right - left, high - low


def cells(ground: Ground, laid: Sequence[Course], firsts: Sequence[int]) -> list[Cell]:
    """Return the pieces in the order of laying: course by course, each from its start."""
    found = []
    for number, (course, first) in enumerate(zip(laid, firsts, strict=True)):
        if not course.region:
            continue
        left, _, right, _ = bounds(course.region)
        moved = tuple(Band(a + course.low, b + course.low, runs) for a, b, runs in course.region)
        for start in ground.cells(first, left, right):
            shapes = parts(moved, start, start + ground.reach)
            found += [Cell(number, shape) for shape in sorted(shapes, key=lambda shape: bounds(shape)[:2])]
    return found


def parts_of(ground: Ground, view: View, laid: Sequence[Course], boxes: Sequence[Cell]) -> Parts:
    """Return the pieces as the packing of sheets sees them; those that meet a neighbor keep a tapered edge.

    Sheets have tapered long edges where they are butted and never turned. What falls out of a piece that
    keeps such an edge isn't offered: half a turn, which may bring the edge there, would bring it elsewhere.
    """
    tapered = not ground.rules.gap_nm and not ground.rules.may_turn
    seams = (
        [across(ground.region, lower.high, upper.low) for lower, upper in pairwise(laid)] if tapered else []
    )

    def meets(cell: Cell) -> bool:
        left, low, right, high = bounds(cell.shape)
        at, course = cell.course, laid[cell.course]
        beside = seams[at - 1 : at] if at and low == course.low else []
        beside += seams[at : at + 1] if high == course.high else []
        return any(a < right and left < b for runs in beside for a, b in runs)

    found: list[Part | None] = []
    for cell in boxes:
        along, over = cell.sides
        edge = tapered and over < ground.short and meets(cell)
        cutouts = () if edge or ground.oblique else tuple(_cutouts(ground, view, cell))
        whole = _is_whole(ground, cell) and not cutouts
        found.append(None if whole else Part(along, over, edge, cutouts))
    return tuple(found)


def _cutouts(ground: Ground, view: View, cell: Cell) -> Iterator[Box]:
    """Yield what falls out of a piece and is large enough to serve, as `Part` gives it."""
    left, low, right, high = bounds(cell.shape)
    if area(cell.shape) == (right - left) * (high - low):
        return
    kerf, least = ground.rules.kerf_nm, max(1, ground.rules.min_piece_nm)
    missing = stack(Band(a, b, without(((left, right),), runs)) for a, b, runs in cell.shape)
    for part in parts(missing, left, right):
        x, y, x_end, y_end = _largest_within(part)
        x, x_end = x + kerf * (x > left), x_end - kerf * (x_end < right)
        y, y_end = y + kerf * (y > low), y_end - kerf * (y_end < high)
        if min(x_end - x, y_end - y) >= least:
            xs = (right - x_end, right - x) if view.mirror_x else (x - left, x_end - left)
            flipped = view.mirror_y != view.swap  # a view in which x and y change places shows the back
            ys = (high - y_end, high - y) if flipped else (y - low, y_end - low)
            yield Box(xs[0], ys[0], xs[1], ys[1])


def _largest_within(region: Region) -> Box:
    """Return the largest rectangle in a region; of equals the lowest, then the one farthest left."""
    found = (
        Box(left, lower.low, right, upper.high)
        for at, lower in enumerate(region)
        for upper in region[at:]
        for left, right in across(region, lower.low, upper.high)
    )
    return max(found, key=lambda box: (box.right - box.left) * (box.high - box.low))


def cut_sizes(ground: Ground, laid: Iterable[Cell]) -> tuple[Size, ...]:
    """Return the boxes of the pieces that don't take a whole sheet, in order of size."""
    return tuple(sorted(cell.size(ground) for cell in laid if not _is_whole(ground, cell)))


def place(
    ground: Ground, view: View, laid: Sequence[Cell], packing: Packing
) -> tuple[tuple[Piece, ...], tuple[StraightCut, ...]]:
    """Return the pieces with the sheet that each is cut from, sheets counted by first use, and the cuts."""
    whole = {at for at, cell in enumerate(laid) if _is_whole(ground, cell)}
    places = _places(ground, laid, whole, packing)
    sheets: dict[int, int] = {}
    pieces = []
    for at, cell in enumerate(laid):
        source, x, y, turned = places.get(at, (-1 - at, 0, 0, False))
        from_offcut = source in sheets
        sheet = sheets.setdefault(source, len(sheets) + 1)
        drawn = _piece(ground, view, cell)
        pieces.append(
            replace(
                drawn,
                number=at + 1,
                sheet=sheet,
                sheet_x_nm=x,
                sheet_y_nm=y,
                turned=turned,
                whole=at in whole,
                from_offcut=from_offcut,
            )  # fmt: skip
        )
    cuts = (
        StraightCut(sheets[source], cut.x, cut.y, cut.length, cut.lengthwise, cut.offcut)
        for source, made in enumerate(packing.cuts)
        for cut in made
    )
    return tuple(pieces), tuple(sorted(cuts, key=lambda cut: cut.sheet))


def joints(ground: Ground, view: View, laid: Sequence[Course], firsts: Sequence[int]) -> tuple[Joint, ...]:
    """Return the joints across each course, then those between courses, each stretch by itself."""
    gap, framing = ground.rules.gap_nm, ground.framing
    found = []
    for course, first in zip(laid, firsts, strict=True):
        if not course.region:
            continue
        left, _, right, _ = bounds(course.region)
        for start in ground.cells(first, left, right):
            end = start + ground.reach
            reach = ((band.low, band.high) for band in course.region if covers(band.runs, end, end + gap))
            for low, high in unite(reach):
                x, y, w, h = view.back_box(end, course.low + low, end + gap, course.low + high)
                off = bool(framing and framing.across and framing.misses(end, end + gap))
                found.append(Joint(True, x, y, w, h, high - low, off))
    for lower, upper in pairwise(laid):
        for a, b in across(ground.region, lower.high, upper.low):
            x, y, w, h = view.back_box(a, lower.high, b, upper.low)
            off = bool(framing and not framing.across and framing.misses(lower.high, upper.low))
            found.append(Joint(False, x, y, w, h, b - a, off))
    return tuple(found)


def _is_whole(ground: Ground, cell: Cell) -> bool:
    return cell.sides == (ground.long, ground.short)


def _places(
    ground: Ground, laid: Sequence[Cell], whole: Iterable[int], packing: Packing
) -> dict[int, tuple[int, int, int, bool]]:
    """Return sheet, place and turn of each cut piece; equal pieces are taken in the order of laying."""
    waiting: dict[Size, list[int]] = defaultdict(list)
    for at, cell in enumerate(laid):
        if at not in whole:
            waiting[cell.size(ground)].append(at)
    sizes = sorted(size for size, pieces in waiting.items() for _ in pieces)
    places = {}
    for source, sheet in enumerate(packing.sheets):
        for placed in sheet:
            at = waiting[sizes[placed.piece]].pop(0)
            laid_turned = laid[at].sides != laid[at].size(ground)
            places[at] = source, placed.x, placed.y, placed.turned != laid_turned
    return places


def _piece(ground: Ground, view: View, cell: Cell) -> Piece:
    shape = cell.shape
    x, y, w, h = view.back_box(*bounds(shape))
    rings = tuple(tuple(map(view.back, ring)) for ring in outlines(shape))
    notches = notch_lengths(stack(shape))
    if ground.oblique:
        notches = notches and (max(notches),)
    points = tuple(map(view.back, fasteners(shape, ground.rules, ground.framing, ground.clear_of)))
    return Piece(
        0, cell.course, x, y, w, h, rings, area(shape), 0, 0, 0, False, False, False, notches, points
    )
