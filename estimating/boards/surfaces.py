"""The surfaces of a room that boards or tile go on: floor, ceiling and walls with what is cut out of them.

Floors and ceilings use the coordinates of the plan: x east, y north from the start of wall A. A wall is seen
from inside the room: x runs along it from its left end, y up from the floor. All are whole nanometers.
Where the ceiling isn't level, and in niches, `under_ceiling` gives the shapes.
Something whose position wasn't measured is taken to be where the plan draws it, and a note says so.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from estimating.boards.under_ceiling import (
    ceiling_parts,
    face_strips,
    mirrored,
    unfolded_niche,
    wall_ring,
)
from estimating.rooms.ceiling import Ceiling, ceiling_over, is_level
from estimating.rooms.outline import Outline, squared, wall_letter
from estimating.rooms.plan import Footprint, Framing, Opening, RoomPlan, room_outline, spot_ring
from estimating.rooms.tile_fields import AS_DRAWN, TileKind, tile_fields
from estimating.sheet_layout.regions import Point, Ring
from estimating.sheet_layout.rules import CannotLay
from estimating.sheet_layout.surface import Lines, Surface, View, region_of, turned

SURFACE_MEASURES = frozenset({"floor", "ceiling", "wall_gross", "wall_net", "surround", "backsplash"})

# Drawing units of the plan, which is at most 312 units wide and 300 high: it draws free-standing things in a
# row with 8 units between them.
_GAP, _WIDE, _HIGH = 8, 312, 300
# The edge of the tile at which a window begins, and the side of the window's return there.
_RETURNS = {"right": "left side", "left": "right side", "high": "sill", "low": "head"}
_STEPS = 24  # steps of the grid on which the widest spot of a room is searched for


@dataclass(frozen=True)
class RoomSurface:
    """A surface of a room.

    `code` tells it from the room's other surfaces ("floor", "wall-A"). `notes` are sentences, one for each
    position that was assumed.
    """

    code: str
    name: str
    surface: Surface
    notes: tuple[str, ...] = ()

    @property
    def is_wall(self) -> bool:
        """Whether it stands upright: anything but the floor and parts of the ceiling."""
        return not self.code.startswith(("floor", "ceiling"))


@lru_cache(maxsize=256)
def surfaces(
    plan: RoomPlan, covers: str, walls: frozenset[int] | None = None, cabinets_hide_walls: bool = False
) -> tuple[RoomSurface, ...]:
    """Return the surfaces that work covers when it scales with `covers`, one of SURFACE_MEASURES.

    They come in the order of the plan. Openings are cut out of walls whatever the rule that deducts them.
    A surface of which nothing is left is left out. Columns have faces only where all walls are chosen, as
    they count in the measures.
    """
    shape = squared(room_outline(plan))
    ceiling = None if is_level(plan) else ceiling_over(plan)
    if covers == "floor":
        covered = [_floor(plan, shape)]
    elif covers == "ceiling":
        covered = [*_ceiling(plan, shape, ceiling)]
    elif covers == "surround":
        covered = [*_tile_fields(plan, shape, "surround", walls)]
    elif covers == "backsplash":
        covered = [*_tile_fields(plan, shape, "backsplash", walls)]
    else:
        all_walls = frozenset(range(len(plan.legs)))
        chosen = all_walls if walls is None else walls & all_walls
        whole = chosen == all_walls
        covered = [_wall(plan, shape, ceiling, wall, cabinets_hide_walls) for wall in sorted(chosen)]
        covered += _niches(plan, chosen)
        if ceiling is not None:
            covered += [RoomSurface(*part) for part in face_strips(ceiling, chosen, whole)]
        covered += _column_faces(plan) if whole else []
    return tuple(room_surface for room_surface in covered if _has_area(room_surface.surface))


def _has_area(surface: Surface) -> bool:
    """Return whether the holes leave anything of a surface."""
    if not surface.holes:
        return True
    try:
        region_of(surface, View(), 1 << 60)
    except CannotLay:
        return False
    return True


def _floor(plan: RoomPlan, shape: Outline) -> RoomSurface:
    placed = [*_along_walls(plan, shape), *_standing_free(plan, shape)]
    left_out = [(ring, note) for item, ring, note in placed if item is None or item.off_floor]
    holes = tuple(ring for ring, _ in left_out)
    notes = [note for _, note in left_out if note]
    ring = tuple(_into_doorways(plan, shape, notes))
    within = () if ring == shape.vertices else shape.vertices
    surface = Surface(ring, holes, within, clear_of=_joists(plan.floor_joists, shape))
    return RoomSurface("floor", "Floor", surface, tuple(notes))


def _into_doorways(plan: RoomPlan, shape: Outline, notes: list[str]) -> Iterator[Point]:
    """Yield the corners of the floor, which runs into doorways as far as was measured.

    Adds a note to `notes` for each doorway whose position wasn't measured.
    """
    side = 1 if shape.signed_double_area_nm2 > 0 else -1
    last = None
    for wall, (start, end) in enumerate(shape.segments):
        points = [start]
        openings = sorted(_openings(plan, wall, shape.lengths_nm[wall]), key=lambda placed: placed[1])
        for opening, begin in openings:
            if opening.runs_in_nm:
                into, far = side * opening.runs_in_nm, begin + opening.width_nm
                corners = ((begin, 0), (begin, into), (far, into), (far, 0))
                points += [_beside(start, end, along, aside) for along, aside in corners]
                notes += [f"{opening.name} {AS_DRAWN}"] if opening.offset_nm is None else []
        for point in points:
            if point != last:
                yield point
            last = point


def _ceiling(plan: RoomPlan, shape: Outline, ceiling: Ceiling | None) -> Iterator[RoomSurface]:
    columns = [(ring, note) for item, ring, note in _standing_free(plan, shape) if item is None]
    rings, notes = tuple(ring for ring, _ in columns), tuple(note for _, note in columns)
    joists = _joists(plan.ceiling_joists, shape)
    if ceiling is None:
        yield RoomSurface("ceiling", "Ceiling", Surface(shape.vertices, rings, framing=joists), notes)
        return
    for part in ceiling_parts(ceiling, rings, joists):
        yield RoomSurface(*part, notes)


def _niches(plan: RoomPlan, chosen: frozenset[int]) -> Iterator[RoomSurface]:
    for number, opening in enumerate(plan.openings, start=1):
        if opening.is_niche and opening.wall in chosen:
            name = f"{opening.name} in wall {wall_letter(opening.wall)}, folded open"
            yield RoomSurface(f"niche-{number}", name, unfolded_niche(opening))


def _wall(
    plan: RoomPlan, shape: Outline, ceiling: Ceiling | None, wall: int, cabinets_hide_walls: bool
) -> RoomSurface:
    length = shape.lengths_nm[wall]
    holes, notes = [], []
    for opening, begin in _openings(plan, wall, length):
        holes.append(box(begin, opening.sill_nm, opening.width_nm, opening.height_nm))
        if opening.offset_nm is None:
            notes.append(f"{opening.name} {AS_DRAWN}")
    for item, begin, note in _placed_on(plan, wall, length):
        hides = item.off_walls or (cabinets_hide_walls and item.kind == "cabinets")
        if hides and item.height_nm:
            holes.append(box(begin, 0, item.length_nm, item.height_nm))
            notes += [note] if note else []
    ring = box(0, 0, length, plan.height_nm) if ceiling is None else wall_ring(ceiling, wall)
    if shape.signed_double_area_nm2 > 0:  # walked anticlockwise, a wall's start is at its right
        holes = [mirrored(hole, length) for hole in holes]
        ring = ring if ceiling is None else mirrored(ring, length)
    letter = wall_letter(wall)
    surface = Surface(ring, tuple(holes), level=True, framing=_studs(plan.studs))
    return RoomSurface(f"wall-{letter}", f"Wall {letter}", surface, tuple(notes))


def _tile_fields(
    plan: RoomPlan, shape: Outline, kind: TileKind, walls: frozenset[int] | None
) -> Iterator[RoomSurface]:
    """Yield what wall tile of a kind covers: the walls, then niches folded open, then returns of windows."""
    fields = [field for field in tile_fields(plan, kind) if walls is None or field.wall in walls]
    code, what = ("tub", "at the tub or shower") if kind == "surround" else ("splash", "over the counter")
    for number, field in enumerate(fields, start=1):
        letter, length = wall_letter(field.wall), shape.lengths_nm[field.wall]
        ring = field.outline
        holes = [
            _within(ring, box(begin, opening.sill_nm, opening.width_nm, opening.height_nm))
            for opening, begin in field.openings
        ]
        if shape.signed_double_area_nm2 > 0:  # walked anticlockwise, a wall's start is at its right
            ring, holes = mirrored(ring, length), [mirrored(hole, length) for hole in holes]
        surface = Surface(ring, tuple(holes), level=True)
        yield RoomSurface(f"{code}-{number}", f"Wall {letter} {what}", surface, field.notes)
    for number, field in enumerate(fields, start=1):
        letter = wall_letter(field.wall)
        for at, niche in enumerate(field.niches, start=1):
            name = f"{niche.name} in wall {letter}, folded open"
            yield RoomSurface(f"{code}-{number}-niche-{at}", name, unfolded_niche(niche))
        for window, face in field.returns:
            name = f"{window.name} in wall {letter}, {_RETURNS[face.side]} of its return"
            surface = Surface(box(0, 0, face.length_nm, face.depth_nm))
            yield RoomSurface(f"{code}-{number}-{face.side}", name, surface)


def _within(ring: Ring, hole: Ring) -> Ring:
    """Return a rectangle no further than a ring reaches."""
    (left, low), (right, high) = _extent(ring)
    return tuple((min(max(x, left), right), min(max(y, low), high)) for x, y in hole)


def _studs(framing: Framing | None) -> Lines | None:
    return Lines(framing.at_nm, framing.spacing_nm) if framing else None


def _joists(framing: Framing | None, shape: Outline) -> Lines | None:
    """Return joists as they lie on the plan; those along wall A are counted from it into the room."""
    if framing is None or not framing.along_a:
        return _studs(framing)
    side = 1 if shape.signed_double_area_nm2 > 0 else -1
    return Lines(shape.vertices[0][1] + side * framing.at_nm, framing.spacing_nm, "x")


def _column_faces(plan: RoomPlan) -> Iterator[RoomSurface]:
    for number, column in enumerate(plan.columns, start=1):
        for face, width in enumerate((column.width_nm, column.depth_nm) * 2, start=1):
            surface = Surface(box(0, 0, width, plan.height_nm))
            yield RoomSurface(f"column-{number}-{face}", f"Column {number}, face {face}", surface)


def _openings(plan: RoomPlan, wall: int, length: int) -> Iterator[tuple[Opening, int]]:
    """Yield the openings of a wall and where they begin; those without a measured position spread evenly."""
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
    """Yield what stands along a wall, where it begins, and a note where that wasn't measured."""
    reached = 0
    for item in plan.footprints:
        if item.wall == wall:
            begin, note = item.offset_nm, ""
            if begin is None:
                begin, note = reached, f"{item.name} {AS_DRAWN}" if item.length_nm < length else ""
            yield item, begin, note
            reached = begin + item.length_nm


def _along_walls(plan: RoomPlan, shape: Outline) -> Iterator[tuple[Footprint, Ring, str]]:
    """Yield what stands along the walls, its ring on the floor, and a note where it wasn't measured."""
    side = -1 if shape.signed_double_area_nm2 > 0 else 1
    for wall, (start, end) in enumerate(shape.segments):
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
    """Return the point at these distances along a line and to the right of it, to the nearest nanometer."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    if dx and dy:
        east, north = turned((along, -aside), (dx, dy), back=True)
    else:
        x, y = (dx > 0) - (dx < 0), (dy > 0) - (dy < 0)
        east, north = along * x + aside * y, along * y - aside * x
    return start[0] + east, start[1] + north


def _standing_free(plan: RoomPlan, shape: Outline) -> Iterator[tuple[Footprint | None, Ring, str]]:
    """Yield columns (as None) and what stands along no wall, with its ring and a note.

    Where their places aren't measured they stand in a row at the room's widest spot, square to wall A.
    """
    placed = (item for item in plan.footprints if item.spot is not None)
    yield from ((item, spot_ring(shape, item), "") for item in placed)
    boxes: list[tuple[Footprint | None, str, int, int]] = [
        (None, "A column", column.width_nm, column.depth_nm) for column in plan.columns
    ]
    free = [item for item in plan.footprints if item.wall is None and item.spot is None]
    boxes += [(item, item.name, item.length_nm, item.depth_nm) for item in free]
    if not boxes:
        return
    x, y = _widest_spot(shape.vertices)
    (left, low), (right, high) = _extent(shape.vertices)
    gap = max(_GAP * (right - left) // _WIDE, _GAP * (high - low) // _HIGH)
    x -= (sum(length for *_, length, _ in boxes) + gap * (len(boxes) - 1)) // 2
    for item, name, length, depth in boxes:
        note = f"{name} is taken to stand where the plan draws it, at the room's widest spot."
        yield item, box(x, y - depth // 2, length, depth), note
        x += length + gap


def _widest_spot(ring: Sequence[Point]) -> Point:
    """Return the point of a coarse grid that is farthest inside the ring; of equals the most central.

    The middle of the ring stands in where no point of the grid is inside.
    """
    (left, low), (right, high) = _extent(ring)
    wide, tall = right - left, high - low
    sides = list(pairwise((*ring, ring[0])))
    spots = [
        (left + wide * column // _STEPS, high - tall * row // _STEPS)
        for row in range(1, _STEPS)
        for column in range(1, _STEPS)
    ]
    middle = left + wide // 2, low + tall // 2

    def clearance(spot: Point) -> tuple[int, int]:
        to_walls = min(_squared_distance(spot, _nearest_on(spot, side)) for side in sides)
        return to_walls, -_squared_distance(spot, middle)

    return max((spot for spot in spots if _is_inside(spot, sides)), key=clearance, default=middle)


def _is_inside(spot: Point, sides: Sequence[tuple[Point, Point]]) -> bool:
    x, y = spot
    crossed = (
        (ay > y) != (by > y) and ((x - ax) * (by - ay) < (bx - ax) * (y - ay)) == (by > ay)
        for (ax, ay), (bx, by) in sides
    )
    return sum(crossed) % 2 == 1


def _nearest_on(spot: Point, side: tuple[Point, Point]) -> Point:
    """Return the point of a line that is nearest to a spot."""
    (ax, ay), (bx, by) = side
    dx, dy = bx - ax, by - ay
    square = dx * dx + dy * dy
    along = min(square, max(0, (spot[0] - ax) * dx + (spot[1] - ay) * dy))
    return ax + along * dx // square, ay + along * dy // square


def _squared_distance(start: Point, end: Point) -> int:
    return (start[0] - end[0]) ** 2 + (start[1] - end[1]) ** 2


def _extent(ring: Sequence[Point]) -> tuple[Point, Point]:
    xs, ys = zip(*ring, strict=True)
    return (min(xs), min(ys)), (max(xs), max(ys))


def box(x: int, y: int, width: int, height: int) -> Ring:
    """Return the corners of a rectangle from its lower left corner."""
    return (x, y), (x + width, y), (x + width, y + height), (x, y + height)
