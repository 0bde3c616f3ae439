"""The grid of fasteners in a piece."""

from collections.abc import Iterator

from estimating.sheet_layout.regions import Point, Region, bounds
from estimating.sheet_layout.rules import SheetRules


def count_in_row(size_nm: int, rules: SheetRules) -> int:
    """Count the fasteners along a side: one where the edge distances meet, else by the spacing."""
    between = size_nm - 2 * rules.edge_nm
    if between <= 0:
        return 1
    return max(2, -(-between // rules.fastener_spacing_nm) + 1)


def fasteners(shape: Region, rules: SheetRules) -> Iterator[Point]:
    """Yield the fasteners in a grid on the box of a piece, evenly spread from edge distance to edge distance.

    Points outside a notched piece are left out, those on its edge kept; each is given to the nearest
    nanometer. Spacing and edge distance hold for the box: a notch may come nearer.
    """
    left, low, right, high = bounds(shape)
    xs = list(_places(left, right, rules))
    for y, scale_y in _places(low, high, rules):
        runs = [run for band in shape if band.low * scale_y <= y <= band.high * scale_y for run in band.runs]
        for x, scale_x in xs:
            if any(a * scale_x <= x <= b * scale_x for a, b in runs):
                yield _nearest(x, scale_x), _nearest(y, scale_y)


def _places(start: int, end: int, rules: SheetRules) -> Iterator[tuple[int, int]]:
    """Yield the places along a side as exact fractions, a numerator and a denominator each."""
    count = count_in_row(end - start, rules)
    if count == 1:
        yield start + end, 2
        return
    spaces, between = count - 1, end - start - 2 * rules.edge_nm
    for at in range(count):
        yield (start + rules.edge_nm) * spaces + at * between, spaces


def _nearest(numerator: int, denominator: int) -> int:
    return (2 * numerator + denominator) // (2 * denominator)
