"""Tile laid on a surface: whole and cut tiles, how many to buy, and the waste that cutting really makes.

The same courses and cells as of sheets, each course moved on by a share of a tile. Whole nanometers.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from itertools import product
from math import ceil
from typing import Literal, NamedTuple

from catalog.measures.units import NM_PER_INCH, format_length
from estimating.sheet_layout.courses import Cut, Ground, courses, cut_course, strips
from estimating.sheet_layout.estimate_by_area import Sheet
from estimating.sheet_layout.packing import Size
from estimating.sheet_layout.pieces import Cell, cells
from estimating.sheet_layout.regions import Box, Region, Ring, area, bounds, outlines, shrink
from estimating.sheet_layout.rules import CannotLay, SheetRules
from estimating.sheet_layout.surface import Axis, Corner, Surface, View, region_of, turned, view_of

Start = Literal["centred", "from wall"]

MOST_TILES = 30_000
ROUNDING_NM = 2  # what thirds of a tile, rounded down, may take off one that ends just at a wall
SLIVER = Fraction(1, 3)  # the least share of a tile that may be left on an edge: common practice


@dataclass(frozen=True)
class TileRules:
    """How tile is set.

    - joint_nm, between tiles: 1/8 in (common practice).
    - perimeter_gap_nm, left free at walls: 1/8 in (common practice; the base covers it).
    - kerf_nm, of a wet saw: 1/16 in (from memory).
    - offset: how far each course is moved on, as a share of a tile: 0, 1/2, 1/3 (common practice).
    - reuse_offcuts: whether what is left of a tile may serve once more; then a tile gives two straight
      cut pieces at most, each with an edge from the factory.
    - spare: share bought besides, for breakage and later repairs; none unless asked (5 % of what is
      installed is what Washington State University's standard 09 30 00 asks to be left over).
    """

    joint_nm: int = NM_PER_INCH // 8
    perimeter_gap_nm: int = NM_PER_INCH // 8
    kerf_nm: int = NM_PER_INCH // 16
    offset: Fraction = Fraction(0)
    reuse_offcuts: bool = False
    spare: Fraction = Fraction(0)


COMMON = TileRules()


@dataclass(frozen=True)
class TilePiece:
    """A tile, or part of one, in its place: course and box; `rings` where it is notched."""

    course: int
    x_nm: int
    y_nm: int
    width_nm: int
    height_nm: int
    whole: bool
    rings: tuple[Ring, ...] = ()


@dataclass(frozen=True)
class TileLayout:
    """Tile on a surface. `used` are the tiles that it takes, whole and cut; `slivers`, the pieces that are
    less than a third of a tile in either direction; `joint_nm`, the length of all joints to grout.
    """

    surface: Surface
    tile_nm: tuple[int, int]
    rules: TileRules
    courses_along: Axis
    pieces: tuple[TilePiece, ...]
    used: int
    slivers: int
    tile_nm2: int
    joint_nm: int
    warnings: tuple[str, ...]

    @cached_property
    def whole(self) -> int:
        return sum(piece.whole for piece in self.pieces)

    @property
    def cut(self) -> int:
        return len(self.pieces) - self.whole

    @property
    def to_buy(self) -> int:
        """Tiles used and the spare share, rounded up."""
        return ceil(self.used * (1 + self.rules.spare))

    @property
    def waste(self) -> Fraction:
        """The share of the tiles used that is cut away; what is spare isn't counted."""
        return 1 - Fraction(self.tile_nm2, self.used * self.tile_nm[0] * self.tile_nm[1])


class Trial(NamedTuple):
    """Where tiles start, what each course comes to, and how that is judged."""

    slivers: int
    detour: int  # how far from what was asked: 0 as asked
    used: int
    first_width: int
    firsts: tuple[int, ...]
    cuts: tuple[Cut, ...]


def lay_tiles(
    surface: Surface,
    tile_nm: tuple[int, int],
    rules: TileRules = COMMON,
    *,
    start: Start = "centred",
    along: Axis = "x",
    corner: Corner = "sw",
) -> TileLayout:
    """Lay tile, long sides along `along`.

    "centered" brings a tile or a joint to the middle of the surface each way; "from wall" begins with whole
    tiles at the two walls of `corner`. Where that leaves a piece less than a third of a tile on an edge,
    other starts are tried, and the one with fewest such pieces is taken; then the one nearest to what was
    asked, then with fewest tiles. Raises CannotLay with a plain sentence where there is no layout.
    """
    view = view_of(along, corner)
    ground = _ground(surface, tile_nm, rules, view)
    best = min(_trials(ground, rules, start, _within(surface, view, ground)), key=lambda trial: trial[:3])
    laid = courses(ground, best.first_width)
    shapes = cells(ground, laid, best.firsts)
    return TileLayout(
        surface=surface,
        tile_nm=tile_nm,
        rules=rules,
        courses_along=along,
        pieces=tuple(_piece(ground, view, cell) for cell in shapes),
        used=best.used,
        slivers=best.slivers,
        tile_nm2=sum(area(cell.shape) for cell in shapes),
        joint_nm=strips(ground, laid)[0] + sum(cut.joint_nm for cut in best.cuts),
        warnings=tuple(_warnings(surface, best)),
    )


def _ground(surface: Surface, tile_nm: tuple[int, int], rules: TileRules, view: View) -> Ground:
    long, short = max(tile_nm), min(tile_nm)
    if short <= 0:
        raise CannotLay("A tile needs a length and a width of more than zero.")
    if min(rules.joint_nm, rules.perimeter_gap_nm, rules.kerf_nm, rules.spare) < 0:
        raise CannotLay("Joints, gaps, kerf and spare tile can't be less than zero.")
    if rules.joint_nm >= short:
        raise CannotLay(f"The joint must be less than the tile ({format_length(short)} wide).")
    sheet_rules = SheetRules(rules.joint_nm, rules.perimeter_gap_nm, rules.kerf_nm, 0, 0)
    region = shrink(region_of(surface, view, max(1, short // 2)), rules.perimeter_gap_nm)
    if not region:
        raise CannotLay("The surface has no room for a tile between the gaps along its edges.")
    left, low, right, high = bounds(region)
    if (right - left) * (high - low) > MOST_TILES * long * short:
        raise CannotLay(f"That takes more than {MOST_TILES:,} tiles: check the sizes of surface and tile.")
    return Ground(region, Sheet(long, short, 0), sheet_rules, oblique=not surface.rectilinear)


def _within(surface: Surface, view: View, ground: Ground) -> Box:
    """The box of the surface without its doorways, less the gap along its edges."""
    if not surface.within:
        return ground.box
    xs, ys = zip(*(view.see(turned(point, surface.bearing)) for point in surface.within), strict=True)
    gap = ground.rules.perimeter_gap_nm
    return Box(min(xs) + gap, min(ys) + gap, max(xs) - gap, max(ys) - gap)


def _trials(ground: Ground, rules: TileRules, start: Start, within: Box) -> Iterator[Trial]:
    """Layouts from every start; those that aren't as asked only where the others leave slivers.

    `within` is the box that tile starts from: the ground's, or what it is without its doorways.
    """
    left, low, right, high = within
    gap = rules.joint_nm
    widths = _starts(high - low, ground.short, gap, start, low - ground.box.low)
    pieces = _starts(right - left, ground.long, gap, start, left - ground.box.left)
    known: dict[tuple[Region, int, int], Cut] = {}
    ways = sorted((far + near, width, piece) for (far, width), (near, piece) in product(widths, pieces))
    clean = False
    for detour, width, piece in ways:
        if detour and clean:
            return
        trial = _trial(ground, rules, detour, width, piece, known)
        clean = clean or not trial.slivers
        yield trial


def _starts(span: int, size: int, gap: int, start: Start, before: int) -> list[tuple[int, int]]:
    """What the first tile may show, each with how far it is from what was asked; `before` is how much of the
    ground lies before what they are asked of."""
    period = size + gap
    middle = [(0, (span + size) // 2 % period or period), (0, (span - gap) // 2 % period or period)]
    wall = [(0, size)]
    asked, other = (middle, wall) if start == "centred" else (wall, middle)
    steps = [(2, period * twelfth // 12) for twelfth in range(1, 12)]
    found = [*asked, *((1, first) for _, first in other), *steps]
    return [(far, (first + before) % period or period) for far, first in found] if before else found


def _trial(
    ground: Ground,
    rules: TileRules,
    detour: int,
    width: int,
    piece: int,
    known: dict[tuple[Region, int, int], Cut],
) -> Trial:
    laid = courses(ground, width)
    share, period = rules.offset, ground.period
    moves = (row * period * share.numerator // share.denominator for row in range(len(laid)))
    firsts = tuple((piece + move) % period for move in moves)
    cuts = []
    for course, first in zip(laid, firsts, strict=True):
        key = course.region, course.high - course.low, first
        if key not in known:
            known[key] = cut_course(ground, course, first)
        cuts.append(known[key])
    sizes = [size for cut in cuts for size in cut.sizes]
    slivers = sum(w < SLIVER * ground.long or h < SLIVER * ground.short for w, h in sizes)
    used = sum(cut.pieces for cut in cuts)
    if rules.reuse_offcuts:
        used -= _served_again(ground, sizes, [shape for cut in cuts for shape in cut.notched])
    return Trial(slivers, detour, used, width, firsts, tuple(cuts))


def _served_again(ground: Ground, sizes: Sequence[Size], notched: Sequence[Region]) -> int:
    """How many tiles can be spared because what is left of another serves: the most pairs there can be.

    Only pieces with one straight cut pair, those cut to length with each other and those cut to width.
    """
    boxes = map(bounds, notched)
    straight = Counter(sizes) - Counter((right - left, high - low) for left, low, right, high in boxes)
    to_length = sorted(w for (w, h), count in straight.items() for _ in range(count) if h == ground.short)
    to_width = sorted(h for (w, h), count in straight.items() for _ in range(count) if w == ground.long)
    kerf = ground.rules.kerf_nm
    return _most_pairs(to_length, ground.long - kerf) + _most_pairs(to_width, ground.short - kerf)


def _most_pairs(ordered: Sequence[int], limit: int) -> int:
    """The most pairs whose sums are within the limit: the longest goes with the shortest, or with none."""
    pairs, short, long = 0, 0, len(ordered) - 1
    while short < long:
        if ordered[short] + ordered[long] <= limit:
            pairs += 1
            short += 1
        long -= 1
    return pairs


def _piece(ground: Ground, view: View, cell: Cell) -> TilePiece:
    left, low, right, high = bounds(cell.shape)
    notched = area(cell.shape) < (right - left) * (high - low)
    rings = outlines(cell.shape) if notched else ()
    seen = tuple(tuple(map(view.back, ring)) for ring in rings)
    lacks = max(ground.long - (right - left), ground.short - (high - low))
    whole = not notched and lacks <= ROUNDING_NM
    return TilePiece(cell.course, *view.back_box(left, low, right, high), whole, seen)


def _warnings(surface: Surface, best: Trial) -> Iterator[str]:
    if not surface.rectilinear:
        yield (
            "The surface isn't square-cornered: strips along its longest wall stand for it, so counts and"
            " lengths are approximate."
        )
    if best.slivers:
        pieces = "1 piece is" if best.slivers == 1 else f"{best.slivers} pieces are"
        yield f"{pieces} less than a third of a tile: no start that was tried leaves fewer."
    if best.detour:
        yield "Tile starts elsewhere than asked, so that less than a third of a tile is left on fewer edges."
