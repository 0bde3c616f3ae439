"""What can be wrong with a measured room, each fault in a plain sentence with the field it is about."""

from collections.abc import Callable, Iterator
from itertools import combinations
from typing import get_args

from catalog.units import format_length
from estimating.room_plan import (
    Footprint,
    FootprintKind,
    Opening,
    OpeningKind,
    RoomPlan,
    floor_and_ceiling_nm2,
    outline,
)
from estimating.walk import BadLength, PlanError, wall_faults, wall_letter


class BadCount(PlanError):
    """A count below zero."""


class UnknownKind(PlanError):
    """A kind of opening or footprint that isn't among those known."""


class NoSuchWall(PlanError):
    """An opening or footprint on a wall that the room doesn't have."""


class OpeningTooLarge(PlanError):
    """An opening that doesn't fit its wall, or not beside the others on it."""


class FootprintTooLarge(PlanError):
    """A footprint that doesn't fit its wall or the floor."""


class ColumnTooLarge(PlanError):
    """Columns that don't fit in the room."""


def check(plan: RoomPlan) -> None:
    """Raise the first fault of the plan, a PlanError, if it has any."""
    for fault in faults(plan):
        raise fault


def faults(plan: RoomPlan) -> Iterator[PlanError]:
    """Everything that is wrong with a plan, each fault with the field that it is about.

    What stands on the walls is looked at only once the walls themselves are right.
    """
    if plan.height_nm <= 0:
        yield BadLength("The ceiling height must be more than zero.", "height")
    for count, field in ((plan.device_boxes, "device_boxes"), (plan.ceiling_lights, "ceiling_lights")):
        if count < 0:
            yield BadCount("A count can't be below zero.", field)
    walls = list(wall_faults(plan.legs, plan.balanced))
    yield from walls
    if walls or plan.height_nm <= 0:
        return
    yield from _opening_faults(plan)
    yield from _footprint_faults(plan)
    yield from _column_faults(plan)


def _opening_faults(plan: RoomPlan) -> Iterator[PlanError]:
    fitting: list[tuple[int, Opening]] = []
    lengths = outline(plan).lengths_nm
    for number, opening in enumerate(plan.openings, start=1):
        fault = _opening_fault(opening, lengths, plan.height_nm, f"opening {number}")
        if fault:
            yield fault
        else:
            fitting.append((number, opening))
    for wall, length in enumerate(lengths):
        here = [(number, opening) for number, opening in fitting if opening.wall == wall]
        if sum(opening.width_nm for _, opening in here) > length:
            yield OpeningTooLarge(
                f"The openings on wall {wall_letter(wall)} are wider together than the wall,"
                f" {format_length(length)}.",
                f"opening {here[-1][0]}",
            )
            continue
        for (_, one), (number, other) in combinations(here, 2):
            if _overlap(one, other):
                yield OpeningTooLarge(
                    f"{other.name} overlaps {one.name}: check where each begins on the wall.",
                    f"opening {number}",
                )


def _opening_fault(
    opening: Opening, lengths: tuple[int, ...], height_nm: int, field: str
) -> PlanError | None:
    if opening.kind not in get_args(OpeningKind):
        return UnknownKind("Choose a door, a window or a cased opening.", field)
    if min(opening.width_nm, opening.height_nm) <= 0:
        return BadLength(f"{opening.name} needs a width and a height of more than zero.", field)
    if opening.sill_nm < 0:
        return BadLength(f"The sill of {opening.name} can't be below the floor.", field)
    if not 0 <= opening.wall < len(lengths):
        return NoSuchWall(f"Choose a wall for {opening.name}.", field)
    if opening.sill_nm + opening.height_nm > height_nm:
        return OpeningTooLarge(
            f"{opening.name} reaches {format_length(opening.sill_nm + opening.height_nm)} above the floor,"
            f" higher than the ceiling at {format_length(height_nm)}.",
            field,
        )
    wall, length = wall_letter(opening.wall), lengths[opening.wall]
    return _misplaced(opening.name, opening.width_nm, opening.offset_nm, wall, length, field, OpeningTooLarge)


def _misplaced(
    name: str,
    width_nm: int,
    offset_nm: int | None,
    wall: str,
    length_nm: int,
    field: str,
    error: Callable[[str, str], PlanError],
) -> PlanError | None:
    if width_nm > length_nm:
        return error(
            f"{name} is {format_length(width_nm)} wide, wider than wall {wall}, {format_length(length_nm)}.",
            field,
        )
    if offset_nm is not None and not 0 <= offset_nm <= length_nm - width_nm:
        return error(
            f"{name} must begin between 0 and {format_length(length_nm - width_nm)} from the start"
            f" of wall {wall}, to end on the wall.",
            field,
        )
    return None


def _overlap(one: Opening, other: Opening) -> bool:
    if one.offset_nm is None or other.offset_nm is None:
        return False
    beside = max(one.offset_nm, other.offset_nm) < min(
        one.offset_nm + one.width_nm, other.offset_nm + other.width_nm
    )
    above = max(one.sill_nm, other.sill_nm) < min(
        one.sill_nm + one.height_nm, other.sill_nm + other.height_nm
    )
    return beside and above


def _footprint_faults(plan: RoomPlan) -> Iterator[PlanError]:
    shape = outline(plan)
    lone = [
        fault
        for number, item in enumerate(plan.footprints, start=1)
        if (fault := _footprint_fault(item, shape.lengths_nm, plan.height_nm, f"footprint {number}"))
    ]
    yield from lone
    if lone:
        return
    if floor_and_ceiling_nm2(plan)[0] < 0:
        yield FootprintTooLarge("The footprints taken off the floor are larger than the floor.", "footprints")
    for wall, length in enumerate(shape.lengths_nm):
        if _off_base_nm(plan, wall) > length:
            yield FootprintTooLarge(
                f"Door openings and footprints taken off the base of wall {wall_letter(wall)} are longer"
                f" together than the wall, {format_length(length)}.",
                "footprints",
            )


def _off_base_nm(plan: RoomPlan, wall: int) -> int:
    openings = (opening for opening in plan.openings if opening.wall == wall)
    footprints = (item for item in plan.footprints if item.wall == wall)
    return sum(opening.width_nm for opening in openings if opening.stops_base) + sum(
        item.length_nm for item in footprints if item.off_base
    )


def _footprint_fault(
    item: Footprint, lengths: tuple[int, ...], height_nm: int, field: str
) -> PlanError | None:
    if item.kind not in get_args(FootprintKind):
        return UnknownKind("Choose cabinets, a tub, an island or something else.", field)
    if min(item.length_nm, item.depth_nm) <= 0:
        return BadLength(f"{item.name} needs a length and a depth of more than zero.", field)
    if item.height_nm is not None and not 0 < item.height_nm <= height_nm:
        return FootprintTooLarge(
            f"{item.name} must be higher than zero and no higher than the ceiling,"
            f" {format_length(height_nm)}.",
            field,
        )
    if item.wall is None:
        return None
    if not 0 <= item.wall < len(lengths):
        return NoSuchWall(f"Choose a wall for {item.name}, or none if it stands free.", field)
    wall, length = wall_letter(item.wall), lengths[item.wall]
    return _misplaced(item.name, item.length_nm, item.offset_nm, wall, length, field, FootprintTooLarge)


def _column_faults(plan: RoomPlan) -> Iterator[PlanError]:
    xs, ys = zip(*outline(plan).vertices, strict=True)
    long, short = sorted((max(xs) - min(xs), max(ys) - min(ys)), reverse=True)
    for number, column in enumerate(plan.columns, start=1):
        if min(column.width_nm, column.depth_nm) <= 0:
            yield BadLength("A column needs a width and a depth of more than zero.", f"column {number}")
        elif max(column.width_nm, column.depth_nm) >= long or min(column.width_nm, column.depth_nm) >= short:
            yield ColumnTooLarge("The column is larger than the room.", f"column {number}")
    if floor_and_ceiling_nm2(plan)[1] <= 0:
        yield ColumnTooLarge("The columns together are larger than the room.", "columns")
