"""The measures that a measured room gives, exactly, for all of its walls or some; and the names it takes.

Lengths are whole nanometers, areas square feet and lengths of work feet as fractions; nothing is rounded
but the corners of oblique or balanced walls (see `estimating.rooms.outline`).
"""

from fractions import Fraction

from catalog.measures.room_measures import MeasureSet
from catalog.measures.units import NM_PER_INCH, feet_from_nm, sqft_from_nm2
from estimating.rooms.faults import (
    BadCount,
    ColumnTooLarge,
    FootprintTooLarge,
    NoSuchWall,
    OpeningTooLarge,
    UnknownKind,
    check,
    faults,
)
from estimating.rooms.outline import (
    BadLength,
    BadTurn,
    Closing,
    CrossingWalls,
    DoesNotClose,
    Leg,
    Outline,
    PlanError,
    TooFewWalls,
    wall_letter,
)
from estimating.rooms.plan import (
    Column,
    Footprint,
    FootprintKind,
    Opening,
    OpeningKind,
    RoomPlan,
    floor_and_ceiling_nm2,
    l_shape,
    outline,
    rectangle,
)

__all__ = [
    "BadCount",
    "BadLength",
    "BadTurn",
    "Closing",
    "Column",
    "ColumnTooLarge",
    "CrossingWalls",
    "DoesNotClose",
    "Footprint",
    "FootprintKind",
    "FootprintTooLarge",
    "Leg",
    "NoSuchWall",
    "Opening",
    "OpeningKind",
    "OpeningTooLarge",
    "Outline",
    "PlanError",
    "RoomPlan",
    "TooFewWalls",
    "UnknownKind",
    "check",
    "faults",
    "l_shape",
    "measure",
    "outline",
    "rectangle",
    "wall_letter",
]

# Cover plate of one switch or outlet, cut in all round: 2-3/4 x 4-1/2 in (common practice).
DEVICE_BOX_EDGE_NM = 2 * (NM_PER_INCH * 11 // 4 + NM_PER_INCH * 9 // 2)


def measure(
    plan: RoomPlan, walls: frozenset[int] | None = None, cabinets_hide_walls: bool = False
) -> MeasureSet:
    """Every measure that the plan gives, exactly.

    `walls` limits the work to some walls: lines, openings and footprints are then those of these walls,
    a corner counts where both its walls are chosen, and cut-in takes the chosen side of a corner. Floor
    and ceiling stay whole; columns, device boxes and lights count only with all walls.

    `cabinets_hide_walls` takes the wall behind all fixed cabinets off, as `off_walls` does for one
    footprint; neither takes off more wall than the openings leave. Raises PlanError.
    """
    check(plan)
    shape = outline(plan)
    every = frozenset(range(len(plan.legs)))
    chosen = every if walls is None else walls & every
    whole = chosen == every
    columns = plan.columns if whole else ()
    openings = tuple(opening for opening in plan.openings if opening.wall in chosen)
    footprints = tuple(item for item in plan.footprints if item.wall in chosen)

    around_columns = sum(column.around_nm for column in columns)
    line = sum(shape.lengths_nm[wall] for wall in chosen) + around_columns
    inside, outside, sides = _corners(shape, chosen)
    outside += 4 * len(columns)
    sides += 8 * len(columns)
    gross = line * plan.height_nm - sum(
        _hidden_nm2(plan, shape.lengths_nm[wall], wall, cabinets_hide_walls) for wall in chosen
    )
    base = (
        line
        - sum(opening.width_nm for opening in openings if opening.stops_base)
        - sum(item.length_nm for item in footprints if item.off_base)
    )
    base_line = line - sum(opening.width_nm for opening in openings if opening.sill_nm == 0)
    boxes = plan.device_boxes if whole else 0
    cut_in = (
        line
        + base_line
        + sides * plan.height_nm
        + sum(opening.cut_in_nm for opening in openings)
        + boxes * DEVICE_BOX_EDGE_NM
    )
    floor_nm2, ceiling_nm2 = floor_and_ceiling_nm2(plan)
    areas = {"floor": floor_nm2, "ceiling": ceiling_nm2, "wall_gross": Fraction(gross)}
    lengths = {
        "floor_perimeter": line,
        "ceiling_line": line,
        "base": base,
        "inside_corner": inside * plan.height_nm,
        "outside_corner": outside * plan.height_nm,
        "opening_trim": sum(opening.trim_nm for opening in openings),
        "cut_in": cut_in,
    }
    counts = {
        "inside_corners": inside,
        "outside_corners": outside,
        "doors": sum(opening.kind == "door" for opening in openings),
        "windows": sum(opening.kind == "window" for opening in openings),
        "device_boxes": boxes,
        "ceiling_lights": plan.ceiling_lights if whole else 0,
        "rooms": 1,
    }
    return MeasureSet(
        {
            **{code: sqft_from_nm2(area) for code, area in areas.items()},
            **{code: feet_from_nm(length) for code, length in lengths.items()},
            **{code: Fraction(count) for code, count in counts.items()},
        },
        tuple(sqft_from_nm2(opening.area_nm2) for opening in openings),
    )


def _corners(shape: Outline, chosen: frozenset[int]) -> tuple[int, int, int]:
    """Inside corners and outside corners between chosen walls, and the chosen sides of all corners."""
    inside = outside = sides = 0
    count = len(shape.turns)
    for wall in range(count):
        corner = shape.corner(wall)
        of_both = (wall in chosen) + ((wall + 1) % count in chosen)
        if corner:
            sides += of_both
        if of_both == 2:
            inside += corner > 0
            outside += corner < 0
    return inside, outside, sides


def _hidden_nm2(plan: RoomPlan, length_nm: int, wall: int, cabinets_hide_walls: bool) -> int:
    """Wall area that footprints along a wall hide: never more than its openings leave."""
    hidden = sum(
        item.length_nm * (item.height_nm or 0)
        for item in plan.footprints
        if item.wall == wall and (item.off_walls or (cabinets_hide_walls and item.kind == "cabinets"))
    )
    openings = sum(opening.area_nm2 for opening in plan.openings if opening.wall == wall)
    return min(hidden, length_nm * plan.height_nm - openings)
