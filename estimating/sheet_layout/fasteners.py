"""The grid of fasteners in a piece."""

from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise

from catalog.measures.lengths import NM_PER_INCH
from estimating.sheet_layout.courses import Framing
from estimating.sheet_layout.regions import Point, Region, bounds
from estimating.sheet_layout.rules import SheetRules

STUD_NM = 3 * NM_PER_INCH // 2  # a stud's width: one so near to an end is fastened by the row along that
# How far a row keeps from the middle of a joist that it shall not be screwed into (common practice: a quarter
# of an inch beside a joist 1-1/2 in wide).
CLEAR_NM = NM_PER_INCH


def count_in_row(size_nm: int, rules: SheetRules, spacing_nm: int) -> int:
    """Count the fasteners along a side: one where the edge distances meet, else by the spacing."""
    between = size_nm - 2 * rules.edge_nm
    if between <= 0:
        return 1
    return max(2, -(-between // spacing_nm) + 1)


def fasteners(
    shape: Region, rules: SheetRules, framing: Framing | None = None, clear_of: Framing | None = None
) -> Iterator[Point]:
    """Yield the fasteners in a grid on the box of a piece, evenly spread from edge distance to edge distance.

    Points outside a notched piece are left out, those on its edge kept; each is given to the nearest
    nanometer. Spacing and edge distance hold for the box: a notch may come nearer. Along a course, rows are
    as far apart as the framing that the rules take for granted. Where studs or joists are known, they stand
    in for the spacing one way: a row on each, and one along both ends. From the joists that fasteners are to
    be clear of, rows that would meet one are moved aside, still no farther apart than the spacing.
    """
    left, low, right, high = bounds(shape)
    spacing = rules.fastener_spacing_nm
    across, along = (framing, None) if framing and framing.across else (None, framing)
    xs = list(_places(left, right, rules, rules.row_spacing_nm if along is None else spacing, across))
    ys = list(_places(low, high, rules, spacing, along))
    if clear_of and rules.fastener_spacing_nm > 2 * CLEAR_NM:
        if clear_of.across:
            xs = _clear(left, right, rules, clear_of)
        else:
            ys = _clear(low, high, rules, clear_of)
    for y, scale_y in ys:
        runs = [run for band in shape if band.low * scale_y <= y <= band.high * scale_y for run in band.runs]
        for x, scale_x in xs:
            if any(a * scale_x <= x <= b * scale_x for a, b in runs):
                yield _nearest(x, scale_x), _nearest(y, scale_y)


def _clear(start: int, end: int, rules: SheetRules, joists: Framing) -> list[tuple[int, int]]:
    """Return places along a side beside the joists: as many rows as keep the spacing once some are moved.

    A side too short for a row beside a joist keeps its own.
    """
    first, last = start + rules.edge_nm, end - rules.edge_nm
    if last - first <= 0:
        return list(_places(start, end, rules, rules.fastener_spacing_nm))
    count = count_in_row(end - start, rules, rules.fastener_spacing_nm)
    while True:
        rows = sorted({_aside(Fraction(*at), first, last, joists) for at in _evenly(first, last, count)})
        if all(far - near <= rules.fastener_spacing_nm for near, far in pairwise(rows)):
            return [(at.numerator, at.denominator) for at in rows]
        count += 1


def _aside(at: Fraction, first: int, last: int, joists: Framing) -> Fraction:
    """Return a place moved beside the joist that it meets, to the nearer side that is on the piece."""
    middle = joists.at + round((at - joists.at) / joists.spacing) * joists.spacing
    if abs(at - middle) >= CLEAR_NM:
        return at
    sides = [Fraction(middle + side) for side in (-CLEAR_NM, CLEAR_NM) if first <= middle + side <= last]
    return min(sides, key=lambda side: abs(side - at), default=at)


def _evenly(first: int, last: int, count: int) -> Iterator[tuple[int, int]]:
    spaces = count - 1
    return ((first * spaces + at * (last - first), spaces) for at in range(count))


def _places(
    start: int, end: int, rules: SheetRules, spacing_nm: int, framing: Framing | None = None
) -> Iterator[tuple[int, int]]:
    """Yield the places along a side as exact fractions, a numerator and a denominator each."""
    count = count_in_row(end - start, rules, spacing_nm)
    if framing and count > 1:
        first, last = start + rules.edge_nm, end - rules.edge_nm
        within = (at for at in framing.between(first, last) if min(at - first, last - at) > STUD_NM)
        yield from ((at, 1) for at in (first, *within, last))
        return
    if count == 1:
        yield start + end, 2
        return
    yield from _evenly(start + rules.edge_nm, end - rules.edge_nm, count)


def _nearest(numerator: int, denominator: int) -> int:
    return (2 * numerator + denominator) // (2 * denominator)
