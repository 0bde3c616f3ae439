"""Where cabinets are screwed to the studs of a wall, and which of them meet none.

Screws go through the rails at a cabinet's back: of wall cabinets at the top and the bottom, of tall and base
cabinets at the top; a stud counts behind a cabinet where it is clear of its sides (common practice).
"""

from collections.abc import Iterator
from typing import NamedTuple

from catalog.measures.lengths import NM_PER_INCH, format_length
from estimating.cabinets.units import width_in_words
from estimating.plain_text import list_in_words
from estimating.rooms.cabinet_runs import cabinets_of
from estimating.rooms.plan import RoomPlan

SIDE_NM = 3 * NM_PER_INCH // 4  # a cabinet's side, in which no screw goes
RAIL_NM = 3 * NM_PER_INCH // 2  # from a cabinet's edge to the middle of its rail


class ScrewedUnit(NamedTuple):
    """A cabinet on a wall: from where to where, the studs behind it, and the heights of its screws."""

    begin_nm: int
    end_nm: int
    hangs: bool
    studs: tuple[int, ...]
    heights: tuple[int, ...]


def studs_in(plan: RoomPlan, wall: int) -> tuple[int, ...]:
    """Return the middles of a wall's studs, from its start; none where they aren't known.

    They are measured from the wall's left corner, as he sees it who faces it.
    """
    if plan.studs is None:
        return ()
    shape = cabinets_of(plan).shape
    length, first, spacing = (
        shape.lengths_nm[wall],
        plan.studs.at_nm % plan.studs.spacing_nm,
        plan.studs.spacing_nm,
    )
    from_left = range(first, length, spacing)
    return tuple(length - at for at in from_left) if shape.signed_double_area_nm2 > 0 else tuple(from_left)


def screwed_units(plan: RoomPlan, wall: int) -> Iterator[ScrewedUnit]:
    """Yield the cabinets on a wall with the studs behind them; nothing where studs aren't known."""
    studs = studs_in(plan, wall)
    if not studs:
        return
    for run in cabinets_of(plan).runs:
        if run.wall != wall or run.stands_free:
            continue
        low, high = run.item.under_nm, run.item.under_nm + run.item.tall_nm
        hangs = run.layer == "hung"
        heights = (low + RAIL_NM, high - RAIL_NM) if hangs else (high - RAIL_NM,)
        for placed in run.units:
            if placed.unit.traits.cabinet:
                begin, end = run.begin_nm + placed.begin_nm, run.begin_nm + placed.end_nm
                behind = tuple(at for at in studs if begin + SIDE_NM <= at <= end - SIDE_NM)
                yield ScrewedUnit(begin, end, hangs, behind, heights)


def studs_in_words(plan: RoomPlan, wall: int, metric: bool = False) -> Iterator[str]:
    """Yield where the studs are, and which cabinets meet none."""
    studs = studs_in(plan, wall)
    if not studs or plan.studs is None:
        return
    spacing, first = (width_in_words(size, metric) for size in (plan.studs.spacing_nm, plan.studs.at_nm))
    yield f"Studs {spacing} apart, the first {first} from the left corner."
    for hangs, kind in ((True, "Wall cabinets"), (False, "Cabinets")):
        loose = [unit for unit in screwed_units(plan, wall) if unit.hangs == hangs and not unit.studs]
        if loose:
            places = list_in_words([format_length(unit.begin_nm, metric) for unit in loose])
            yield f"{kind} that meet no stud, at {places} from the start: put blocking in the wall behind."
