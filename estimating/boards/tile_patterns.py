"""Tile laid in a diagonal grid or in herringbone: every piece, exactly, and how many tiles they take.

Tiles lie in a frame: the surface's own, or one turned by 45 degrees, in which u is x + y and v is y - x, so
that lengths are longer by the root of two, rounded to the nanometer once for each edge of a tile. What a
surface leaves of a tile is cut out of its rectangles one by one and joined again. Coordinates are doubled
nanometers, in which every corner that a cut at 45 degrees makes is whole.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from math import isqrt
from typing import NamedTuple

from estimating.boards.tile import (
    ROUNDING_NM,
    SLIVER,
    TileLayout,
    TilePiece,
    TilePreferences,
    TileRules,
    ground_of,
    lay_tiles,
    most_pairs,
    start_box,
)
from estimating.sheet_layout.courses import Ground
from estimating.sheet_layout.regions import Box, Point, Ring, bounds
from estimating.sheet_layout.rules import CannotLay
from estimating.sheet_layout.surface import Surface, View, view_of

Lines = tuple[int, int, int, int]  # a tile in its frame: from and to along u, then along v, doubled


class Tile(NamedTuple):
    """A tile of a pattern where it lies in its frame, in nanometers; `upright` where its length runs in v."""

    u: int
    v: int
    upright: bool


@dataclass(frozen=True)
class _Frame:
    """The directions of a pattern: those of the surface, or turned by 45 degrees."""

    turned: bool
    middle: Point  # of the surface, where the pattern begins

    def lines(self, tile: Tile, long: int, short: int) -> Lines:
        """Return the lines along a tile's edges, as seen from the middle."""
        wide, high = (short, long) if tile.upright else (long, short)
        mx, my = self.middle
        u, v = (mx + my, my - mx) if self.turned else (mx, my)
        ends = (tile.u, tile.u + wide, tile.v, tile.v + high)
        a, b, c, d = (_by_root_two(end) if self.turned else end for end in ends)
        return 2 * (u + a), 2 * (u + b), 2 * (v + c), 2 * (v + d)

    def corners(self, lines: Lines) -> list[Point]:
        """Return the corners of a tile on the surface, anticlockwise."""
        a, b, c, d = lines
        around = ((a, c), (b, c), (b, d), (a, d))
        return [((u - v) // 2, (u + v) // 2) if self.turned else (u, v) for u, v in around]

    def along(self, point: Point) -> Point:
        x, y = point
        return (x + y, y - x) if self.turned else point

    def length(self, distance: int) -> int:
        """Return a distance in the frame, doubled, as a length in nanometers."""
        return isqrt(distance * distance // 8) if self.turned else distance // 2


class _Part(NamedTuple):
    """What one rectangle of the surface leaves of a tile: its corners, doubled, anticlockwise."""

    low: int
    high: int
    corners: tuple[Point, ...]


@dataclass(frozen=True)
class _Shape:
    """A piece: its parts, its tile and the tile's lines, its sizes along and across the tile."""

    parts: tuple[_Part, ...]
    tile: Tile
    lines: Lines
    length_nm: int
    width_nm: int
    doubled_area: int  # of doubled coordinates: eight times the area
    whole: bool

    @property
    def notched(self) -> bool:
        """Whether a piece that lies along the walls isn't its whole box."""
        return self.doubled_area != 8 * self.length_nm * self.width_nm


@lru_cache(maxsize=256)
def preferred_layout(surface: Surface, tile_nm: tuple[int, int], preferences: TilePreferences) -> TileLayout:
    """Return the tile laid by these preferences, remembered. Raises CannotLay."""
    if preferences.rules.pattern == "straight":
        return lay_tiles(
            surface,
            tile_nm,
            preferences.rules,
            start=preferences.start,
            along=preferences.along,
            corner=preferences.corner,
        )
    return lay_pattern(surface, tile_nm, preferences)


def lay_pattern(surface: Surface, tile_nm: tuple[int, int], preferences: TilePreferences) -> TileLayout:
    """Lay tile in the pattern of its rules, begun in the middle of the surface where that leaves no slivers.

    A corner between tiles, the middle of a tile, or that of one of its sides is brought to the middle. Where
    each leaves pieces of less than a third of a tile, the pattern is moved along the surface, then up, by
    sixths of a tile. The trial with the fewest such pieces wins; among equals one in the middle, then the one
    with the fewest tiles. Raises CannotLay with a plain sentence where there is no layout.
    """
    rules, view = preferences.rules, view_of(preferences.along, "sw")
    ground = ground_of(surface, tile_nm, rules, view)
    long, short = ground.long, ground.short
    turned = rules.pattern != "herringbone"
    best = _best_trial(ground, rules, turned, start_box(surface, view, ground))
    (slivers, moved, used), shapes = best.rank, best.shapes
    if not shapes:
        raise CannotLay("The surface has no room for a tile between the gaps along its edges.")
    tile_nm2 = sum(shape.doubled_area for shape in shapes) // 8
    covered = sum((band.high - band.low) * sum(b - a for a, b in band.runs) for band in ground.region)
    return TileLayout(
        surface=surface,
        tile_nm=tile_nm,
        rules=rules,
        courses_along=preferences.along,
        pieces=tuple(_piece(shape, view, turned) for shape in shapes),
        used=used,
        slivers=slivers,
        tile_nm2=tile_nm2,
        joint_nm=(covered - tile_nm2) // rules.joint_nm if rules.joint_nm else _joints(covered, long, short),
        warnings=tuple(_warnings(surface, slivers, moved=moved)),
        upright=preferences.start == "from below",
        moved=moved,
    )


class _Trial(NamedTuple):
    """A start that is tried: its slivers, whether it is out of the middle, its tiles; where it begins."""

    rank: tuple[int, bool, int]
    frame: "_Frame"
    begin: Point
    shapes: list["_Shape"]


def _best_trial(ground: Ground, rules: TileRules, turned: bool, box: Box) -> _Trial:
    """Return the best of the starts that are tried: in the middle, or else moved out of it."""
    long, short, joint = ground.long, ground.short, rules.joint_nm

    def trial(frame: _Frame, begin: Point, moved: bool) -> _Trial:
        shapes = list(_shapes(ground, frame, rules.pattern, begin))
        slivers = sum(_is_sliver(shape, ground) for shape in shapes)
        saved = _saved(ground, shapes, turned) if rules.reuse_offcuts else 0
        return _Trial((slivers, moved, len(shapes) - saved), frame, begin, shapes)

    middle = _Frame(turned, ((box.left + box.right) // 2, (box.low + box.high) // 2))
    starts = (
        (-long // 2 if across else joint // 2, -short // 2 if up else joint // 2)
        for across, up in ((0, 0), (1, 1), (1, 0), (0, 1))
    )
    best = min((trial(middle, begin, False) for begin in starts), key=lambda found: found.rank)
    step = (_by_root_two(short + joint) if turned else short + joint) // 6
    for dx, dy in ((step, 0), (0, step)):
        if best.rank[0]:
            x, y = best.frame.middle
            frames = (_Frame(turned, (x + dx * count, y + dy * count)) for count in range(1, 6))
            others = (trial(frame, best.begin, True) for frame in frames)
            best = min((best, *others), key=lambda found: found.rank)
    return best


def tiles_of(pattern: str, module: Point, box: Lines, begin: Point) -> Iterator[Tile]:
    """Yield the tiles of an endless pattern that may meet a box of its frame, in nanometers.

    `module` is a tile with one joint, long side first; `begin` is where the first tile lies. In a grid tiles
    repeat by the module each way. In herringbone a tile and an upright one, standing over its left end, are
    repeated by (b, b) and by (a, -a) for a module of a by b: the two cover 2ab, as that lattice does.
    """
    a, b = module
    left, right, low, high = (edge - begin[axis] for edge, axis in zip(box, (0, 0, 1, 1), strict=True))
    if pattern == "diagonal":
        for row in range(low // b - 1, high // b + 1):
            for column in range(left // a - 1, right // a + 1):
                yield Tile(begin[0] + column * a, begin[1] + row * b, False)
        return
    reach = a + b
    for step in range((left + low - 2 * reach) // (2 * b), (right + high) // (2 * b) + 1):
        for shift in range((left - high - reach) // (2 * a), (right - low + reach) // (2 * a) + 1):
            u, v = step * b + shift * a, step * b - shift * a
            if left - a < u < right and low - b < v < high:
                yield Tile(begin[0] + u, begin[1] + v, False)
            if left - b < u < right and low - a < v + b < high:
                yield Tile(begin[0] + u, begin[1] + v + b, True)


def _shapes(ground: Ground, frame: _Frame, pattern: str, begin: Point) -> Iterator[_Shape]:
    """Yield the pieces of a pattern on a ground, tile by tile."""
    long, short, joint = ground.long, ground.short, ground.rules.gap_nm
    left, low, right, high = bounds(ground.region)
    mx, my = frame.middle
    ends = [(x - mx, y - my) for x in (left, right) for y in (low, high)]
    if frame.turned:  # by the root of two shorter than along u and v
        ends = [((x + y) * 5 // 7, (y - x) * 5 // 7) for x, y in ends]
    us, vs = zip(*ends, strict=True)
    spare = long + joint
    box = min(us) - spare, max(us) + spare, min(vs) - spare, max(vs) + spare
    kind = "diagonal" if pattern == "diagonal" else "herringbone"
    for tile in tiles_of(kind, (long + joint, short + joint), box, begin):
        lines = frame.lines(tile, long, short)
        corners = frame.corners(lines)
        if _lies_inside(ground, corners):
            levels = [y for _, y in corners]
            one = _Part(min(levels), max(levels), tuple(corners))
            yield _Shape((one,), tile, lines, long, short, _doubled_area(corners), True)
            continue
        whole = 4 * (lines[1] - lines[0]) * (lines[3] - lines[2]) // (4 if frame.turned else 2)
        for parts in _joined(_parts(ground, corners)):
            area = sum(_doubled_area(part.corners) for part in parts)
            around = [frame.along(point) for part in parts for point in part.corners]
            us, vs = zip(*around, strict=True)
            sides = frame.length(max(us) - min(us)), frame.length(max(vs) - min(vs))
            if min(sides) <= ROUNDING_NM:
                continue
            length, width = sides[::-1] if tile.upright else sides
            yield _Shape(tuple(parts), tile, lines, length, width, area, area >= whole)


def _lies_inside(ground: Ground, corners: Sequence[Point]) -> bool:
    """Tell whether the box round a tile lies in the ground."""
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    left, right, low, high = min(xs), max(xs), min(ys), max(ys)
    covered = 0
    for band in ground.region:
        shared = min(high, 2 * band.high) - max(low, 2 * band.low)
        if shared > 0:
            if not any(2 * a <= left and right <= 2 * b for a, b in band.runs):
                return False
            covered += shared
    return covered == high - low


def _parts(ground: Ground, corners: list[Point]) -> Iterator[_Part]:
    """Yield what the rectangles of a ground leave of a convex tile, from below."""
    xs, ys = zip(*corners, strict=True)
    left, right, low, high = min(xs), max(xs), min(ys), max(ys)
    for band in ground.region:
        if 2 * band.high <= low or high <= 2 * band.low:
            continue
        bottom, top = 2 * band.low, 2 * band.high
        for a, b in band.runs:
            if right <= 2 * a or 2 * b <= left:
                continue
            kept = corners
            if low < bottom:
                kept = _cut(kept, 0, 1, bottom)
            if high > top:
                kept = _cut(kept, 0, -1, -top)
            if left < 2 * a:
                kept = _cut(kept, 1, 0, 2 * a)
            if right > 2 * b:
                kept = _cut(kept, -1, 0, -2 * b)
            if len(kept) > 2 and _doubled_area(kept):
                levels = [y for _, y in kept]
                yield _Part(min(levels), max(levels), tuple(kept))


def _cut(corners: Sequence[Point], nx: int, ny: int, least: int) -> list[Point]:
    """Return what is left of a convex shape where nx * x + ny * y isn't less than `least`.

    Edges run along x, y or at 45 degrees and the line along x or y: where they meet is whole.
    """
    if not corners:
        return []
    kept: list[Point] = []
    for (ax, ay), (bx, by) in pairwise((*corners, corners[0])):
        off_a, off_b = nx * ax + ny * ay - least, nx * bx + ny * by - least
        if off_a >= 0:
            kept.append((ax, ay))
        if (off_a > 0 and off_b < 0) or (off_a < 0 and off_b > 0):
            share, whole = off_a, off_a - off_b
            kept.append((ax + (bx - ax) * share // whole, ay + (by - ay) * share // whole))
    return [point for point, after in zip(kept, (*kept[1:], *kept[:1]), strict=True) if point != after]


def _joined(parts: Iterable[_Part]) -> list[list[_Part]]:
    """Return the parts of a tile that hang together, each group from below."""
    groups: list[list[_Part]] = []
    for part in parts:
        touching = [group for group in groups if any(_touch(other, part) for other in group)]
        groups = [group for group in groups if group not in touching]
        groups.append([*(other for group in touching for other in group), part])
    return [sorted(group) for group in groups]


def _touch(below: _Part, above: _Part) -> bool:
    """Tell whether two parts share a stretch of a level."""
    if below.high != above.low:
        return False
    (a, b), (c, d) = _span(below, below.high), _span(above, above.low)
    return max(a, c) < min(b, d)


def _span(part: _Part, level: int) -> tuple[int, int]:
    xs = [x for x, y in part.corners if y == level]
    return min(xs), max(xs)


def _doubled_area(corners: Sequence[Point]) -> int:
    return sum(ax * by - bx * ay for (ax, ay), (bx, by) in pairwise((*corners, corners[0])))


def _by_root_two(length: int) -> int:
    """Return a length times the root of two, to the nearest whole."""
    root = (isqrt(8 * length * length) + 1) // 2
    return root if length >= 0 else -root


def _joints(covered: int, long: int, short: int) -> int:
    """Return the length of the joints of tile that is butted, for its area."""
    return covered * (long + short) // (long * short)


def _is_sliver(shape: _Shape, ground: Ground) -> bool:
    return shape.length_nm < SLIVER * ground.long or shape.width_nm < SLIVER * ground.short


def _saved(ground: Ground, shapes: Iterable[_Shape], turned: bool) -> int:
    """Return how many tiles the offcuts save: the most pairs of pieces that one tile gives both of.

    Only pieces with one straight cut pair up. Across or along the tile, their lengths or widths must go into
    the tile's. At 45 degrees a cut keeps what lies within a distance of one corner, counted along both sides;
    a piece turned half round keeps the slope of its cut, so that those of one slope pair up, where both
    distances and the kerf go into length and width. On a square tile both slopes are one.
    """
    long, short, kerf = ground.long, ground.short, ground.rules.kerf_nm
    to_length, to_width = [], []
    sloping: dict[int, list[int]] = {}
    for shape in shapes:
        if shape.whole:
            continue
        if not turned:
            if shape.notched:
                continue
            if shape.width_nm >= short - ROUNDING_NM:
                to_length.append(shape.length_nm)
            elif shape.length_nm >= long - ROUNDING_NM:
                to_width.append(shape.width_nm)
        elif cut := _sloping_cut(shape, long, short):
            slope, reach = cut
            sloping.setdefault(0 if long == short else slope, []).append(reach)
    pairs = most_pairs(sorted(to_length), long - kerf) + most_pairs(sorted(to_width), short - kerf)
    limit = long + short - _by_root_two(kerf)
    return pairs + sum(most_pairs(sorted(reaches), limit) for reaches in sloping.values())


def _sloping_cut(shape: _Shape, long: int, short: int) -> tuple[int, int] | None:
    """Return the slope of a single cut at 45 degrees and how far from a corner it keeps the tile.

    The distance is counted along both sides of the corner, in nanometers. None for any other piece.
    """
    a, b, c, d = shape.lines
    frame = _Frame(True, (0, 0))
    inner: list[tuple[Point, Point]] = []
    for start, stop in _outline_edges(shape.parts):
        (u1, v1), (u2, v2) = frame.along(start), frame.along(stop)
        on_side = (u1 == u2 and u1 in (a, b)) or (v1 == v2 and v1 in (c, d))
        if not on_side:
            inner.append(((u1, v1), (u2, v2)))
    directions = {((u2 > u1) - (u2 < u1), (v2 > v1) - (v2 < v1)) for (u1, v1), (u2, v2) in inner}
    if len(directions) != 1:
        return None
    (du, dv) = directions.pop()
    slope = -du * dv if not shape.tile.upright else du * dv
    (u, v), _ = inner[0]
    if any(abs((p - u) * dv - (q - v) * du) > 4 for edge in inner for p, q in edge):
        return None
    # The kept side is on the left of the edge; count from the corner that is kept there.
    from_u = u - a if dv > 0 else b - u
    from_v = d - v if du > 0 else v - c
    return slope, frame.length(from_u + from_v)


def _outline_edges(parts: Sequence[_Part]) -> Iterator[tuple[Point, Point]]:
    """Yield the edges round joined parts: those along a level that two share are left out."""
    levels = {part.low for part in parts} & {part.high for part in parts}
    for part in parts:
        for start, stop in pairwise((*part.corners, part.corners[0])):
            if not (start[1] == stop[1] and start[1] in levels) or not any(
                _span(other, start[1])[0] <= min(start[0], stop[0])
                and max(start[0], stop[0]) <= _span(other, start[1])[1]
                for other in parts
                if other is not part and start[1] in (other.low, other.high)
            ):
                yield start, stop


def _piece(shape: _Shape, view: View, turned: bool) -> TilePiece:
    """Return a piece as it lies on the surface; one at 45 degrees with its sizes along its own sides."""
    rings = tuple(tuple(view.back((x // 2, y // 2)) for x, y in ring) for ring in _rings(shape.parts))
    xs, ys = zip(*(point for ring in rings for point in ring), strict=True)
    x, y = min(xs), min(ys)
    if turned:
        return TilePiece(0, x, y, shape.length_nm, shape.width_nm, shape.whole, rings)
    return TilePiece(0, x, y, max(xs) - x, max(ys) - y, shape.whole, rings if shape.notched else ())


def _rings(parts: Sequence[_Part]) -> list[Ring]:
    """Return the outline of parts, one over another, as one ring; else a ring for each part."""
    stacked = all(below.high == above.low for below, above in pairwise(parts))
    if len(parts) == 1 or not stacked:
        return [part.corners for part in parts]
    right: list[Point] = []
    left: list[Point] = []
    for part in parts:
        by_level = sorted(part.corners, key=lambda point: point[1])
        middle = {y: _span(part, y) for _, y in by_level}
        for y in sorted(middle):
            low, high = middle[y]
            ends = y in (part.low, part.high)
            if ends or high >= _chord(part, y)[1]:
                right.append((high, y))
            if ends or low <= _chord(part, y)[0]:
                left.append((low, y))
    ring = [*right, *reversed(left)]
    return [tuple(point for point, after in zip(ring, (*ring[1:], ring[0]), strict=True) if point != after)]


def _chord(part: _Part, level: int) -> tuple[Fraction, Fraction]:
    """Return from where to where a convex part is crossed at a level."""
    met = [
        ax + Fraction((bx - ax) * (level - ay), by - ay)
        for (ax, ay), (bx, by) in pairwise((*part.corners, part.corners[0]))
        if ay != by and min(ay, by) <= level <= max(ay, by)
    ]
    return min(met), max(met)


def _warnings(surface: Surface, slivers: int, *, moved: bool) -> Iterator[str]:
    if not surface.rectilinear:
        yield (
            "The surface isn't square-cornered: strips stand for its slanting edges, so counts and lengths"
            " are approximate."
        )
    if slivers:
        pieces = "1 piece is" if slivers == 1 else f"{slivers} pieces are"
        yield f"{pieces} less than a third of a tile one way, as corners cut at a slant are."
    if moved:
        yield (
            "The pattern is moved out of the middle, so that less than a third of a tile is left on fewer"
            " edges."
        )
