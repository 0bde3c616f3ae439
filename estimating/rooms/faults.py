"""The faults of a measured room, each a plain sentence with the field that it is about."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations
from typing import get_args

from catalog.measures.lengths import NM_PER_INCH, format_length
from estimating.cabinets.units import LAYERS
from estimating.rooms.ceiling import Ceiling, ceiling_over, is_inside, is_level, profile_of
from estimating.rooms.electrical import electrical_faults
from estimating.rooms.outline import BadLength, Outline, PlanError, wall_faults, wall_letter
from estimating.rooms.plan import (
    COUNTER_NM,
    Footprint,
    FootprintKind,
    HeightPoint,
    Opening,
    OpeningKind,
    RoomPlan,
    Soffit,
    floor_and_ceiling_nm2,
    room_outline,
    spot_ring,
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


class SoffitTooLarge(PlanError):
    """A soffit that doesn't fit its wall or under the ceiling."""


class HeightOffWall(PlanError):
    """A height of the ceiling that was taken beyond the end of its wall."""


class ColumnTooLarge(PlanError):
    """Columns that don't fit in the room."""


def check_plan(plan: RoomPlan, metric: bool = False) -> None:
    """Raise the first fault of a plan, a PlanError, if it has any."""
    for fault in plan_faults(plan, metric):
        raise fault


def plan_faults(plan: RoomPlan, metric: bool = False) -> Iterator[PlanError]:
    """Yield everything that is wrong with a plan, each fault with the field that it is about.

    What stands on the walls is checked only once the walls themselves are right, and things together only
    once each is right on its own. Lengths in the sentences are feet and inches, or meters with `metric`.
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
    shape = room_outline(plan)
    ceiling_faults = list(_Overhead(plan, shape, metric).faults())
    yield from ceiling_faults
    ceiling = None if ceiling_faults or is_level(plan) else ceiling_over(plan)
    room = _Room(plan, shape, shape.lengths_nm, ceiling, metric)
    single = [*room.opening_faults(), *room.footprint_faults(), *room.column_faults()]
    single += electrical_faults(plan, shape, ceiling, metric)
    yield from single or (() if ceiling_faults else room.faults_together())


@dataclass(frozen=True)
class _Overhead:
    """A room whose walls are right, and the checks of its heights and soffits."""

    plan: RoomPlan
    shape: Outline
    metric: bool

    def faults(self) -> Iterator[PlanError]:
        heights = [
            fault
            for number, point in enumerate(self.plan.heights, start=1)
            if (fault := self._height_fault(point, f"heights {number}"))
        ]
        yield from heights
        soffits = [
            fault
            for number, soffit in enumerate(self.plan.soffits, start=1)
            if (fault := self._soffit_fault(soffit, f"soffit {number}"))
        ]
        yield from soffits
        if heights:
            return
        try:
            profile_of(self.plan, self.shape)
        except PlanError as fault:
            yield fault
            return
        if not soffits:
            yield from self._faults_under()

    def _height_fault(self, point: HeightPoint, field: str) -> PlanError | None:
        if not 0 <= point.wall < len(self.shape.lengths_nm):
            return NoSuchWall("Choose the wall that the height was taken on.", field)
        length_nm = self.shape.lengths_nm[point.wall]
        if not 0 <= point.along_nm <= length_nm:
            return HeightOffWall(
                f"Wall {wall_letter(point.wall)} is {self._length(length_nm)} long: its heights are taken"
                " between 0 and that from its start.",
                f"{field} offset",
            )
        if point.height_nm <= 0:
            return BadLength("The height of the ceiling must be more than zero.", f"{field} height")
        return None

    def _soffit_fault(self, soffit: Soffit, field: str) -> PlanError | None:
        name, wall = soffit.name, soffit.wall
        if wall is None or not 0 <= wall < len(self.shape.lengths_nm):
            return NoSuchWall(f"Choose the wall that {name} runs along.", f"{field}")
        if min(soffit.length_nm, soffit.depth_nm, soffit.drop_nm) <= 0:
            return BadLength(
                f"{name} needs a length, a depth and a height of more than zero.", f"{field} length"
            )
        length_nm = self.shape.lengths_nm[wall]
        begin, end = soffit.offset_nm or 0, (soffit.offset_nm or 0) + soffit.length_nm
        if begin < 0 or end > length_nm:
            return SoffitTooLarge(
                f"{name} ends {self._length(end)} from the start of wall {wall_letter(wall)}, which is"
                f" {self._length(length_nm)} long.",
                f"{field} {'offset' if soffit.offset_nm and soffit.length_nm <= length_nm else 'length'}",
            )
        xs, ys = zip(*self.shape.vertices, strict=True)
        if soffit.depth_nm > max(max(xs) - min(xs), max(ys) - min(ys)):
            return SoffitTooLarge(f"{name} is deeper than the room.", f"{field} depth")
        return None

    def _faults_under(self) -> Iterator[PlanError]:
        """Yield the soffits that drop to the floor or below."""
        ceiling = ceiling_over(self.plan)
        for number, soffit in enumerate(self.plan.soffits):
            if ceiling.undersides_nm[number] <= 0:
                lowest = int(ceiling.lowest_over_nm(number))
                yield SoffitTooLarge(
                    f"{soffit.name} drops {self._length(soffit.drop_nm)} below a ceiling that is"
                    f" {self._length(lowest)} high: type how far it hangs down.",
                    f"soffit {number + 1} height",
                )

    def _length(self, length_nm: int) -> str:
        return format_length(length_nm, self.metric)


@dataclass(frozen=True)
class _Room:
    """A room whose walls are right, and the checks of what stands in and on them.

    `ceiling` is None where it is one level plane, or has faults itself.
    """

    plan: RoomPlan
    shape: Outline
    lengths_nm: tuple[int, ...]
    ceiling: Ceiling | None
    metric: bool

    def opening_faults(self) -> Iterator[PlanError]:
        fitting: dict[int, list[tuple[int, Opening]]] = defaultdict(list)
        for number, opening in enumerate(self.plan.openings, start=1):
            fault = self._opening_fault(opening, f"opening {number}")
            if fault:
                yield fault
            else:
                fitting[opening.wall].append((number, opening))
        for wall, on_wall in sorted(fitting.items()):
            yield from self._faults_on_wall(wall, on_wall)

    def _faults_on_wall(self, wall: int, openings: list[tuple[int, Opening]]) -> Iterator[PlanError]:
        """Yield what is wrong with openings of one wall, given with their numbers, that each fit on it."""
        if sum(opening.width_nm for _, opening in openings) > self.lengths_nm[wall]:
            yield OpeningTooLarge(
                f"The openings on {self._wall(wall)} are wider together than the wall.",
                f"opening {openings[-1][0]}",
            )
            return
        for (_, earlier), (number, later) in combinations(openings, 2):
            if _overlap(earlier, later):
                yield OpeningTooLarge(
                    f"{later.name} overlaps {earlier.name}: check where each begins on the wall.",
                    f"opening {number}",
                )

    def _opening_fault(self, opening: Opening, field: str) -> PlanError | None:
        return self._opening_size_fault(opening, field) or self._opening_fit_fault(opening, field)

    def _opening_size_fault(self, opening: Opening, field: str) -> PlanError | None:
        """Return what is wrong with an opening whatever room it is in."""
        name = opening.name
        if opening.kind not in get_args(OpeningKind):
            return UnknownKind("Choose a door, a window, a cased opening or a niche.", field)
        if min(opening.width_nm, opening.height_nm) <= 0:
            return BadLength(f"{name} needs a width and a height of more than zero.", field)
        if opening.sill_nm < 0:
            return BadLength(f"The sill of {name} can't be below the floor.", field)
        if opening.recess_nm < 0:
            return BadLength(f"The floor can't run into {name} by less than zero.", field)
        if opening.is_niche:
            return self._niche_fault(opening, field)
        if opening.kind == "window":
            return self._return_fault(opening, field)
        if opening.recess_nm and not opening.stops_base:
            return BadLength(f"{name} doesn't reach the floor, so that the floor can't run into it.", field)
        if opening.recess_nm > MOST_RECESS_NM:
            return BadLength(
                f"The floor runs {self._length(opening.recess_nm)} into {name}: a wall is at most"
                f" {self._length(MOST_RECESS_NM)} thick here. Measure what lies beyond as a room.",
                field,
            )
        return None

    def _return_fault(self, window: Opening, field: str) -> PlanError | None:
        if window.recess_nm > MOST_RECESS_NM:
            return BadLength(
                f"The return of {window.name} is {self._length(window.recess_nm)} deep: a wall is at most"
                f" {self._length(MOST_RECESS_NM)} thick here.",
                f"{field} recess",
            )
        return None

    def _niche_fault(self, niche: Opening, field: str) -> PlanError | None:
        if not niche.recess_nm:
            return BadLength(f"Type how deep {niche.name} goes into the wall.", f"{field} recess")
        if niche.recess_nm > MOST_RECESS_NM:
            return BadLength(
                f"{niche.name} is {self._length(niche.recess_nm)} deep: a niche is at most"
                f" {self._length(MOST_RECESS_NM)} deep here. Measure what is deeper as walls of the room.",
                f"{field} recess",
            )
        return None

    def _opening_fit_fault(self, opening: Opening, field: str) -> PlanError | None:
        """Return why an opening doesn't fit in this room."""
        name, top_nm = opening.name, opening.sill_nm + opening.height_nm
        if not 0 <= opening.wall < len(self.lengths_nm):
            return NoSuchWall(f"Choose a wall for {name}.", field)
        if self.ceiling is None and top_nm > self.plan.height_nm:
            return OpeningTooLarge(
                f"{name} reaches {self._length(top_nm)} above the floor, higher than the ceiling at"
                f" {self._length(self.plan.height_nm)}.",
                field,
            )
        if fault := self._misplaced(name, opening.wall, opening.width_nm, opening.offset_nm):
            return OpeningTooLarge(fault, field)
        ceiling_nm = self._lowest_over(opening.wall, opening.offset_nm, opening.width_nm)
        if top_nm > ceiling_nm and opening.offset_nm is None:
            return OpeningTooLarge(
                f"Type where {name} begins on {self._wall(opening.wall)}: the ceiling there comes down to"
                f" {self._length(ceiling_nm)}, lower than its top.",
                f"{field} offset",
            )
        if top_nm > ceiling_nm:
            return OpeningTooLarge(
                f"{name} reaches {self._length(top_nm)} above the floor, higher than the ceiling or soffit"
                f" there at {self._length(ceiling_nm)}.",
                f"{field} height",
            )
        if opening.is_niche and top_nm == ceiling_nm:
            return OpeningTooLarge(
                f"{name} reaches the ceiling: measure it as walls of the room instead.", f"{field} height"
            )
        return None

    def _lowest_over(self, wall: int, begin_nm: int | None, along_nm: int) -> int:
        """Return the lowest height of the ceiling over something on a wall, or over all of it."""
        if self.ceiling is None:
            return self.plan.height_nm
        begin, end = (0, self.lengths_nm[wall]) if begin_nm is None else (begin_nm, begin_nm + along_nm)
        return int(self.ceiling.lowest_on_wall_nm(wall, begin, end))

    def footprint_faults(self) -> Iterator[PlanError]:
        for number, footprint in enumerate(self.plan.footprints, start=1):
            if fault := self._footprint_fault(footprint, f"footprint {number}"):
                yield fault

    def _footprint_fault(self, footprint: Footprint, field: str) -> PlanError | None:
        return self._footprint_size_fault(footprint, field) or self._footprint_fit_fault(footprint, field)

    def _footprint_size_fault(self, footprint: Footprint, field: str) -> PlanError | None:
        """Return what is wrong with the sizes of something fixed, the height of the room included."""
        name = footprint.name
        if footprint.kind not in get_args(FootprintKind):
            return UnknownKind("Choose cabinets, a tub, an island or something else.", field)
        if fault := self._units_fault(footprint, field):
            return fault
        if min(footprint.length_nm, footprint.depth_nm) <= 0:
            return BadLength(f"{name} needs a length and a depth of more than zero.", field)
        if footprint.height_nm is None and footprint.off_walls:
            return BadLength(f"{name} needs a height, since the wall behind it is left out.", field)
        ceiling_nm = self._highest()
        if footprint.kind == "hung" and footprint.under_nm + footprint.tall_nm > ceiling_nm:
            return FootprintTooLarge(
                f"{name} ends {self._length(footprint.under_nm + footprint.tall_nm)} above the floor, higher"
                f" than the ceiling, {self._length(ceiling_nm)}: check its underside and its height.",
                f"{field} bottom",
            )
        if footprint.height_nm is not None and not 0 < footprint.height_nm <= ceiling_nm:
            return FootprintTooLarge(
                f"{name} must be higher than zero and no higher than the ceiling,"
                f" {self._length(ceiling_nm)}.",
                field,
            )
        return self._tile_fault(footprint, field, ceiling_nm)

    def _tile_fault(self, footprint: Footprint, field: str, ceiling_nm: int) -> PlanError | None:
        """Return what is wrong with how high tile goes: below what it begins at, or above the ceiling."""
        top_nm, name = footprint.tile_to_nm, footprint.name
        if top_nm is None:
            return None
        over_counter = footprint.kind == "cabinets" and footprint.layer == "base"
        if footprint.kind != "tub" and not over_counter:
            return BadLength(
                f"{name}: only the wall at a tub or shower, or over base cabinets, is tiled to a height.",
                f"{field} tile_to",
            )
        low_nm = footprint.tall_nm + COUNTER_NM if over_counter else footprint.height_nm or 0
        if not low_nm < top_nm <= ceiling_nm:
            return FootprintTooLarge(
                f"Tile at {name} ends between {self._length(low_nm)}, where it begins, and the"
                f" ceiling, {self._length(ceiling_nm)}: type its height above the floor.",
                f"{field} tile_to",
            )
        return None

    def _units_fault(self, footprint: Footprint, field: str) -> PlanError | None:
        """Return what is wrong with the cabinets of a run."""
        layer, name = footprint.layer, footprint.name
        if not footprint.units:
            return None
        if layer is None:
            return UnknownKind("Only cabinets and an island have a list of cabinets.", f"{field} units")
        for unit in footprint.units:
            if layer not in unit.traits.layers:
                return UnknownKind(
                    f"A {unit.traits.words[0]} isn't among {LAYERS[layer]}: list it in another run.",
                    f"{field} units",
                )
        over = sum(unit.width_nm for unit in footprint.units) - footprint.length_nm
        if over > 0:
            return FootprintTooLarge(
                f"{name}: the widths are {self._length(footprint.length_nm + over)} together,"
                f" {self._length(over)} more than the run, {self._length(footprint.length_nm)}.",
                f"{field} units",
            )
        return None

    def _highest(self) -> int:
        """Return the greatest height of the ceiling."""
        return self.plan.height_nm if self.ceiling is None else int(max(self.ceiling.profile.heights_nm))

    def _footprint_fit_fault(self, footprint: Footprint, field: str) -> PlanError | None:
        """Return why something fixed doesn't fit on the floor or along its wall."""
        name = footprint.name
        if not self._fits(footprint.length_nm, footprint.depth_nm):
            return FootprintTooLarge(f"{name} is larger than the room.", field)
        if footprint.spot is not None:
            return self._spot_fault(footprint, field)
        if footprint.wall is None:
            return None
        if not 0 <= footprint.wall < len(self.lengths_nm):
            return NoSuchWall(f"Choose a wall for {name}, or none if it stands free.", field)
        if fault := self._misplaced(name, footprint.wall, footprint.length_nm, footprint.offset_nm):
            return FootprintTooLarge(fault, field)
        ceiling_nm = self._lowest_over(footprint.wall, footprint.offset_nm, footprint.length_nm)
        placed = footprint.offset_nm is not None
        top_nm = footprint.height_nm
        if footprint.kind == "hung":
            top_nm = footprint.under_nm + footprint.tall_nm
        if placed and top_nm is not None and top_nm > ceiling_nm:
            return FootprintTooLarge(
                f"{name} is {self._length(top_nm)} high, higher than the ceiling or soffit there"
                f" at {self._length(ceiling_nm)}.",
                f"{field} height",
            )
        return None

    def _spot_fault(self, footprint: Footprint, field: str) -> PlanError | None:
        """Return why something doesn't stand free where its place was measured."""
        name, spot = footprint.name, footprint.spot
        assert spot is not None
        if not 0 <= spot.wall < len(self.lengths_nm):
            return NoSuchWall(f"Choose a wall for {name}, or none if its place isn't measured.", field)
        if fault := self._misplaced(name, spot.wall, footprint.length_nm, spot.along_nm):
            return FootprintTooLarge(fault, f"{field} offset")
        # a little inside its corners, as it may touch a wall
        ring = spot_ring(self.shape, footprint)
        middle = [sum(axis) // 4 for axis in zip(*ring, strict=True)]
        corners = [
            [at + (center - at) // 50 for at, center in zip(corner, middle, strict=True)] for corner in ring
        ]
        if not all(is_inside((x, y), self.shape.vertices) for x, y in corners):
            return FootprintTooLarge(
                f"{name} doesn't fit there: {self._length(spot.off_nm)} off {self._wall(spot.wall)} it would"
                " stand in another wall.",
                f"{field} off_wall",
            )
        return None

    def column_faults(self) -> Iterator[PlanError]:
        for number, column in enumerate(self.plan.columns, start=1):
            if min(column.width_nm, column.depth_nm) <= 0:
                yield BadLength("A column needs a width and a depth of more than zero.", f"column {number}")
            elif not self._fits(column.width_nm, column.depth_nm):
                yield ColumnTooLarge("The column is larger than the room.", f"column {number}")

    def faults_together(self) -> Iterator[PlanError]:
        """Yield what is wrong with things together that are each right on their own."""
        floor_nm2, ceiling_nm2 = floor_and_ceiling_nm2(self.plan)
        if ceiling_nm2 <= 0:
            yield ColumnTooLarge("The columns together are larger than the room.", "columns")
        elif floor_nm2 < 0:
            yield FootprintTooLarge("What is deducted from the floor is larger than the floor.", "footprints")
        for wall, length_nm in enumerate(self.lengths_nm):
            if self._off_base_nm(wall) > length_nm:
                yield FootprintTooLarge(
                    f"Doors and footprints that base stops at are longer together than {self._wall(wall)}.",
                    "footprints",
                )

    def _misplaced(self, name: str, wall: int, length_nm: int, offset_nm: int | None) -> str:
        """Return what is wrong with the position of something along a wall; empty where it fits."""
        room_nm = self.lengths_nm[wall] - length_nm
        if room_nm < 0:
            return f"{name}, {self._length(length_nm)}, is longer than {self._wall(wall)}."
        if offset_nm is not None and not 0 <= offset_nm <= room_nm:
            return (
                f"{name} must begin between 0 and {self._length(room_nm)} from the start of"
                f" {self._wall(wall)}, to end on the wall."
            )
        return ""

    def _fits(self, length_nm: int, depth_nm: int) -> bool:
        """Return whether a box set square to the first wall fits between the outermost corners."""
        vertices = room_outline(self.plan).vertices
        xs, ys = [x for x, _ in vertices], [y for _, y in vertices]
        short, long = sorted((max(xs) - min(xs), max(ys) - min(ys)))
        return min(length_nm, depth_nm) <= short and max(length_nm, depth_nm) <= long

    def _off_base_nm(self, wall: int) -> int:
        """Return the length of a wall that has no baseboard."""
        openings = (opening for opening in self.plan.openings if opening.wall == wall)
        footprints = (footprint for footprint in self.plan.footprints if footprint.wall == wall)
        return sum(opening.width_nm for opening in openings if opening.stops_base) + sum(
            footprint.length_nm for footprint in footprints if footprint.off_base
        )

    def _wall(self, wall: int) -> str:
        return f"wall {wall_letter(wall)} ({self._length(self.lengths_nm[wall])})"

    def _length(self, length_nm: int) -> str:
        return format_length(length_nm, self.metric)


def _overlap(first: Opening, second: Opening) -> bool:
    """Return whether two openings of one wall overlap, as far as their positions were measured."""
    if first.offset_nm is None or second.offset_nm is None:
        return False
    beside = max(first.offset_nm, second.offset_nm) < min(
        first.offset_nm + first.width_nm, second.offset_nm + second.width_nm
    )
    above = max(first.sill_nm, second.sill_nm) < min(
        first.sill_nm + first.height_nm, second.sill_nm + second.height_nm
    )
    return beside and above
