"""The measures that a measured room gives, exactly, for all of its walls or some.

Plans are in whole nanometers; measures come out in square feet and feet as fractions. Nothing is rounded but
the corners of oblique or balanced walls (see `estimating.rooms.outline`).
"""

from dataclasses import dataclass, replace
from fractions import Fraction

from catalog.measures.lengths import NM_PER_INCH, feet_from_nm, sqft_from_nm2
from catalog.measures.room_measures import MeasureSet
from estimating.rooms.cabinet_runs import cabinets_of
from estimating.rooms.ceiling import Ceiling, Face, ceiling_over, is_level
from estimating.rooms.faults import check_plan
from estimating.rooms.outline import Outline
from estimating.rooms.plan import Column, Footprint, Opening, RoomPlan, floor_and_ceiling_nm2, room_outline
from estimating.rooms.tile_fields import tile_amounts

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
        **cabinets_of(plan, walls).amounts(),
        **tile_amounts(plan, walls),
    }
    through = (opening for opening in part.openings if not opening.is_niche)
    return MeasureSet(amounts, tuple(sqft_from_nm2(opening.area_nm2) for opening in through))


@dataclass(frozen=True)
class _Corners:
    """Upright corners of the chosen walls: how many there are between two of them, and how long.

    `sides_nm` is the length of the single sides of inside corners, those to a wall that isn't chosen too:
    they are cut in by brush, while the roller goes round an outside corner (common practice).
    """

    inside: int
    outside: int
    inside_nm: Fraction
    outside_nm: Fraction
    sides_nm: Fraction


@dataclass(frozen=True)
class _Part:
    """The part of a room that work is on: the chosen walls and what belongs to them.

    `columns`, `device_boxes` and `ceiling_lights` are the room's where all walls are chosen, else none.
    `ceiling` is None where it is one level plane.
    """

    plan: RoomPlan
    ceiling: Ceiling | None
    walls: dict[int, int]  # length in nanometers by index
    corners: _Corners
    openings: tuple[Opening, ...]
    footprints: tuple[Footprint, ...]
    columns: tuple[Column, ...]
    device_boxes: int
    ceiling_lights: int

    @property
    def line_nm(self) -> int:
        """Length along the chosen walls at the floor, round the columns and into niches."""
        niches = sum(2 * opening.runs_in_nm for opening in self.openings if opening.is_niche)
        return sum(self.walls.values()) + self.around_columns_nm + niches

    @property
    def around_columns_nm(self) -> int:
        return sum(column.around_nm for column in self.columns)

    @property
    def faces(self) -> list[Face]:
        """The faces of soffits along the chosen walls; those of steps with all walls."""
        if self.ceiling is None:
            return []
        chosen: set[int | None] = {*self.walls}
        if len(self.walls) == len(self.plan.legs):
            chosen.add(None)
        return [face for face in self.ceiling.faces if self.ceiling.owner_of(face) in chosen]

    def wall_nm2(self, wall: int) -> Fraction:
        """Return the area of a wall from the floor to the ceiling or soffit."""
        if self.ceiling is None:
            return Fraction(self.walls[wall] * self.plan.height_nm)
        return sum((run.area_nm2 for run in self.ceiling.tops[wall]), Fraction(0))


def _chosen_part(plan: RoomPlan, walls: frozenset[int] | None) -> _Part:
    shape = room_outline(plan)
    all_walls = frozenset(range(len(plan.legs)))
    chosen = all_walls if walls is None else walls & all_walls
    whole = chosen == all_walls
    columns = plan.columns if whole else ()
    ceiling = None if is_level(plan) else ceiling_over(plan)
    return _Part(
        plan=plan,
        ceiling=ceiling,
        walls={wall: shape.lengths_nm[wall] for wall in chosen},
        corners=_with_columns(
            _corners(plan, shape, chosen) if ceiling is None else _corner_runs(ceiling, chosen, whole),
            plan.height_nm,
            len(columns),
        ),
        openings=tuple(opening for opening in plan.openings if opening.wall in chosen),
        footprints=tuple(footprint for footprint in plan.footprints if footprint.wall in chosen),
        columns=columns,
        device_boxes=plan.device_boxes if whole else 0,
        ceiling_lights=plan.ceiling_lights if whole else 0,
    )


def _corners(plan: RoomPlan, shape: Outline, chosen: frozenset[int]) -> _Corners:
    """Return the corners of the chosen walls under a level ceiling."""
    inside = outside = sides = 0
    count = len(shape.turns)
    for wall in range(count):
        corner = shape.corner(wall)
        chosen_sides = (wall in chosen) + ((wall + 1) % count in chosen)
        if corner > 0:
            sides += chosen_sides
        if chosen_sides == 2:
            inside += corner > 0
            outside += corner < 0
    height = Fraction(plan.height_nm)
    return _Corners(inside, outside, inside * height, outside * height, sides * height)


def _corner_runs(ceiling: Ceiling, chosen: frozenset[int], whole: bool) -> _Corners:
    """Return the corners of the chosen walls, and of what is above them, under any ceiling."""
    counts, lengths, sides = [0, 0], [Fraction(0), Fraction(0)], Fraction(0)
    for run in ceiling.corners:
        chosen_sides = sum(whole if owner is None else owner in chosen for owner in run.owners)
        if not run.outside:
            sides += chosen_sides * run.length_nm
        if chosen_sides == 2:
            counts[run.outside] += 1
            lengths[run.outside] += run.length_nm
    return _Corners(counts[False], counts[True], lengths[False], lengths[True], sides)


def _with_columns(corners: _Corners, height_nm: int, columns: int) -> _Corners:
    """Add four outside corners for every column."""
    return replace(
        corners,
        outside=corners.outside + 4 * columns,
        outside_nm=corners.outside_nm + 4 * columns * height_nm,
    )


def _areas_nm2(part: _Part, cabinets_hide_walls: bool) -> dict[str, Fraction]:
    floor, ceiling = floor_and_ceiling_nm2(part.plan)
    if part.ceiling is not None:
        ceiling += part.ceiling.area_nm2 - sum(part.ceiling.plan_areas_nm2.values())
    walls = sum(
        (part.wall_nm2(wall) - _hidden_nm2(part, wall, cabinets_hide_walls) for wall in part.walls),
        Fraction(part.around_columns_nm * part.plan.height_nm),
    )
    walls += sum(opening.inner_nm2 for opening in part.openings)
    walls += sum(face.area_nm2 for face in part.faces)
    return {"floor": floor, "ceiling": ceiling, "wall_gross": walls}


def _hidden_nm2(part: _Part, wall: int, cabinets_hide_walls: bool) -> Fraction:
    """Return the area of a wall that footprints hide: never more than its openings leave."""
    hidden = sum(
        footprint.length_nm * (footprint.height_nm or 0)
        for footprint in part.footprints
        if footprint.wall == wall
        and (footprint.off_walls or (cabinets_hide_walls and footprint.kind in ("cabinets", "hung", "tall")))
    )
    openings = sum(opening.area_nm2 for opening in part.openings if opening.wall == wall)
    return min(Fraction(hidden), part.wall_nm2(wall) - openings)


def _lengths_nm(part: _Part) -> dict[str, Fraction]:
    niches = [opening for opening in part.openings if opening.is_niche]
    inside = part.corners.inside_nm + sum(niche.inner_corner_nm for niche in niches)
    outside = part.corners.outside_nm + sum(niche.edge_nm for niche in niches)
    outside += sum(face.lower_edge_nm for face in part.faces)
    if part.ceiling is not None and len(part.walls) == len(part.plan.legs):
        inside += sum(length for stands_out, length in part.ceiling.bends if not stands_out)
        outside += sum(length for stands_out, length in part.ceiling.bends if stands_out)
    return {
        "floor_perimeter": Fraction(part.line_nm),
        "ceiling_line": _ceiling_line_nm(part),
        "base": Fraction(_base_nm(part)),
        "inside_corner": inside,
        "outside_corner": outside,
        "opening_trim": Fraction(sum(opening.trim_nm for opening in part.openings)),
        "cut_in": _cut_in_nm(part),
    }


def _ceiling_line_nm(part: _Part) -> Fraction:
    """Return the length along which walls and the faces of soffits and steps meet the ceiling."""
    if part.ceiling is None:
        return Fraction(sum(part.walls.values()) + part.around_columns_nm)
    tops = (run.length_nm for wall in part.walls for run in part.ceiling.tops[wall])
    return sum(tops, Fraction(part.around_columns_nm)) + sum(face.upper_edge_nm for face in part.faces)


def _base_nm(part: _Part) -> int:
    """Return the length of baseboard: the line without doors and without footprints that it stops at."""
    doors = sum(opening.width_nm for opening in part.openings if opening.stops_base)
    return part.line_nm - doors - sum(item.length_nm for item in part.footprints if item.off_base)


def _cut_in_nm(part: _Part) -> Fraction:
    """Return the length of edge to cut in with paint.

    It runs along the ceiling, along the floor except where openings reach it, along both sides of inside
    corners and of the lower edges of soffits and steps, round the openings, and round the cover plates of
    device boxes.
    """
    to_floor = sum(
        opening.width_nm for opening in part.openings if opening.sill_nm == 0 and not opening.is_niche
    )
    return (
        _ceiling_line_nm(part)
        + (part.line_nm - to_floor)
        + part.corners.sides_nm
        + 2 * sum(face.lower_edge_nm for face in part.faces)
        + sum(opening.cut_in_nm for opening in part.openings)
        + part.device_boxes * DEVICE_BOX_EDGE_NM
    )


def _counts(part: _Part) -> dict[str, int]:
    niches = sum(opening.is_niche for opening in part.openings)
    return {
        "inside_corners": part.corners.inside + 2 * niches,
        "outside_corners": part.corners.outside + 2 * niches,
        "doors": sum(opening.kind == "door" for opening in part.openings),
        "windows": sum(opening.kind == "window" for opening in part.openings),
        "device_boxes": part.device_boxes,
        "ceiling_lights": part.ceiling_lights,
        "rooms": 1,
    }
