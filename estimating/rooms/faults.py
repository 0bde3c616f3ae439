"""What can be wrong with a measured room, each fault in a plain sentence with the field it is about."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations
from typing import get_args

from catalog.measures.units import NM_PER_INCH, format_length
from estimating.rooms.outline import BadLength, PlanError, wall_faults, wall_letter
from estimating.rooms.plan import (
    Footprint,
    FootprintKind,
    Opening,
    OpeningKind,
    RoomPlan,
    floor_and_ceiling_nm2,
    outline,
)

MOST_RECESS_NM = 24 * NM_PER_INCH  # the thickness of an old stone wall (invented: what is deeper is a room)


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


def check(plan: RoomPlan, metric: bool = False) -> None:
    """Raise the first fault of the plan, a PlanError, if it has any."""
    for fault in faults(plan, metric):
        raise fault


def faults(plan: RoomPlan, metric: bool = False) -> Iterator[PlanError]:
    """Everything that is wrong with a plan, each fault with the field that it is about.

    What stands on the walls is looked at only once the walls themselves are right. Lengths in the
    sentences are feet and inches, or meters with `metric`.
    """
    if plan.height_nm <= 0:
        yield BadLength("The ceiling height must be more than zero.", "height")
    for count, field in ((plan.device_boxes, "device_boxes"), (plan.ceiling_lights, "ceiling_lights")):
        if count < 0:
            yield BadCount("A count can't be below zero.", field)
    walls = list(wall_faults(plan.legs, plan.balanced, metric))
    yield from walls
    if walls or plan.height_nm <= 0:
        return
    room = _Room(plan, outline(plan).lengths_nm, metric)
    lone = [*room.opening_faults(), *room.footprint_faults(), *room.column_faults()]
    yield from lone or room.faults_together()


@dataclass(frozen=True)
class _Room:
    """A room whose walls are right, and what may be wrong with all else in it."""

    plan: RoomPlan
    lengths_nm: tuple[int, ...]
    metric: bool

    def opening_faults(self) -> Iterator[PlanError]:
        fitting: dict[int, list[tuple[int, Opening]]] = defaultdict(list)
        for number, opening in enumerate(self.plan.openings, start=1):
            fault = self._opening_fault(opening, f"opening {number}")
            if fault:
                yield fault
            else:
                fitting[opening.wall].append((number, opening))
        for wall, here in sorted(fitting.items()):
            if sum(opening.width_nm for _, opening in here) > self.lengths_nm[wall]:
                yield OpeningTooLarge(
                    f"The openings on {self._wall(wall)} are wider together than the wall.",
                    f"opening {here[-1][0]}",
                )
                continue
            for (_, one), (number, other) in combinations(here, 2):
                if _overlap(one, other):
                    yield OpeningTooLarge(
                        f"{other.name} overlaps {one.name}: check where each begins on the wall.",
                        f"opening {number}",
                    )

    def _opening_fault(self, opening: Opening, field: str) -> PlanError | None:
        name, top_nm = opening.name, opening.sill_nm + opening.height_nm
        if opening.kind not in get_args(OpeningKind):
            return UnknownKind("Choose a door, a window or a cased opening.", field)
        if min(opening.width_nm, opening.height_nm) <= 0:
            return BadLength(f"{name} needs a width and a height of more than zero.", field)
        if opening.sill_nm < 0:
            return BadLength(f"The sill of {name} can't be below the floor.", field)
        if opening.recess_nm < 0:
            return BadLength(f"The floor can't run into {name} by less than zero.", field)
        if opening.recess_nm and not opening.stops_base:
            return BadLength(f"{name} doesn't reach the floor, so that the floor can't run into it.", field)
        if opening.recess_nm > MOST_RECESS_NM:
            return BadLength(
                f"The floor runs {self._say(opening.recess_nm)} into {name}: a wall is at most"
                f" {self._say(MOST_RECESS_NM)} thick here. Measure what lies beyond as a room.",
                field,
            )
        if not 0 <= opening.wall < len(self.lengths_nm):
            return NoSuchWall(f"Choose a wall for {name}.", field)
        if top_nm > self.plan.height_nm:
            return OpeningTooLarge(
                f"{name} reaches {self._say(top_nm)} above the floor, higher than the ceiling at"
                f" {self._say(self.plan.height_nm)}.",
                field,
            )
        if fault := self._misplaced(name, opening.wall, opening.width_nm, opening.offset_nm):
            return OpeningTooLarge(fault, field)
        return None

    def footprint_faults(self) -> Iterator[PlanError]:
        for number, item in enumerate(self.plan.footprints, start=1):
            if fault := self._footprint_fault(item, number):
                yield fault

    def _footprint_fault(self, item: Footprint, number: int) -> PlanError | None:
        name, field = item.name, f"footprint {number}"
        if item.kind not in get_args(FootprintKind):
            return UnknownKind("Choose cabinets, a tub, an island or something else.", field)
        if min(item.length_nm, item.depth_nm) <= 0:
            return BadLength(f"{name} needs a length and a depth of more than zero.", field)
        if item.height_nm is None and item.off_walls:
            return BadLength(f"{name} needs a height, since the wall behind it is left out.", field)
        if item.height_nm is not None and not 0 < item.height_nm <= self.plan.height_nm:
            return FootprintTooLarge(
                f"{name} must be higher than zero and no higher than the ceiling,"
                f" {self._say(self.plan.height_nm)}.",
                field,
            )
        if not self._fits(item.length_nm, item.depth_nm):
            return FootprintTooLarge(f"{name} is larger than the room.", field)
        if item.wall is None:
            return None
        if not 0 <= item.wall < len(self.lengths_nm):
            return NoSuchWall(f"Choose a wall for {name}, or none if it stands free.", field)
        if fault := self._misplaced(name, item.wall, item.length_nm, item.offset_nm):
            return FootprintTooLarge(fault, field)
        return None

    def column_faults(self) -> Iterator[PlanError]:
        for number, column in enumerate(self.plan.columns, start=1):
            if min(column.width_nm, column.depth_nm) <= 0:
                yield BadLength("A column needs a width and a depth of more than zero.", f"column {number}")
            elif not self._fits(column.width_nm, column.depth_nm):
                yield ColumnTooLarge("The column is larger than the room.", f"column {number}")

    def faults_together(self) -> Iterator[PlanError]:
        """What is wrong with things that are each right on their own."""
        floor_nm2, ceiling_nm2 = floor_and_ceiling_nm2(self.plan)
        if ceiling_nm2 <= 0:
            yield ColumnTooLarge("The columns together are larger than the room.", "columns")
        elif floor_nm2 < 0:
            yield FootprintTooLarge("What is taken off the floor is larger than the floor.", "footprints")
        for wall, length_nm in enumerate(self.lengths_nm):
            if self._off_base_nm(wall) > length_nm:
                yield FootprintTooLarge(
                    f"Doors and footprints that base stops at are longer together than {self._wall(wall)}.",
                    "footprints",
                )

    def _misplaced(self, name: str, wall: int, length_nm: int, offset_nm: int | None) -> str:
        """What is wrong with the place of something along a wall; empty where it fits."""
        room_nm = self.lengths_nm[wall] - length_nm
        if room_nm < 0:
            return f"{name}, {self._say(length_nm)}, is longer than {self._wall(wall)}."
        if offset_nm is not None and not 0 <= offset_nm <= room_nm:
            return (
                f"{name} must begin between 0 and {self._say(room_nm)} from the start of"
                f" {self._wall(wall)}, to end on the wall."
            )
        return ""

    def _fits(self, length_nm: int, depth_nm: int) -> bool:
        """Whether a box set square to the first wall fits between the outermost corners."""
        xs, ys = zip(*outline(self.plan).vertices, strict=True)
        short, long = sorted((max(xs) - min(xs), max(ys) - min(ys)))
        return min(length_nm, depth_nm) <= short and max(length_nm, depth_nm) <= long

    def _off_base_nm(self, wall: int) -> int:
        doors = sum(each.width_nm for each in self.plan.openings if each.wall == wall and each.stops_base)
        return doors + sum(
            each.length_nm for each in self.plan.footprints if each.wall == wall and each.off_base
        )

    def _wall(self, wall: int) -> str:
        return f"wall {wall_letter(wall)} ({self._say(self.lengths_nm[wall])})"

    def _say(self, length_nm: int) -> str:
        return format_length(length_nm, self.metric)


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
