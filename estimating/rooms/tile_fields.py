"""Where wall tile goes: round tubs and showers, and between counters and wall cabinets.

A field is the part of one wall that tile covers, from the wall's start, and upward from the floor. Openings
are cut out of it; in a niche and in the return of a window tile runs on. Exact, in whole nanometers.
"""

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property, lru_cache
from itertools import pairwise
from typing import Literal

from catalog.measures.lengths import NM_PER_INCH, feet_from_nm, sqft_from_nm2
from estimating.cabinets.units import Unit
from estimating.rooms.cabinet_runs import CORNER_NM, Cabinets, Run, openings_on, placed_along, run_of
from estimating.rooms.ceiling import ceiling_over, is_level
from estimating.rooms.outline import Outline
from estimating.rooms.plan import Footprint, Opening, RoomPlan, room_outline

TileKind = Literal["surround", "backsplash"]

SURROUND_TOP_NM = 84 * NM_PER_INCH  # where no height is typed (common practice; IRC R307.2 asks for 72 in)
BACKSPLASH_NM = 18 * NM_PER_INCH  # above the counter, where no wall cabinet hangs (common practice)

AS_DRAWN = "is taken to be where the plan draws it: its place on the wall isn't measured."

Box = tuple[int, int, int, int]  # from, to, low and high on a wall
Side = Literal["left", "right", "low", "high"]


@dataclass(frozen=True)
class Return:
    """A side of a window's return: which, and how long and deep its face is."""

    side: Side
    length_nm: int
    depth_nm: int


@dataclass(frozen=True)
class TileField:
    """The tile on one wall: parts that touch, from the wall's start, each `(from, to, low, high)`.

    `openings` are those that reach into it, each with where it begins.
    """

    kind: TileKind
    wall: int
    parts: tuple[Box, ...]
    openings: tuple[tuple[Opening, int], ...]
    notes: tuple[str, ...] = ()

    @property
    def outline(self) -> tuple[tuple[int, int], ...]:
        """The corners of the field, before openings are cut out, anticlockwise from its lower left."""
        low = [point for begin, end, low, _ in self.parts for point in ((begin, low), (end, low))]
        high = [point for begin, end, _, high in self.parts for point in ((begin, high), (end, high))]
        return _corners([*low, *reversed(high)])

    @property
    def niches(self) -> list[Opening]:
        return [opening for opening, _ in self.openings if opening.is_niche]

    @cached_property
    def edges(self) -> "list[tuple[Side, int, int, int, Opening | None]]":
        """The edges of what is tiled on the wall: the side on which tile ends, the level or place of the
        edge, from where to where it runs, and the opening beyond it."""
        holes = [_box(opening, begin) for opening, begin in self.openings]
        xs = sorted({x for box in (*self.parts, *holes) for x in box[:2]})
        ys = sorted({y for box in (*self.parts, *holes) for y in box[2:]})
        cells = {
            (column, row): _inside(x, y, self.parts) and not _inside(x, y, holes)
            for column, x in enumerate(xs[:-1])
            for row, y in enumerate(ys[:-1])
        }
        found: list[tuple[Side, int, int, int, Opening | None]] = []
        for (column, row), tiled in cells.items():
            if not tiled:
                continue
            begin, end, low, high = xs[column], xs[column + 1], ys[row], ys[row + 1]
            beyond: tuple[tuple[Side, tuple[int, int], int, int, int], ...] = (
                ("left", (column - 1, row), begin, low, high),
                ("right", (column + 1, row), end, low, high),
                ("low", (column, row - 1), low, begin, end),
                ("high", (column, row + 1), high, begin, end),
            )
            for side, cell, at, start, stop in beyond:
                if not cells.get(cell):
                    found.append((side, at, start, stop, self._opening_at(*cell, xs, ys)))
        return found

    @cached_property
    def wall_nm2(self) -> int:
        """The area of wall that is tiled, without niches and returns."""
        xs = sorted({x for box in self._all_boxes for x in box[:2]})
        ys = sorted({y for box in self._all_boxes for y in box[2:]})
        holes = [_box(opening, begin) for opening, begin in self.openings]
        return sum(
            (right - left) * (high - low)
            for left, right in pairwise(xs)
            for low, high in pairwise(ys)
            if _inside(left, low, self.parts) and not _inside(left, low, holes)
        )

    @property
    def _all_boxes(self) -> list[Box]:
        return [*self.parts, *(_box(opening, begin) for opening, begin in self.openings)]

    def _opening_at(self, column: int, row: int, xs: Sequence[int], ys: Sequence[int]) -> Opening | None:
        """Return the opening that a cell of the wall lies in; none where the field itself ends."""
        if not (0 <= column < len(xs) - 1 and 0 <= row < len(ys) - 1):
            return None
        at = xs[column], ys[row]
        return next(
            (opening for opening, begin in self.openings if _inside(*at, [_box(opening, begin)])), None
        )

    @cached_property
    def returns(self) -> list[tuple[Opening, Return]]:
        """The faces of windows' returns, as far as tile runs along them."""
        lengths: Counter[tuple[int, Side]] = Counter()
        windows = [opening for opening, _ in self.openings]
        for side, _, start, stop, opening in self.edges:
            if opening is not None and opening.kind == "window" and opening.recess_nm:
                lengths[windows.index(opening), side] += stop - start
        return [
            (windows[number], Return(side, length, windows[number].recess_nm))
            for (number, side), length in lengths.items()
        ]

    @property
    def area_nm2(self) -> int:
        """The area of tile: wall, niches with their backs, and returns."""
        niches = sum(niche.area_nm2 + niche.inner_nm2 for niche in self.niches)
        return self.wall_nm2 + niches + sum(face.length_nm * face.depth_nm for _, face in self.returns)


@lru_cache(maxsize=256)
def tile_fields(plan: RoomPlan, kind: TileKind) -> tuple[TileField, ...]:
    """Return the fields of wall tile of a kind, wall by wall; the plan has no faults."""
    return tuple(_fields(plan, kind))


def tile_amounts(plan: RoomPlan, walls: frozenset[int] | None = None) -> dict[str, Fraction]:
    """Return the measures of wall tile on all walls or some, by their codes; of a kind without any, none.

    Edges are those that show: ends on the open wall, outside corners, round niches and the returns of
    windows. Joints are those that are sealed: along tub, shower, floor or counter, in inside corners, in
    niches, and where a return meets its window.
    """
    amounts: dict[str, Fraction] = {}
    kinds: tuple[TileKind, ...] = ("surround", "backsplash")
    for kind in kinds:
        fields = [row for row in tile_fields(plan, kind) if walls is None or row.wall in walls]
        if fields:
            edge, joint = _edge_and_joint_nm(plan, fields)
            amounts[kind] = sqft_from_nm2(sum(row.area_nm2 for row in fields))
            amounts[f"{kind}_edge"], amounts[f"{kind}_joint"] = feet_from_nm(edge), feet_from_nm(joint)
    return amounts


def _fields(plan: RoomPlan, kind: TileKind) -> Iterator[TileField]:
    boxes: dict[int, list[Box]] = {}
    notes: dict[int, dict[str, None]] = {}
    found = _surround(plan) if kind == "surround" else _backsplash(plan)
    for wall, box, note in found:
        boxes.setdefault(wall, []).append(box)
        notes.setdefault(wall, {}).update({note: None} if note else {})
    for wall in sorted(boxes):
        openings = [(opening, begin) for _, opening, begin in openings_on(plan, wall)]
        for parts in _joined(_under_ceiling(plan, wall, boxes[wall]), openings):
            reach = tuple(each for each in openings if any(_meet(_box(*each), part) for part in parts))
            unplaced = [f"{opening.name} {AS_DRAWN}" for opening, _ in reach if opening.offset_nm is None]
            yield TileField(kind, wall, parts, reach, (*notes[wall], *unplaced))


def _surround(plan: RoomPlan) -> Iterator[tuple[int, Box, str]]:
    """Yield what is tiled round tubs and showers: the wall behind, and beside each end in a corner."""
    shape = room_outline(plan)
    for _, item, wall, begin, off in placed_along(plan):
        if item.kind != "tub" or wall is None or off:
            continue
        low, high = item.height_nm or 0, item.tile_to_nm or SURROUND_TOP_NM
        note = f"{item.name}: the place on the wall isn't measured, and taken as drawn."
        note = note if item.offset_nm is None and item.length_nm < shape.lengths_nm[wall] else ""
        if not item.height_nm:
            note = f"{item.name}: tile is taken from the floor up; type its height to begin at its rim."
        yield wall, (begin, begin + item.length_nm, low, high), note
        for side, far_from, far_to in _beside(shape, wall, begin, begin + item.length_nm, item.depth_nm):
            yield side, (far_from, far_to, low, high), ""


def _beside(shape: Outline, wall: int, begin: int, end: int, depth: int) -> Iterator[tuple[int, int, int]]:
    """Yield the walls at the ends of what stands in a corner: from where to where it reaches along them."""
    count = len(shape.lengths_nm)
    before, after = (wall - 1) % count, (wall + 1) % count
    if begin <= CORNER_NM and shape.corner(before) > 0:
        yield before, max(0, shape.lengths_nm[before] - depth), shape.lengths_nm[before]
    if end >= shape.lengths_nm[wall] - CORNER_NM and shape.corner(wall) > 0:
        yield after, 0, min(depth, shape.lengths_nm[after])


def _backsplash(plan: RoomPlan) -> Iterator[tuple[int, Box, str]]:
    """Yield what is tiled over counters and ranges, up to the wall cabinets; beside them as high."""
    placed = [each for each in placed_along(plan) if each[2] is not None]
    hung = [(wall, begin, item) for _, item, wall, begin, off in placed if item.layer == "hung" and not off]
    runs = [
        _whole_run(run_of(*each))
        for each in placed
        if each[1].layer == "base" and each[1].kind == "cabinets" and not each[4]
    ]
    cabinets = Cabinets(plan, tuple(runs))
    for run in runs:
        for wall, length in enumerate(cabinets.shape.lengths_nm):
            for start, stop in cabinets.spans_at(run, wall):
                begin, end = max(0, start), min(length, stop)
                over = [(at, item) for on, at, item in hung if on == wall]
                usual, note = _usual_top(run, [item for _, item in over] or [item for *_, item in hung])
                marks = {x for at, item in over for x in (at, at + item.length_nm) if begin < x < end}
                for left, right in pairwise(sorted({begin, end} | marks)):
                    unders = [item.under_nm for at, item in over if at <= left < at + item.length_nm]
                    high = min(unders, default=usual)
                    if high > run.counter_top_nm:
                        yield wall, (left, right, run.counter_top_nm, high), "" if unders else note


def _usual_top(run: Run, hung: Collection[Footprint]) -> tuple[int, str]:
    """Return how high tile goes where no cabinet hangs, and what is assumed for it."""
    if run.item.tile_to_nm is not None:
        return run.item.tile_to_nm, ""
    if hung:
        return min(item.under_nm for item in hung), ""
    top = run.counter_top_nm + BACKSPLASH_NM
    return top, f"{run.item.name}: no wall cabinets are drawn, so tile is taken to 18 in above the counter."


def _whole_run(run: Run) -> Run:
    """Return a run with its units; one whose cabinets aren't listed as a single cabinet."""
    if run.item.units:
        return run
    one = (Unit("cabinet", run.item.length_nm),)
    return run_of(run.number, run.item, run.wall, run.begin_nm, run.off_nm, one)


def _under_ceiling(plan: RoomPlan, wall: int, boxes: Iterable[Box]) -> Iterator[Box]:
    """Yield boxes of a wall, none above the ceiling, where that is lowest over each."""
    ceiling = None if is_level(plan) else ceiling_over(plan)
    for begin, end, low, high in boxes:
        if begin < end:
            most = plan.height_nm
            if ceiling is not None:
                most = int(ceiling.lowest_on_wall_nm(wall, begin, end))
            if low < min(high, most):
                yield begin, end, low, min(high, most)


def _joined(boxes: Iterable[Box], openings: Sequence[tuple[Opening, int]]) -> Iterator[tuple[Box, ...]]:
    """Yield boxes along a wall as parts that touch; what overlaps is covered from lowest to highest.

    An opening as high as the tile beside it parts the field.
    """
    boxes = list(boxes)
    holes = [_box(opening, begin) for opening, begin in openings]
    marks = sorted({x for box in (*boxes, *holes) for x in box[:2]})
    group: list[Box] = []
    for left, right in pairwise(marks):
        here = [box for box in boxes if box[0] <= left < box[1]]
        part = None
        if here:
            part = left, right, min(box[2] for box in here), max(box[3] for box in here)
            if any(h[0] <= left < h[1] and h[2] <= part[2] and part[3] <= h[3] for h in holes):
                part = None
        if group and (part is None or not _touch(group[-1], part)):
            yield tuple(group)
            group = []
        if part and group and group[-1][2:] == part[2:]:
            part = group.pop()[0], *part[1:]
        group += [part] if part else []
    if group:
        yield tuple(group)


def _touch(one: Box, other: Box) -> bool:
    return one[1] == other[0] and max(one[2], other[2]) < min(one[3], other[3])


def _meet(one: Box, other: Box) -> bool:
    """Tell whether two boxes share an area."""
    return max(one[0], other[0]) < min(one[1], other[1]) and max(one[2], other[2]) < min(one[3], other[3])


def _inside(x: int, y: int, boxes: Iterable[Box]) -> bool:
    """Tell whether what begins at a point lies in one of the boxes."""
    return any(begin <= x < end and low <= y < high for begin, end, low, high in boxes)


def _box(opening: Opening, begin: int) -> Box:
    return begin, begin + opening.width_nm, opening.sill_nm, opening.sill_nm + opening.height_nm


def _corners(points: Sequence[tuple[int, int]]) -> tuple[tuple[int, int], ...]:
    """Return the points of a square-cornered outline at which it turns."""
    kept = []
    for before, point, after in zip(
        (points[-1], *points[:-1]), points, (*points[1:], points[0]), strict=True
    ):
        straight = before[0] == point[0] == after[0] or before[1] == point[1] == after[1]
        if not straight and point != after:
            kept.append(point)
    return tuple(kept)


def _edge_and_joint_nm(plan: RoomPlan, fields: Sequence[TileField]) -> tuple[int, int]:
    """Return the lengths of edges that show and of joints that are sealed."""
    shape, edge, joint = room_outline(plan), 0, 0
    for row in fields:
        for side, at, start, stop, opening in row.edges:
            length = stop - start
            if opening is not None:
                edge += length if opening.is_niche or opening.recess_nm and opening.kind == "window" else 0
            elif side == "low":
                joint += length
            elif side == "high":
                edge += _open_nm(plan, row.wall, at, start, stop)
            else:
                shown, sealed = _at_side(plan, shape, fields, row, side, at, start, stop)
                edge, joint = edge + shown, joint + sealed
        joint += sum(niche.inner_corner_nm for niche in row.niches)
        joint += sum(face.length_nm for _, face in row.returns) + _return_corners_nm(row)
    return edge, joint


def _return_corners_nm(field: TileField) -> int:
    """Return the length of the corners between the faces of returns, each as deep as its window."""
    by_window: dict[Opening, set[Side]] = {}
    for opening, face in field.returns:
        by_window.setdefault(opening, set()).add(face.side)
    return sum(
        opening.recess_nm * len(sides & {"left", "right"}) * len(sides & {"low", "high"})
        for opening, sides in by_window.items()
    )


def _open_nm(plan: RoomPlan, wall: int, level: int, start: int, stop: int) -> int:
    """Return the length of an upper edge that is neither under a cabinet nor at the ceiling."""
    ceiling = None if is_level(plan) else ceiling_over(plan)
    top = plan.height_nm if ceiling is None else int(ceiling.lowest_on_wall_nm(wall, start, stop))
    if level >= top:
        return 0
    hidden = [
        (begin, begin + item.length_nm)
        for _, item, on, begin, off in placed_along(plan)
        if on == wall and not off and item.layer == "hung" and item.under_nm == level
    ]
    marks = sorted({start, stop, *(x for span in hidden for x in span if start < x < stop)})
    return sum(b - a for a, b in pairwise(marks) if not any(left <= a < right for left, right in hidden))


def _at_side(
    plan: RoomPlan,
    shape: Outline,
    fields: Sequence[TileField],
    field: TileField,
    side: Side,
    at: int,
    start: int,
    stop: int,
) -> tuple[int, int]:
    """Return how much of an upright edge shows, and how much is sealed in an inside corner."""
    length, count = stop - start, len(shape.lengths_nm)
    if side == "left" and at == 0:
        corner, other, end = shape.corner((field.wall - 1) % count), (field.wall - 1) % count, "right"
    elif side == "right" and at == shape.lengths_nm[field.wall]:
        corner, other, end = shape.corner(field.wall), (field.wall + 1) % count, "left"
    else:
        return (0 if _stands_against(plan, field.wall, side, at, start, stop) else length), 0
    far = shape.lengths_nm[other] if end == "right" else 0
    tiled = sum(
        max(0, min(stop, high) - max(start, low))
        for row in fields
        if row.wall == other
        for beyond, place, low, high, opening in row.edges
        if beyond == end and place == far and opening is None
    )
    counted = length - (tiled if side == "left" else 0)  # a corner of two fields counts at the first's end
    if corner > 0:
        return 0, counted
    return (counted if corner < 0 else length - tiled), 0


def _stands_against(plan: RoomPlan, wall: int, side: Side, at: int, start: int, stop: int) -> bool:
    """Tell whether tile ends at something: a cabinet's side, or the trim of a door or window."""
    for _, item, on, begin, off in placed_along(plan):
        near = begin if side == "right" else begin + item.length_nm
        low, high = item.under_nm, item.under_nm + item.tall_nm
        beside = on == wall and not off and item.layer and abs(near - at) <= CORNER_NM
        if beside and low <= start and stop <= high:
            return True
    for _, opening, begin in openings_on(plan, wall):
        near = begin if side == "right" else begin + opening.width_nm
        if near == at and opening.sill_nm <= start and stop <= opening.sill_nm + opening.height_nm:
            return not opening.is_niche
    return False
