"""The surfaces of a room that boards or tile go on: floor, ceiling and walls with what is cut out of them.

Floors and ceilings have the places of the plan (x east, y north from the start of wall A); a wall is seen
from inside the room, x along it from its left end and y up from the floor. What has no measured place
stands where the plan draws it, and the surface says so. Whole nanometers.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache
from itertools import accumulate, groupby, pairwise

from estimating.rooms.outline import Outline, wall_letter
from estimating.rooms.plan import Footprint, Opening, RoomPlan, outline
from estimating.sheet_layout.regions import Point, Ring
from estimating.sheet_layout.rules import CannotLay
from estimating.sheet_layout.surface import Surface, View, region_of, turned

LAID_MEASURES = frozenset({"floor", "ceiling", "wall_gross", "wall_net"})

# Drawing units of the plan: free-standing things stand in a row with 8 units between them, and the plan is
# at most 312 units wide and 300 high.
_GAP, _WIDE, _HIGH = 8, 312, 300
_AS_DRAWN = "is taken to be where the plan draws it: its place on the wall isn't measured."
_STEPS = 24  # of the grid on which the widest spot of a room is looked for


@dataclass(frozen=True)
class RoomSurface:
    """A surface of a room. `code` tells it from the others ("floor", "wall-A"); `notes` say in a sentence
    each where a place was assumed."""

    code: str
    name: str
    surface: Surface
    notes: tuple[str, ...] = ()


@lru_cache(maxsize=256)
def surfaces(
    plan: RoomPlan, covers: str, walls: frozenset[int] | None = None, cabinets_hide_walls: bool = False
) -> tuple[RoomSurface, ...]:
    """What work that scales with one of LAID_MEASURES covers, in the order of the plan.

    Openings are cut out of walls whatever rule deducts them. What has nothing left is left out. Columns
    have faces where all walls are chosen, as they count in the measures.
    """
    shape = _squared(outline(plan))
    if covers == "floor":
        found = [_floor(plan, shape)]
    elif covers == "ceiling":
        found = [_ceiling(plan, shape)]
    else:
        every = frozenset(range(len(plan.legs)))
        chosen = every if walls is None else walls & every
        found = [_wall(plan, shape, wall, cabinets_hide_walls) for wall in sorted(chosen)]
        found += _column_faces(plan) if chosen == every else []
    return tuple(each for each in found if _is_there(each.surface))


def _squared(shape: Outline) -> Outline:
    """The outline with the walls that were walked along or across wall A exactly so, each through the middle
    of its ends. Balancing turns them by a hair, and boards would then be laid as on a slanting room."""
    headings = accumulate(shape.turns[:-1], initial=Decimal(0))
    axes = [abs(heading % 180) for heading in headings]
    count, corners = len(axes), [list(corner) for corner in shape.vertices]
    begin = next((wall for wall in range(count) if axes[wall] != axes[wall - 1]), 0)
    for axis, walls in groupby(((begin + step) % count for step in range(count)), key=axes.__getitem__):
        if axis in (0, 90):
            ends = [*walls]
            ends.append((ends[-1] + 1) % count)
            side = int(axis == 0)  # a wall along x keeps its y
            middle = (shape.vertices[ends[0]][side] + shape.vertices[ends[-1]][side]) // 2
            for corner in ends:
                corners[corner][side] = middle
    return replace(shape, vertices=tuple((x, y) for x, y in corners))


def _is_there(surface: Surface) -> bool:
    if not surface.holes:
        return True
    try:
        region_of(surface, View(), 1 << 60)
    except CannotLay:
        return False
    return True


def _floor(plan: RoomPlan, shape: Outline) -> RoomSurface:
    placed = [*_along_walls(plan, shape), *_standing_free(plan, shape)]
    holes = tuple(ring for item, ring, _ in placed if item is None or item.off_floor)
    notes = [note for item, _, note in placed if note and (item is None or item.off_floor)]
    ring = tuple(_into_doorways(plan, shape, notes))
    within = () if ring == shape.vertices else shape.vertices
    return RoomSurface("floor", "Floor", Surface(ring, holes, within), tuple(notes))


def _into_doorways(plan: RoomPlan, shape: Outline, notes: list[str]) -> Iterator[Point]:
    """The corners of the floor, which runs into doorways as far as was measured; notes where a doorway's
    place isn't."""
    side = 1 if shape.signed_double_area_nm2 > 0 else -1
    last = None
    for wall, (start, end) in enumerate(shape.segments):
        points = [start]
        for opening, begin in sorted(_openings(plan, wall, shape.lengths_nm[wall]), key=lambda each: each[1]):
            if opening.recess_nm:
                into, far = side * opening.recess_nm, begin + opening.width_nm
                corners = ((begin, 0), (begin, into), (far, into), (far, 0))
                points += [_beside(start, end, along, aside) for along, aside in corners]
                notes += [f"{opening.name} {_AS_DRAWN}"] if opening.offset_nm is None else []
        for point in points:
            if point != last:
                yield point
            last = point


def _ceiling(plan: RoomPlan, shape: Outline) -> RoomSurface:
    columns = [(ring, note) for item, ring, note in _standing_free(plan, shape) if item is None]
    rings = tuple(ring for ring, _ in columns)
    return RoomSurface(
        "ceiling", "Ceiling", Surface(shape.vertices, rings), tuple(note for _, note in columns)
    )


def _wall(plan: RoomPlan, shape: Outline, wall: int, cabinets_hide_walls: bool) -> RoomSurface:
    length = shape.lengths_nm[wall]
    holes, notes = [], []
    for opening, begin in _openings(plan, wall, length):
        holes.append(_box(begin, opening.sill_nm, opening.width_nm, opening.height_nm))
        if opening.offset_nm is None:
            notes.append(f"{opening.name} {_AS_DRAWN}")
    for item, begin, note in _placed_on(plan, wall, length):
        hides = item.off_walls or (cabinets_hide_walls and item.kind == "cabinets")
        if hides and item.height_nm:
            holes.append(_box(begin, 0, item.length_nm, item.height_nm))
            notes += [note] if note else []
    if shape.signed_double_area_nm2 > 0:  # walked anticlockwise, a wall's start is at its right
        holes = [tuple((length - x, y) for x, y in ring) for ring in holes]
    letter = wall_letter(wall)
    surface = Surface(_box(0, 0, length, plan.height_nm), tuple(holes))
    return RoomSurface(f"wall-{letter}", f"Wall {letter}", surface, tuple(notes))


def _column_faces(plan: RoomPlan) -> Iterator[RoomSurface]:
    for number, column in enumerate(plan.columns, start=1):
        for face, width in enumerate((column.width_nm, column.depth_nm) * 2, start=1):
            surface = Surface(_box(0, 0, width, plan.height_nm))
            yield RoomSurface(f"column-{number}-{face}", f"Column {number}, face {face}", surface)


def _openings(plan: RoomPlan, wall: int, length: int) -> Iterator[tuple[Opening, int]]:
    """Openings of a wall and where they begin; those without a measured place spread evenly."""
    here = [opening for opening in plan.openings if opening.wall == wall]
    loose = [opening for opening in here if opening.offset_nm is None]
    free = length - sum(opening.width_nm for opening in loose)
    passed = number = 0
    for opening in here:
        if opening.offset_nm is not None:
            yield opening, opening.offset_nm
            continue
        number += 1
        yield opening, free * number // (len(loose) + 1) + passed
        passed += opening.width_nm


def _placed_on(plan: RoomPlan, wall: int, length: int) -> Iterator[tuple[Footprint, int, str]]:
    """What stands along a wall, where it begins, and a note where that isn't measured."""
    reached = 0
    for item in plan.footprints:
        if item.wall == wall:
            begin, note = item.offset_nm, ""
            if begin is None:
                begin, note = reached, f"{item.name} {_AS_DRAWN}" if item.length_nm < length else ""
            yield item, begin, note
            reached = begin + item.length_nm


def _along_walls(plan: RoomPlan, shape: Outline) -> Iterator[tuple[Footprint, Ring, str]]:
    for wall, (start, end) in enumerate(shape.segments):
        side = -1 if shape.signed_double_area_nm2 > 0 else 1
        for item, begin, note in _placed_on(plan, wall, shape.lengths_nm[wall]):
            corners = (
                (begin, 0),
                (begin + item.length_nm, 0),
                (begin + item.length_nm, item.depth_nm),
                (begin, item.depth_nm),
            )
            ring = tuple(_beside(start, end, along, side * into) for along, into in corners)
            yield item, ring, note


def _beside(start: Point, end: Point, along: int, aside: int) -> Point:
    """The point so far along a line and so far to the right of it, to the nearest nanometer."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    if dx and dy:
        east, north = turned((along, -aside), (dx, dy), back=True)
    else:
        x, y = (dx > 0) - (dx < 0), (dy > 0) - (dy < 0)
        east, north = along * x + aside * y, along * y - aside * x
    return start[0] + east, start[1] + north


def _standing_free(plan: RoomPlan, shape: Outline) -> Iterator[tuple[Footprint | None, Ring, str]]:
    """Columns (None) and what stands along no wall, in a row at the widest spot of the room, square to
    wall A: no place of theirs is measured."""
    boxes: list[tuple[Footprint | None, str, int, int]] = [
        (None, "A column", column.width_nm, column.depth_nm) for column in plan.columns
    ]
    free = [item for item in plan.footprints if item.wall is None]
    boxes += [(item, item.name, item.length_nm, item.depth_nm) for item in free]
    if not boxes:
        return
    x, y = _widest_spot(shape.vertices)
    (left, low), (right, high) = _extent(shape.vertices)
    gap = max(_GAP * (right - left) // _WIDE, _GAP * (high - low) // _HIGH)
    x -= (sum(length for *_, length, _ in boxes) + gap * (len(boxes) - 1)) // 2
    for item, name, length, depth in boxes:
        note = f"{name} is taken to stand where the plan draws it, at the room's widest spot."
        yield item, _box(x, y - depth // 2, length, depth), note
        x += length + gap


def _widest_spot(ring: Sequence[Point]) -> Point:
    """A point inside the ring that is far from its walls, on a coarse grid; of like ones the most central."""
    (left, low), (right, high) = _extent(ring)
    wide, tall = right - left, high - low
    sides = list(pairwise((*ring, ring[0])))
    spots = [
        (left + wide * column // _STEPS, high - tall * row // _STEPS)
        for row in range(1, _STEPS)
        for column in range(1, _STEPS)
    ]
    middle = left + wide // 2, low + tall // 2

    def worth(spot: Point) -> tuple[int, int]:
        clear = min(_square(spot, _nearest_on(spot, side)) for side in sides)
        return clear, -_square(spot, middle)

    return max((spot for spot in spots if _is_inside(spot, sides)), key=worth, default=middle)


def _is_inside(spot: Point, sides: Sequence[tuple[Point, Point]]) -> bool:
    x, y = spot
    crossed = (
        (ay > y) != (by > y) and ((x - ax) * (by - ay) < (bx - ax) * (y - ay)) == (by > ay)
        for (ax, ay), (bx, by) in sides
    )
    return sum(crossed) % 2 == 1


def _nearest_on(spot: Point, side: tuple[Point, Point]) -> Point:
    """The point of a line that is nearest to another."""
    (ax, ay), (bx, by) = side
    dx, dy = bx - ax, by - ay
    square = dx * dx + dy * dy
    along = min(square, max(0, (spot[0] - ax) * dx + (spot[1] - ay) * dy))
    return ax + along * dx // square, ay + along * dy // square


def _square(one: Point, other: Point) -> int:
    return (one[0] - other[0]) ** 2 + (one[1] - other[1]) ** 2


def _extent(ring: Sequence[Point]) -> tuple[Point, Point]:
    xs, ys = zip(*ring, strict=True)
    return (min(xs), min(ys)), (max(xs), max(ys))


def _box(x: int, y: int, width: int, height: int) -> Ring:
    return (x, y), (x + width, y), (x + width, y + height), (x, y + height)
