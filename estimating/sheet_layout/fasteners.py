"""The grid of fasteners in a piece."""

from collections.abc import Iterator

from catalog.measures.lengths import NM_PER_INCH
from estimating.sheet_layout.courses import Framing
from estimating.sheet_layout.regions import Point, Region, bounds
from estimating.sheet_layout.rules import SheetRules

STUD_NM = 3 * NM_PER_INCH // 2  # a stud's width: one so near to an end is fastened by the row along that


def count_in_row(size_nm: int, rules: SheetRules) -> int:
    """Count the fasteners along a side: one where the edge distances meet, else by the spacing."""
    between = size_nm - 2 * rules.edge_nm
    if between <= 0:
        return 1
    return max(2, -(-between // rules.fastener_spacing_nm) + 1)


def fasteners(shape: Region, rules: SheetRules, framing: Framing | None = None) -> Iterator[Point]:
    """Yield the fasteners in a grid on the box of a piece, evenly spread from edge distance to edge distance.

    Points outside a notched piece are left out, those on its edge kept; each is given to the nearest
    nanometer. Spacing and edge distance hold for the box: a notch may come nearer. Where studs or joists are
    known, they stand in for the spacing one way: a row on each, and one along both ends.
    """
    left, low, right, high = bounds(shape)
    across, along = (framing, None) if framing and framing.across else (None, framing)
    xs = list(_places(left, right, rules, across))
    for y, scale_y in _places(low, high, rules, along):
        runs = [run for band in shape if band.low * scale_y <= y <= band.high * scale_y for run in band.runs]
        for x, scale_x in xs:
            if any(a * scale_x <= x <= b * scale_x for a, b in runs):
                yield _nearest(x, scale_x), _nearest(y, scale_y)


def _places(
    start: int, end: int, rules: SheetRules, framing: Framing | None = None
) -> Iterator[tuple[int, int]]:
    """Yield the places along a side as exact fractions, a numerator and a denominator each."""
    count = count_in_row(end - start, rules)
    if framing and count > 1:
        first, last = start + rules.edge_nm, end - rules.edge_nm
        within = (at for at in framing.between(first, last) if min(at - first, last - at) > STUD_NM)
        yield from ((at, 1) for at in (first, *within, last))
        return
    if count == 1:
        yield start + end, 2
        return
    spaces, between = count - 1, end - start - 2 * rules.edge_nm
    for at in range(count):
        yield (start + rules.edge_nm) * spaces + at * between, spaces


def _nearest(numerator: int, denominator: int) -> int:
    return (2 * numerator + denominator) // (2 * denominator)
