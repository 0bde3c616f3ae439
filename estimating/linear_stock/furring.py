"""Furring and strapping: rows of sticks across a ceiling, so far apart, along its longer side."""

from functools import lru_cache

from catalog.measures.lengths import NM_PER_INCH
from estimating.boards.surfaces import surfaces
from estimating.linear_stock.pieces import CannotCut, Piece
from estimating.rooms.plan import RoomPlan
from estimating.sheet_layout.regions import bounds
from estimating.sheet_layout.surface import View, region_of

LEAST_SPACING_NM = 6 * NM_PER_INCH  # nearer than that it is boarding, not rows (invented)


@lru_cache(maxsize=256)
def rows_of(plan: RoomPlan, spacing_nm: int) -> tuple[Piece, ...]:
    """Return the rows of a ceiling: one along a wall, then one at every spacing, and one along the last wall.

    They run along the longer side, since joists mostly span the shorter one (common practice), and stop at
    columns; they may be put together from parts. Raises CannotCut where rows would lie nearer than 6 in.
    """
    if spacing_nm < LEAST_SPACING_NM:
        raise CannotCut("Rows nearer than 6 in to each other aren't cut from a list.")
    (ceiling,) = surfaces(plan, "ceiling")
    region = region_of(ceiling.surface, View(), spacing_nm)
    left, low, right, high = bounds(region)
    if high - low > right - left:
        region = region_of(ceiling.surface, View(swap=True), spacing_nm)
        _, low, _, high = bounds(region)
    levels = [*range(low, high, spacing_nm), high]
    return tuple(
        Piece(end - start, f"row {number}", plan.name, may_join=True)
        for number, level in enumerate(levels, start=1)
        for start, end in next(
            band.runs for band in region if band.low <= level < band.high or level == band.high == high
        )
    )
