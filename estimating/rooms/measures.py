"""The measures that a measured room gives, exactly, for all of its walls or some.

Plans are in whole nanometers; measures come out in square feet and feet as fractions. Nothing is rounded but
the corners of oblique or balanced walls (see `estimating.rooms.outline`).
"""

from dataclasses import dataclass
from fractions import Fraction

from catalog.measures.lengths import NM_PER_INCH, feet_from_nm, sqft_from_nm2
from catalog.measures.room_measures import MeasureSet
from estimating.rooms.faults import check_plan
from estimating.rooms.outline import Outline
from estimating.rooms.plan import Column, Footprint, Opening, RoomPlan, floor_and_ceiling_nm2, room_outline

# Cover plate of one switch or outlet, cut in all round: 2-3/4 x 4-1/2 in (common practice).
DEVICE_BOX_EDGE_NM = 2 * (NM_PER_INCH * 11 // 4 + NM_PER_INCH * 9 // 2)


def measure(
    plan: RoomPlan, walls: frozenset[int] | None = None, cabinets_hide_walls: bool = False
) -> MeasureSet:
    """Return every measure that the plan gives, exactly. Raises PlanError.

    `walls` limits the work to some walls: lines, openings and footprints are then those of these walls, a
    corner counts where both its walls are chosen, and cut-in takes the chosen side of a corner. Floor and
    ceiling stay whole; columns, device boxes and lights count only with all walls.

    `cabinets_hide_walls` deducts the wall behind all fixed cabinets, as `off_walls` does for one footprint;
    neither deducts more wall than the openings leave.
    """
    check_plan(plan)
    part = _chosen_part(plan, walls)
    amounts = {
        **{code: sqft_from_nm2(area) for code, area in _areas_nm2(part, cabinets_hide_walls).items()},
        **{code: feet_from_nm(length) for code, length in _lengths_nm(part).items()},
        **{code: Fraction(count) for code, count in _counts(part).items()},
    }
    return MeasureSet(amounts, tuple(sqft_from_nm2(opening.area_nm2) for opening in part.openings))


@dataclass(frozen=True)
class _Corners:
    """Corners of the chosen walls: inside and outside ones between two of them, and their single sides."""

    inside: int
    outside: int
    sides: int


@dataclass(frozen=True)
class _Part:
    """The part of a room that work is on: the chosen walls and what belongs to them.

    `columns`, `device_boxes` and `ceiling_lights` are the room's where all walls are chosen, else none.
    """

    plan: RoomPlan
    walls: dict[int, int]  # length in nanometers by index
    corners: _Corners
    openings: tuple[Opening, ...]
    footprints: tuple[Footprint, ...]
    columns: tuple[Column, ...]
    device_boxes: int
    ceiling_lights: int

    @property
    def line_nm(self) -> int:
        """Length along the chosen walls and round the columns."""
        return sum(self.walls.values()) + sum(column.around_nm for column in self.columns)


def _chosen_part(plan: RoomPlan, walls: frozenset[int] | None) -> _Part:
    shape = room_outline(plan)
    all_walls = frozenset(range(len(plan.legs)))
    chosen = all_walls if walls is None else walls & all_walls
    whole = chosen == all_walls
    columns = plan.columns if whole else ()
    return _Part(
        plan=plan,
        walls={wall: shape.lengths_nm[wall] for wall in chosen},
        corners=_corners(shape, chosen, len(columns)),
        openings=tuple(opening for opening in plan.openings if opening.wall in chosen),
        footprints=tuple(footprint for footprint in plan.footprints if footprint.wall in chosen),
        columns=columns,
        device_boxes=plan.device_boxes if whole else 0,
        ceiling_lights=plan.ceiling_lights if whole else 0,
    )


def _corners(shape: Outline, chosen: frozenset[int], columns: int) -> _Corners:
    """Count the corners of the chosen walls; a column adds four outside corners with two sides each."""
    inside, outside, sides = 0, 4 * columns, 8 * columns
    count = len(shape.turns)
    for wall in range(count):
        corner = shape.corner(wall)
        chosen_sides = (wall in chosen) + ((wall + 1) % count in chosen)
        if corner:
            sides += chosen_sides
        if chosen_sides == 2:
            inside += corner > 0
            outside += corner < 0
    return _Corners(inside, outside, sides)


def _areas_nm2(part: _Part, cabinets_hide_walls: bool) -> dict[str, Fraction]:
    floor, ceiling = floor_and_ceiling_nm2(part.plan)
    hidden = sum(
        _hidden_nm2(part.plan, wall, length, cabinets_hide_walls) for wall, length in part.walls.items()
    )
    return {
        "floor": floor,
        "ceiling": ceiling,
        "wall_gross": Fraction(part.line_nm * part.plan.height_nm - hidden),
    }


def _hidden_nm2(plan: RoomPlan, wall: int, length_nm: int, cabinets_hide_walls: bool) -> int:
    """Return the area of a wall that footprints hide: never more than its openings leave."""
    hidden = sum(
        footprint.length_nm * (footprint.height_nm or 0)
        for footprint in plan.footprints
        if footprint.wall == wall
        and (footprint.off_walls or (cabinets_hide_walls and footprint.kind == "cabinets"))
    )
    openings = sum(opening.area_nm2 for opening in plan.openings if opening.wall == wall)
    return min(hidden, length_nm * plan.height_nm - openings)


def _lengths_nm(part: _Part) -> dict[str, int]:
    height_nm = part.plan.height_nm
    return {
        "floor_perimeter": part.line_nm,
        "ceiling_line": part.line_nm,
        "base": _base_nm(part),
        "inside_corner": part.corners.inside * height_nm,
        "outside_corner": part.corners.outside * height_nm,
        "opening_trim": sum(opening.trim_nm for opening in part.openings),
        "cut_in": _cut_in_nm(part),
    }


def _base_nm(part: _Part) -> int:
    """Return the length of baseboard: the line without doors and without footprints that it stops at."""
    doors = sum(opening.width_nm for opening in part.openings if opening.stops_base)
    return part.line_nm - doors - sum(item.length_nm for item in part.footprints if item.off_base)


def _cut_in_nm(part: _Part) -> int:
    """Return the length of edge to cut in with paint.

    It runs along the ceiling, along the floor except where openings reach it, along the sides of corners,
    round the openings, and round the cover plates of device boxes.
    """
    to_floor = sum(opening.width_nm for opening in part.openings if opening.sill_nm == 0)
    return (
        part.line_nm
        + (part.line_nm - to_floor)
        + part.corners.sides * part.plan.height_nm
        + sum(opening.cut_in_nm for opening in part.openings)
        + part.device_boxes * DEVICE_BOX_EDGE_NM
    )


def _counts(part: _Part) -> dict[str, int]:
    return {
        "inside_corners": part.corners.inside,
        "outside_corners": part.corners.outside,
        "doors": sum(opening.kind == "door" for opening in part.openings),
        "windows": sum(opening.kind == "window" for opening in part.openings),
        "device_boxes": part.device_boxes,
        "ceiling_lights": part.ceiling_lights,
        "rooms": 1,
    }
