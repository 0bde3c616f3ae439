"""A room's plan in words: what the drawing shows, for readers who can't see it."""

from collections.abc import Iterator
from decimal import Decimal

from catalog.measures.lengths import format_length
from estimating.cabinets.units import units_in_words
from estimating.rooms.ceiling import ceiling_over
from estimating.rooms.electrical import placed_in_words
from estimating.rooms.faults import plan_faults
from estimating.rooms.outline import wall_letter
from estimating.rooms.plan import Footprint, Opening, RoomPlan, Soffit, room_outline

_KINDS = {"door": "door", "window": "window", "cased": "cased opening", "niche": "niche"}


def plan_in_words(plan: RoomPlan, metric: bool = False) -> str:
    """Return the walls with their lengths and turns, how they close, and what stands in and on them."""
    return " ".join(_sentences(plan, metric))


def ceiling_height_in_words(plan: RoomPlan, metric: bool = False) -> str:
    """Return how high the ceiling is, or from which height to which it goes."""
    heights = [plan.height_nm]
    if plan.heights and not any(plan_faults(plan)):
        heights = [round(height) for height in ceiling_over(plan).profile.heights_nm]
    low, high = (format_length(height, metric) for height in (min(heights), max(heights)))
    return low if low == high else f"{low} to {high}"


def _sentences(plan: RoomPlan, metric: bool) -> Iterator[str]:
    shape = room_outline(plan)
    yield f"{_count(len(plan.legs), 'wall')}, ceiling {ceiling_height_in_words(plan, metric)} high."
    for wall, length_nm in enumerate(shape.lengths_nm):
        turn = _turn(shape.turns[wall]) if wall + 1 < len(plan.legs) else ""
        yield f"Wall {wall_letter(wall)} {format_length(length_nm, metric)}{turn}."
    if not shape.closed:
        yield f"The walls don't close: {shape.misclosure.in_words(metric)}."
    elif plan.balanced and shape.misclosure.distance_nm:
        yield f"Balanced: as measured, {shape.misclosure.in_words(metric)}."
    for point in plan.heights:
        along, height = (format_length(length, metric) for length in (point.along_nm, point.height_nm))
        yield f"{along} from the start of wall {wall_letter(point.wall)} the ceiling is {height} high."
    for soffit in plan.soffits:
        yield _soffit(soffit, metric)
    for opening in sorted(plan.openings, key=lambda opening: opening.wall):
        yield _opening(opening, metric)
    for footprint in plan.footprints:
        yield _footprint(footprint, metric)
    for column in plan.columns:
        size = f"{format_length(column.width_nm, metric)} x {format_length(column.depth_nm, metric)}"
        yield f"Column {size}, standing free."
    if plan.electrical:
        yield f"Placed: {placed_in_words(plan.electrical)}."
    for place in plan.photos:
        yield f"Photo {place.number} on wall {wall_letter(place.wall)}."


def _opening(opening: Opening, metric: bool) -> str:
    size = f"{format_length(opening.width_nm, metric)} wide, {format_length(opening.height_nm, metric)} high"
    sill = f", {format_length(opening.sill_nm, metric)} above the floor" if opening.sill_nm else ""
    deep = format_length(opening.recess_nm, metric)
    recess = f", the floor running {deep} into it" if opening.recess_nm else ""
    recess = f", {deep} deep" if opening.is_niche else recess
    recess = f", its return {deep} deep" if opening.kind == "window" and opening.recess_nm else recess
    named = _named(opening.name, _KINDS.get(opening.kind, opening.kind))
    return f"{named} on wall {wall_letter(opening.wall)}: {size}{sill}{recess}."


def _footprint(footprint: Footprint, metric: bool) -> str:
    standing = "standing free" if footprint.wall is None else f"along wall {wall_letter(footprint.wall)}"
    if spot := footprint.spot:
        along, off = format_length(spot.along_nm, metric), format_length(spot.off_nm, metric)
        standing += f" {off} off wall {wall_letter(spot.wall)}, {along} from its start"
    length, depth = format_length(footprint.length_nm, metric), format_length(footprint.depth_nm, metric)
    listed = f", from its start: {units_in_words(footprint.units, metric)}" if footprint.is_run else ""
    name = footprint.name or footprint.kind.capitalize()
    return f"{name}, {standing}: {length} long, {depth} deep{listed}."


def _soffit(soffit: Soffit, metric: bool) -> str:
    """Return a soffit with its place and sizes."""
    length, depth, drop, begin = (
        format_length(size, metric)
        for size in (soffit.length_nm, soffit.depth_nm, soffit.drop_nm, soffit.offset_nm or 0)
    )
    wall = "no wall" if soffit.wall is None else f"wall {wall_letter(soffit.wall)}"
    place = f", {begin} from its start" if soffit.offset_nm else ""
    return f"{soffit.name} along {wall}{place}: {length} long, {depth} deep, {drop} below the ceiling."


def _named(name: str, kind: str) -> str:
    if not name or name.lower() == kind:
        return kind.capitalize()
    return f"{name} ({kind})"


def _turn(turn: Decimal) -> str:
    if not turn:
        return ", then straight on"
    return f", then {abs(turn).normalize():f} degrees {'right' if turn > 0 else 'left'}"


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"
