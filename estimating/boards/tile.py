"""Tile laid on a surface: whole and cut tiles, how many to buy, and the waste that cutting really makes.

Tile lies in the same courses and cells as sheets, with each course shifted by a share of a tile. Lengths are
whole nanometers.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from itertools import product
from math import ceil
from typing import Literal, NamedTuple

from catalog.assemblies.specs import MaterialSpec
from catalog.measures.lengths import NM_PER_INCH, format_length
from estimating.sheet_layout.courses import Cut, Ground, courses, cut_course, strips
from estimating.sheet_layout.estimate_by_area import Sheet
from estimating.sheet_layout.packing import Size
from estimating.sheet_layout.pieces import Cell, cells
from estimating.sheet_layout.regions import Box, Region, Ring, area, bounds, outlines, shrink
from estimating.sheet_layout.rules import CannotLay, SheetRules
from estimating.sheet_layout.surface import Axis, Corner, Surface, View, region_of, turned, view_of

TilePattern = Literal["straight", "diagonal", "herringbone", "herringbone-45"]
TileStart = Literal["centred", "from wall", "from below"]

MOST_TILES = 30_000
ROUNDING_NM = 2  # how much shorter thirds of a tile, rounded down, may leave a tile that ends at a wall
SLIVER = Fraction(1, 3)  # the smallest share of a tile to leave on an edge: common practice


@dataclass(frozen=True)
class TileRules:
    """How tile is set.

    - joint_nm: the joint between tiles, 1/8 in (common practice).
    - perimeter_gap_nm: the gap left at walls, 1/8 in (common practice; the base covers it).
    - kerf_nm: what a wet saw takes away, 1/16 in (from memory).
    - offset: how far each course is shifted, as a share of a tile: 0, 1/2, 1/3 (common practice).
    - pattern: a grid or courses along the walls; a grid at 45 degrees; herringbone with its tiles along the
      walls, or at 45 degrees to them. `offset` counts in courses along the walls alone.
    - reuse_offcuts: whether the rest of a cut tile may be used once more. A tile then gives at most two
      pieces with one straight cut, each with a factory edge.
    - spare: the share bought on top, for breakage and later repairs; none unless asked (Washington State
      University's standard 09 30 00 asks for 5 % of what is installed to be left over).
    """

    joint_nm: int = NM_PER_INCH // 8
    perimeter_gap_nm: int = NM_PER_INCH // 8
    kerf_nm: int = NM_PER_INCH // 16
    offset: Fraction = Fraction(0)
    reuse_offcuts: bool = False
    spare: Fraction = Fraction(0)
    pattern: TilePattern = "straight"


COMMON = TileRules()


@dataclass(frozen=True)
class TilePiece:
    """A tile or part of a tile where it lies: its course and its box; `rings` are set where it is notched.

    Of a tile at 45 degrees `rings` are always set, and width and height are along its own sides.
    """

    course: int
    x_nm: int
    y_nm: int
    width_nm: int
    height_nm: int
    whole: bool
    rings: tuple[Ring, ...] = ()


@dataclass(frozen=True)
class TileLayout:
    """Tile on a surface.

    `used` counts the tiles that it takes, whole and cut; `slivers` counts the pieces that are less than a
    third of a tile in either direction; `joint_nm` is the length of all joints to grout.
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
    upright: bool = False  # whether it was laid from below
    moved: bool = False  # whether a pattern is moved out of the middle

    @cached_property
    def whole(self) -> int:
        return sum(piece.whole for piece in self.pieces)

    @property
    def slanting(self) -> bool:
        """Whether its tiles lie at 45 degrees to the walls."""
        return self.rules.pattern in ("diagonal", "herringbone-45")

    @property
    def cut(self) -> int:
        return len(self.pieces) - self.whole

    @property
    def to_buy(self) -> int:
        """Tiles used plus the spare share, rounded up."""
        return ceil(self.used * (1 + self.rules.spare))

    @property
    def waste(self) -> Fraction:
        """The share of the used tiles that is cut away; spare tiles don't count."""
        return 1 - Fraction(self.tile_nm2, self.used * self.tile_nm[0] * self.tile_nm[1])


@dataclass(frozen=True)
class TilePreferences:
    """Where tile is to start, which way it runs, and how it is set."""

    start: TileStart = "centred"
    along: Axis = "x"
    corner: Corner = "sw"
    rules: TileRules = COMMON


def is_tile(board: MaterialSpec) -> bool:
    """Return whether a material with a sheet size is tile: tile is counted by area."""
    return board.unit == "sq ft"


class TileTrial(NamedTuple):
    """One start that is tried: what each course comes to, and what trials are compared by."""

    slivers: int
    detour: int  # how far the start is from what was asked; 0 for what was asked
    used: int
    first_width: int
    firsts: tuple[int, ...]
    cuts: tuple[Cut, ...]


def lay_tiles(
    surface: Surface,
    tile_nm: tuple[int, int],
    rules: TileRules = COMMON,
    *,
    start: TileStart = "centred",
    along: Axis = "x",
    corner: Corner = "sw",
) -> TileLayout:
    """Lay tile on a surface, with its long sides along `along`.

    "centred" brings a tile or a joint to the middle of the surface each way; "from wall" begins with whole
    tiles at the two walls of `corner`; "from below", for what stands upright, is centered across and begins
    with whole tiles at its foot (common practice: on the counter or the tub). Where that leaves less than a
    third of a tile on an edge, other starts are tried. The trial with the fewest such pieces wins; among
    equals the one nearest to what was asked, then the one with the fewest tiles. Raises CannotLay with a
    plain sentence where there is no layout.
    """
    view = view_of(along, corner)
    ground = ground_of(surface, tile_nm, rules, view)
    starts = (start, start)
    if start == "from below":
        starts = ("from wall", "centred") if along == "x" else ("centred", "from wall")
    trials = _trials(ground, rules, starts, start_box(surface, view, ground))
    best = min(trials, key=lambda trial: (trial.slivers, trial.detour, trial.used))
    rows = courses(ground, best.first_width)
    shapes = cells(ground, rows, best.firsts)
    return TileLayout(
        surface=surface,
        tile_nm=tile_nm,
        rules=rules,
        courses_along=along,
        pieces=tuple(_piece(ground, view, cell) for cell in shapes),
        used=best.used,
        slivers=best.slivers,
        tile_nm2=sum(area(cell.shape) for cell in shapes),
        joint_nm=strips(ground, rows)[0] + sum(cut.joint_nm for cut in best.cuts),
        warnings=tuple(_warnings(surface, best)),
        upright=start == "from below",
    )


def ground_of(surface: Surface, tile_nm: tuple[int, int], rules: TileRules, view: View) -> Ground:
    """Return the ground that the tile covers. Raises CannotLay where the sizes can't be."""
    long, short = max(tile_nm), min(tile_nm)
    if short <= 0:
        raise CannotLay("A tile needs a length and a width of more than zero.")
    if min(rules.joint_nm, rules.perimeter_gap_nm, rules.kerf_nm) < 0 or rules.spare < 0:
        raise CannotLay("Joints, gaps, kerf and attic stock can't be less than zero.")
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


def start_box(surface: Surface, view: View, ground: Ground) -> Box:
    """Return the box that tile starts from: the surface without its doorways, less the gap at its edges."""
    if not surface.within:
        return ground.box
    xs, ys = zip(*(view.see(turned(point, surface.bearing)) for point in surface.within), strict=True)
    gap = ground.rules.perimeter_gap_nm
    return Box(min(xs) + gap, min(ys) + gap, max(xs) - gap, max(ys) - gap)


def _trials(
    ground: Ground, rules: TileRules, start: tuple[TileStart, TileStart], start_box: Box
) -> Iterator[TileTrial]:
    """Yield a trial for every start; starts that weren't asked for only while all others leave slivers.

    `start` says how the courses start, and how the tiles in a course.
    """
    left, low, right, high = start_box
    gap = rules.joint_nm
    widths = _starts(high - low, ground.short, gap, start[0], low - ground.box.low)
    pieces = _starts(right - left, ground.long, gap, start[1], left - ground.box.left)
    known: dict[tuple[Region, int, int], Cut] = {}
    starts = sorted(
        (width_detour + piece_detour, width, piece)
        for (width_detour, width), (piece_detour, piece) in product(widths, pieces)
    )
    clean = False
    for detour, width, piece in starts:
        if detour and clean:
            return
        trial = _trial(ground, rules, detour, width, piece, known)
        clean = clean or not trial.slivers
        yield trial


def _starts(span: int, size: int, gap: int, start: TileStart, before: int) -> list[tuple[int, int]]:
    """Return how much the first tile may show, each size after its detour from what was asked.

    `before` is the length of ground that lies before the box that tile starts from.
    """
    period = size + gap
    middle = [(0, (span + size) // 2 % period or period), (0, (span - gap) // 2 % period or period)]
    wall = [(0, size)]
    asked, other = (middle, wall) if start == "centred" else (wall, middle)
    steps = [(2, period * twelfth // 12) for twelfth in range(1, 12)]
    starts = [*asked, *((1, first) for _, first in other), *steps]
    if not before:
        return starts
    return [(detour, (first + before) % period or period) for detour, first in starts]


def _trial(
    ground: Ground,
    rules: TileRules,
    detour: int,
    width: int,
    piece: int,
    known: dict[tuple[Region, int, int], Cut],
) -> TileTrial:
    rows = courses(ground, width)
    share, period = rules.offset, ground.period
    shifts = (row * period * share.numerator // share.denominator for row in range(len(rows)))
    firsts = tuple((piece + shift) % period for shift in shifts)
    cuts = []
    for course, first in zip(rows, firsts, strict=True):
        key = course.region, course.high - course.low, first
        if key not in known:
            known[key] = cut_course(ground, course, first)
        cuts.append(known[key])
    sizes = [size for cut in cuts for size in cut.sizes]
    slivers = sum(length < SLIVER * ground.long or height < SLIVER * ground.short for length, height in sizes)
    used = sum(cut.pieces for cut in cuts)
    if rules.reuse_offcuts:
        used -= _tiles_saved(ground, sizes, [shape for cut in cuts for shape in cut.notched])
    return TileTrial(slivers, detour, used, width, firsts, tuple(cuts))


def _tiles_saved(ground: Ground, sizes: Sequence[Size], notched: Sequence[Region]) -> int:
    """Return how many tiles the offcuts save: the most pairs of pieces that one tile gives both of.

    Only pieces with one straight cut pair up: those cut to length with each other, and those cut to width.
    """
    boxes = map(bounds, notched)
    straight = Counter(sizes) - Counter((right - left, high - low) for left, low, right, high in boxes)
    pieces = list(straight.elements())
    to_length = sorted(length for length, height in pieces if height == ground.short)
    to_width = sorted(height for length, height in pieces if length == ground.long)
    kerf = ground.rules.kerf_nm
    return most_pairs(to_length, ground.long - kerf) + most_pairs(to_width, ground.short - kerf)


def most_pairs(ordered: Sequence[int], limit: int) -> int:
    """Return the most pairs whose sums are within the limit: the longest goes with the shortest, or alone."""
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
    on_surface = tuple(tuple(map(view.back, ring)) for ring in rings)
    missing = max(ground.long - (right - left), ground.short - (high - low))
    whole = not notched and missing <= ROUNDING_NM
    return TilePiece(cell.course, *view.back_box(left, low, right, high), whole, on_surface)


def _warnings(surface: Surface, best: TileTrial) -> Iterator[str]:
    if surface.level and not surface.rectilinear:
        yield (
            "The top slants: tile is laid over it in steps, to be cut along the slant, so counts hold and"
            " lengths are approximate."
        )
    elif not surface.rectilinear:
        yield (
            "The surface isn't square-cornered: strips along its longest wall stand for it, so counts and"
            " lengths are approximate."
        )
    if best.slivers:
        pieces = "1 piece is" if best.slivers == 1 else f"{best.slivers} pieces are"
        yield f"{pieces} less than a third of a tile: no start that was tried leaves fewer."
    if best.detour:
        yield "Tile starts elsewhere than asked, so that less than a third of a tile is left on fewer edges."
