"""Diagonal tile and herringbone, against shapely, which knows nothing of how the engine cuts."""

from fractions import Fraction
from functools import cache
from itertools import combinations
from math import sqrt
from random import Random

import pytest
from shapely import MultiPolygon, Point, Polygon, STRtree, affinity, box, unary_union
from shapely.geometry.base import BaseGeometry

from catalog.measures.lengths import NM_PER_INCH
from estimating.boards.start_lines import start_lines
from estimating.boards.tile import TileLayout, TilePattern, TilePiece, TilePreferences, TileRules
from estimating.boards.tile_patterns import lay_pattern, preferred_layout, tiles_of
from estimating.sheet_layout.regions import Ring
from estimating.sheet_layout.rules import CannotLay
from estimating.sheet_layout.surface import Surface

IN = NM_PER_INCH
HAIR = 1e-4 * IN  # well above what is rounded to the nanometer, well below what a saw can cut
PATTERNS: tuple[TilePattern, ...] = ("diagonal", "herringbone", "herringbone-45")


def ring(*points: tuple[float, float]) -> Ring:
    return tuple((round(x * IN), round(y * IN)) for x, y in points)


def rectangle(width: float, height: float, *holes: Ring) -> Surface:
    return Surface(ring((0, 0), (width, 0), (width, height), (0, height)), holes)


L_ROOM = Surface(
    ring((0, 0), (144, 0), (144, 60), (84, 60), (84, 120), (0, 120)),
    (ring((0, 0), (60, 0), (60, 24), (0, 24)), ring((100, 20), (110, 20), (110, 30), (100, 30))),
)


def laid(
    surface: Surface,
    tile: tuple[float, float],
    pattern: TilePattern,
    *,
    joint: float = 1 / 8,
    **rules: object,
) -> TileLayout:
    size = round(tile[0] * IN), round(tile[1] * IN)
    set_so = TileRules(round(joint * IN), pattern=pattern, **rules)  # type: ignore[arg-type]
    return lay_pattern(surface, size, TilePreferences(rules=set_so))


def ground_of(layout: TileLayout) -> BaseGeometry:
    gap = layout.rules.perimeter_gap_nm
    ground: BaseGeometry = Polygon(layout.surface.ring).buffer(-gap, join_style="mitre")
    for hole in layout.surface.holes:
        ground = ground.difference(Polygon(hole).buffer(gap, join_style="mitre"))
    return ground


def shape_of(piece: TilePiece) -> BaseGeometry:
    if not piece.rings:
        return box(piece.x_nm, piece.y_nm, piece.x_nm + piece.width_nm, piece.y_nm + piece.height_nm)
    return unary_union([Polygon(each) for each in piece.rings])


def parts(shape: BaseGeometry) -> list[BaseGeometry]:
    return list(shape.geoms) if isinstance(shape, MultiPolygon) else [shape]


@pytest.mark.parametrize("pattern", ["diagonal", "herringbone"])
@pytest.mark.parametrize("module", [(2, 1), (3, 1), (7, 3), (5, 5), (24, 12), (31, 8)])
def test_an_endless_pattern_covers_everything_once(pattern: str, module: tuple[int, int]) -> None:
    a, b = module
    window = -3 * a - 1, 4 * a + 2, -2 * a, 3 * a + 1
    tiles = [
        box(tile.u, tile.v, tile.u + (b if tile.upright else a), tile.v + (a if tile.upright else b))
        for tile in tiles_of(pattern, module, window, (1, -2))
    ]
    view = box(window[0], window[2], window[1], window[3])
    seen = [tile.intersection(view).area for tile in tiles]
    assert sum(seen) == pytest.approx(view.area)
    assert unary_union(tiles).intersection(view).area == pytest.approx(view.area)
    if pattern == "herringbone":  # half of the tiles stand upright
        upright = sum(tile.area for tile in tiles if tile.bounds[3] - tile.bounds[1] == a)
        assert upright / sum(tile.area for tile in tiles) > 0.3 or a == b


@pytest.mark.parametrize("pattern", PATTERNS)
@pytest.mark.parametrize("tile", [(12, 12), (24, 12), (12, 4), (6, 3)])
@pytest.mark.parametrize(
    "surface", [rectangle(120, 96), rectangle(60.5, 41), L_ROOM], ids=["room", "closet", "L with cabinets"]
)
def test_pieces_cover_the_floor_with_joints_between_and_nothing_twice(
    pattern: TilePattern, tile: tuple[int, int], surface: Surface
) -> None:
    layout = laid(surface, tile, pattern)
    ground, joint = ground_of(layout), layout.rules.joint_nm
    shapes = [shape_of(piece) for piece in layout.pieces]
    assert all(shape.is_valid for shape in shapes)
    assert all(shape.difference(ground.buffer(HAIR)).is_empty for shape in shapes)
    for one, other in STRtree(shapes).query(shapes, predicate="dwithin", distance=joint - HAIR).T:
        assert one == other, "two pieces are nearer than the joint"
    grown = unary_union([shape.buffer(joint / 2 + HAIR, join_style="mitre") for shape in shapes])
    assert ground.buffer(-joint).difference(grown).area < 1e-6 * ground.area
    assert sum(shape.area for shape in shapes) == pytest.approx(layout.tile_nm2, rel=1e-6)
    long, short = max(tile) * IN, min(tile) * IN
    for piece, shape in zip(layout.pieces, shapes, strict=True):
        whole = shape.area / (long * short)
        assert whole > 1 - 1e-6 if piece.whole else whole < 1 - 1e-8
        if layout.slanting:
            turned = affinity.rotate(shape, -45, origin=(0, 0))
            left, low, right, high = turned.bounds
            assert sorted((right - left, high - low)) == pytest.approx(
                sorted((piece.width_nm, piece.height_nm)), abs=HAIR
            )


@pytest.mark.parametrize("pattern", PATTERNS)
@pytest.mark.parametrize("seed", range(12))
def test_pieces_are_those_of_a_pattern_repeated_from_one_whole_tile(pattern: TilePattern, seed: int) -> None:
    """Repeat one tile by the lattice of its pattern, written down anew, and cut it out by shapely."""
    dice = Random(seed)
    short = dice.choice([4, 6, 12])
    long = short * dice.choice([1, 2, 3]) if pattern == "diagonal" else short * dice.choice([2, 3])
    width, height = dice.randrange(50, 130), dice.randrange(50, 110)
    hole = ring((10, 0), (10 + dice.randrange(10, 30), 0), (40, 20), (10, 20))
    hole = (hole[0], (hole[2][0], 0), hole[2], hole[3])
    layout = laid(rectangle(width, height, hole), (long, short), pattern)
    angle = 45 if layout.slanting else 0
    lowest = min(
        (piece for piece in layout.pieces if piece.whole), key=lambda piece: (piece.y_nm, piece.x_nm)
    )
    turned = affinity.rotate(shape_of(lowest), -angle, origin=(0, 0))
    left, low, right, high = turned.bounds
    a, b = long * IN + layout.rules.joint_nm, short * IN + layout.rules.joint_nm
    size = {False: (long * IN, short * IN), True: (short * IN, long * IN)}
    upright = high - low > right - left
    if pattern != "diagonal" and upright:
        low -= b  # the tile that lies under it
    reach = range(-60, 61)
    places = []
    for i in reach:
        for j in reach:
            u, v = (i * a, j * b) if pattern == "diagonal" else (i * b + j * a, i * b - j * a)
            places.append((u, v, pattern == "diagonal" and upright))
            if pattern != "diagonal":
                places.append((u, v + b, True))
    ground, found = ground_of(layout), 0
    west, south, east, north = affinity.rotate(ground, -angle, origin=(0, 0)).bounds
    for u, v, stands in places:
        wide, tall = size[stands]
        x, y = left + u, low + v
        if x <= east and x + wide >= west and y <= north and y + tall >= south:  # most lie far off
            tile = box(x, y, x + wide, y + tall)
            met = affinity.rotate(tile, angle, origin=(0, 0)).intersection(ground)
            found += sum(part.area > HAIR * IN for part in parts(met) if part.geom_type == "Polygon")
    assert len(layout.pieces) == found
    assert layout.used == found  # without offcuts each takes a tile


@pytest.mark.parametrize("tile", [(12, 12), (12, 6), (18, 6)])
def test_two_pieces_of_one_tile_lie_in_it_side_by_side(tile: tuple[int, int]) -> None:
    """Every pair that is counted: cut both out of one tile by shapely, the kerf between them."""
    long, short = tile[0] * IN, tile[1] * IN
    whole = box(0, 0, long, short)
    kerf = TileRules().kerf_nm
    for c1, c2 in combinations([Fraction(n, 4) * IN for n in range(1, 4 * sum(tile), 5)], 2):
        one = whole.intersection(Polygon([(0, 0), (c1, 0), (0, c1)]))
        other = whole.intersection(Polygon([(long, short), (long - c2, short), (long, short - c2)]))
        fits = one.distance(other) >= kerf - HAIR
        assert fits is (c1 + c2 <= long + short - sqrt(2) * kerf)


@pytest.mark.parametrize(
    ("width", "height", "pattern", "tile"),
    [
        (36, 30, "diagonal", (12, 12)),
        (40, 27, "diagonal", (12, 12)),
        (31, 24, "herringbone-45", (12, 6)),
        (50, 36, "herringbone-45", (18, 9)),
        (34, 28, "herringbone", (12, 6)),
    ],
)
def test_no_more_offcuts_are_counted_on_than_can_be_paired(
    width: int, height: int, pattern: TilePattern, tile: tuple[int, int]
) -> None:
    """Try every way to pair the cut pieces of a small floor, by shapely: two in opposite corners of a tile,
    turned by halves and quarters. On square tile the engine finds as many among pieces of one straight cut;
    of others it leaves out those that a quarter turn alone would pair."""
    surface = rectangle(width, height)
    each, shared = laid(surface, tile, pattern), laid(surface, tile, pattern, reuse_offcuts=True)
    saved = len(shared.pieces) - shared.used
    assert each.used == len(each.pieces)
    assert saved > 0
    assert shared.used * tile[0] * tile[1] * IN * IN >= shared.tile_nm2
    outline = box(0, 0, tile[0] * IN, tile[1] * IN)
    angle = 45 if shared.slanting else 0
    cut = [shape_of(piece) for piece in shared.pieces if not piece.whole]
    spots = [_in_corners(outline, affinity.rotate(shape, -angle, origin=(0, 0))) for shape in cut]
    once = [spot for spot in spots if any(_is_one_cut(outline, shape) for shape in spot)]
    most = _most_pairs(once)
    assert saved == most if tile[0] == tile[1] else saved <= most


def _is_one_cut(outline: BaseGeometry, shape: BaseGeometry) -> bool:
    """Tell whether a straight cut makes a piece of a tile: the piece and the rest are both convex."""
    rest = outline.difference(shape.buffer(HAIR, join_style="mitre"))
    return all(
        part.geom_type == "Polygon" and part.convex_hull.area - part.area < HAIR * IN
        for part in (shape, rest)
    )


def _most_pairs(spots: list[list[BaseGeometry]]) -> int:
    """Return the most pairs of pieces that both lie in a tile, with a kerf between them, of all ways."""
    kerf = TileRules().kerf_nm
    fits = {
        (one, other)
        for one, other in combinations(range(len(spots)), 2)
        if any(a.distance(b) >= kerf - HAIR for a in spots[one] for b in spots[other])
    }

    @cache
    def most(left: frozenset[int]) -> int:
        if len(left) < 2:
            return 0
        first = min(left)
        others = left - {first}
        paired = (1 + most(others - {other}) for other in others if (first, other) in fits)
        return max((most(others), *paired))

    return most(frozenset(range(len(spots))))


def _in_corners(outline: BaseGeometry, shape: BaseGeometry) -> list[BaseGeometry]:
    left, low, right, high = outline.bounds
    found = []
    for turn in (0, 90, 180, 270):
        turned = affinity.rotate(shape, turn, origin=(0, 0))
        a, c, b, d = turned.bounds
        for dx in (left - a, right - b):
            for dy in (low - c, high - d):
                placed = affinity.translate(turned, dx, dy)
                if placed.difference(outline.buffer(HAIR)).is_empty:
                    found.append(placed)
    return found


def test_small_floors_take_the_tiles_that_one_can_count() -> None:
    """By hand: a square of 12 in diagonal tile without joints on a floor of two diagonals is one whole tile
    in the middle and four halves beside it cut in two more, or four quarters round it."""
    side = 12 * sqrt(2)
    plain = TileRules(0, 0, 0, pattern="diagonal")
    surface = Surface(ring((0, 0), (side, 0), (side, side), (0, side)))
    layout = lay_pattern(surface, (12 * IN, 12 * IN), TilePreferences(rules=plain))
    areas = sorted(round(shape_of(piece).area / (12 * IN) ** 2, 3) for piece in layout.pieces)
    assert areas in ([0.25, 0.25, 0.25, 0.25, 1.0], [0.5, 0.5, 0.5, 0.5])


def test_tile_butted_on_the_module_wastes_nothing_in_herringbone() -> None:
    """A floor of 4 by 4 tiles' widths in 2 to 1 tile: 8 tiles' area, whatever is cut is used again."""
    rules = TileRules(0, 0, 0, pattern="herringbone", reuse_offcuts=True)
    layout = lay_pattern(rectangle(48, 48), (24 * IN, 12 * IN), TilePreferences(rules=rules))
    assert layout.tile_nm2 == 48 * 48 * IN * IN
    assert layout.used == 8


def test_the_joint_between_tiles_is_what_their_area_leaves_free() -> None:
    """A square foot of 12 in tile has 2 ft of joint less what the crossing counts once."""
    layout = laid(rectangle(240, 240), (12, 12), "diagonal")
    per_sqft = layout.joint_nm / (12 * IN) / ((240 - 0.25) ** 2 / 144)
    assert per_sqft == pytest.approx(2 * 12 / 12.125, rel=0.03)


@pytest.mark.parametrize("pattern", PATTERNS)
def test_the_lines_to_start_from_meet_the_corner_of_a_whole_tile(pattern: TilePattern) -> None:
    layout = laid(L_ROOM, (12, 6), pattern)
    lines = start_lines(layout)
    assert lines is not None
    at = Point(lines.at)
    whole = [shape_of(piece) for piece in layout.pieces if piece.whole]
    corners = [Point(corner) for shape in whole for corner in shape.exterior.coords]  # type: ignore[attr-defined]
    assert min(corner.distance(at) for corner in corners) <= 2


def test_courses_are_laid_as_ever_and_what_can_not_be_is_refused() -> None:
    straight = preferred_layout(rectangle(120, 96), (12 * IN, 12 * IN), TilePreferences())
    assert {piece.course for piece in straight.pieces} != {0}
    with pytest.raises(CannotLay):
        laid(rectangle(120, 96), (12, 12), "diagonal", joint=12)


@pytest.mark.parametrize("pattern", PATTERNS)
def test_a_slanting_wall_is_approximate_and_says_so(pattern: TilePattern) -> None:
    surface = Surface(ring((0, 0), (120, 10), (110, 100), (0, 90)))
    layout = laid(surface, (12, 6), pattern)
    assert "approximate" in layout.warnings[0]
    assert layout.used * 72 > 9_000


@pytest.mark.parametrize("pattern", PATTERNS)
@pytest.mark.parametrize("seed", range(6))
def test_a_pattern_stays_in_the_middle_unless_moving_it_leaves_fewer_slivers(
    pattern: TilePattern, seed: int
) -> None:
    """In the middle, a diagonal pattern that is turned half round falls on itself."""
    dice = Random(seed)
    width, height = dice.randrange(50, 110), dice.randrange(50, 90)
    layout = laid(rectangle(width, height), (12, 6), pattern)
    least = 12 * IN / 3, 6 * IN / 3
    sides = ((piece.width_nm, piece.height_nm) for piece in layout.pieces)
    if layout.slanting:
        assert layout.slivers == sum(long < least[0] or short < least[1] for long, short in sides)
    assert layout.moved is any("out of the middle" in warning for warning in layout.warnings)
    if not layout.moved and pattern == "diagonal":
        shapes = [shape_of(piece) for piece in layout.pieces]
        tree = STRtree(shapes)
        for shape in shapes:
            turned = affinity.rotate(shape, 180, origin=(width * IN / 2, height * IN / 2))
            off = [shapes[at].symmetric_difference(turned).area for at in tree.query(turned)]
            assert min(off) < 1e-4 * IN * IN
