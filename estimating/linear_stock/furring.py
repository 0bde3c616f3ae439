"""Furring and strapping: rows of sticks across the joists of a ceiling or its parts."""

from collections.abc import Iterator
from functools import lru_cache

from catalog.measures.lengths import NM_PER_INCH
from estimating.boards.surfaces import surfaces
from estimating.linear_stock.pieces import CannotCut, Piece
from estimating.rooms.plan import RoomPlan
from estimating.sheet_layout.regions import Runs, bounds
from estimating.sheet_layout.surface import Surface, View, region_of

LEAST_SPACING_NM = 6 * NM_PER_INCH  # nearer than that it is boarding, not rows (invented)


@lru_cache(maxsize=256)
def rows_of(plan: RoomPlan, spacing_nm: int) -> tuple[Piece, ...]:
    """Return the rows of a ceiling: one along a wall, then one at every spacing, and one along the last wall.

    Where joists aren't known they run along the longer side, since joists mostly span the shorter one (common
    practice). They stop at columns, and may be put together from parts. Raises CannotCut where rows would lie
    nearer than 6 in.
    """
    if spacing_nm < LEAST_SPACING_NM:
        raise CannotCut("Rows nearer than 6 in to each other aren't cut from a list.")
    rows = [row for part in surfaces(plan, "ceiling") for row in _rows(part.surface, spacing_nm)]
    return tuple(
        Piece(end - start, f"row {number}", plan.name, may_join=True)
        for number, runs in enumerate(rows, start=1)
        for start, end in runs
    )


def _rows(surface: Surface, spacing_nm: int) -> Iterator[Runs]:
    """Yield the runs of every row of one surface."""
    region = region_of(surface, View(), spacing_nm)
    left, low, right, high = bounds(region)
    joists = surface.framing
    if joists.along == "x" if joists else high - low > right - left:
        region = region_of(surface, View(swap=True), spacing_nm)
        _, low, _, high = bounds(region)
    for level in [*range(low, high, spacing_nm), high]:
        yield next(
            band.runs for band in region if band.low <= level < band.high or level == band.high == high
        )
