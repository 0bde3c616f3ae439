"""The boards of a job: which board lies on which surface, by which rules, and what that comes to.

Pure. A layout is looked for once and remembered; what a key names is always laid the same.
"""

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, fields, replace
from fractions import Fraction
from functools import cached_property, lru_cache
from typing import Literal

from catalog.assemblies.expansion import AssemblySpec, MaterialSpec
from catalog.measures.room_measures import SHEET_MEASURES
from catalog.measures.units import NM_PER_INCH, feet_from_nm
from estimating.boards.surfaces import LAID_MEASURES, RoomSurface, surfaces
from estimating.boards.tile import Start, TileLayout, TileRules, lay_tiles
from estimating.rooms.plan import RoomPlan
from estimating.sheet_layout.estimate_by_area import Sheet
from estimating.sheet_layout.lay import lay
from estimating.sheet_layout.layout import FixedLayout, Layout, Wishes
from estimating.sheet_layout.rules import BACKER_BOARD, DRYWALL_CEILING, DRYWALL_WALL, CannotLay, SheetRules
from estimating.sheet_layout.surface import Axis, Corner, Surface

Effort = Literal["first", "best"]
Place = tuple[str, str, str]  # room, surface, board

EDITION = 3  # one more whenever the same surface would be laid otherwise: what was kept is then left alone


@dataclass(frozen=True)
class Choice:
    """What the installer decided of one board on one surface; None leaves it to the search.

    `extra` sheets are bought besides, one for the one that breaks.
    """

    corner: Corner | None = None
    along: Axis | None = None
    first_width_nm: int | None = None
    first_piece_nm: int | None = None
    extra: int = 0

    @property
    def lays(self) -> bool:
        """Whether it says anything of how the boards lie."""
        return replace(self, extra=0) != FREE


FREE = Choice()


@dataclass(frozen=True)
class Figures:
    """What a layout comes to: counts, lengths in nanometers, areas in square nanometers."""

    sheets: int
    by_area: int
    least: int
    pieces: int
    cut_pieces: int
    from_offcuts: int
    cuts: int
    cut_nm: int
    joint_nm: int
    butt_nm: int
    filler_nm2: int
    fasteners: int
    slivers: int
    area_nm2: int

    @classmethod
    def of(cls, layout: Layout) -> "Figures":
        return cls(
            sheets=layout.sheets,
            by_area=layout.sheets_by_area,
            least=layout.lower_bound,
            pieces=len(layout.pieces),
            cut_pieces=layout.cut_pieces,
            from_offcuts=sum(piece.from_offcut for piece in layout.pieces),
            cuts=layout.cut_count,
            cut_nm=layout.cut_nm,
            joint_nm=layout.joint_nm,
            butt_nm=layout.across_nm,
            filler_nm2=layout.gap_nm2,
            fasteners=layout.fastener_count,
            slivers=layout.slivers,
            area_nm2=layout.area_nm2,
        )


@dataclass(frozen=True)
class Found:
    """A layout that was found: what lays it again, and what it comes to."""

    told: FixedLayout
    figures: Figures


@dataclass(frozen=True)
class Laying:
    """One board to be laid on one surface of a room."""

    room: str
    room_name: str
    on: RoomSurface
    board: MaterialSpec
    sheet: Sheet
    rules: SheetRules
    choice: Choice

    @property
    def place(self) -> Place:
        return self.room, self.on.code, self.board.code

    @property
    def name(self) -> str:
        return f"{self.room_name}, {self.on.name[0].lower()}{self.on.name[1:]}"

    @property
    def wishes(self) -> Wishes:
        """The choice as the search takes it. Boards on walls begin at the top unless he says otherwise, so
        that the cut edge is at the floor (common practice)."""
        choice, upright = self.choice, self.on.code not in ("floor", "ceiling")
        corner = choice.corner or ("nw" if upright else "sw")
        return Wishes(choice.along, corner, choice.first_width_nm, choice.first_piece_nm)

    @cached_property
    def key(self) -> str:
        """Names all that the layout depends on."""
        said = repr(
            (EDITION, self.on.surface.ring, self.on.surface.holes, self.sheet, self.rules, self.wishes)
        )
        return hashlib.sha256(said.encode()).hexdigest()

    @property
    def left_free(self) -> "Laying":
        """The same, all left to the search."""
        return replace(self, choice=FREE)


@dataclass(frozen=True)
class Laid:
    """A board laid on a surface. `best` is False for a first answer, which a longer search may better."""

    laying: Laying
    found: Found
    best: bool

    @property
    def figures(self) -> Figures:
        return self.found.figures

    @property
    def bought(self) -> int:
        return self.figures.sheets + self.laying.choice.extra

    def layout(self) -> Layout:
        """The layout itself, drawn again from what tells it."""
        return redrawn(self.laying.on.surface, self.laying.sheet, self.laying.rules, self.found.told)

    def measures(self) -> dict[str, Fraction]:
        """The sheet measures in their units, as a layout gives them, with the sheets bought besides."""
        figures, thickness = self.figures, self.laying.sheet.thickness_nm
        measures = {
            "sheets": Fraction(self.bought),
            "cut_pieces": Fraction(figures.cut_pieces),
            "joint": feet_from_nm(figures.joint_nm),
            "butt_joint": feet_from_nm(figures.butt_nm),
            "tapered_joint": feet_from_nm(figures.joint_nm - figures.butt_nm),
            "fasteners": Fraction(figures.fasteners),
        }
        if thickness:
            measures["joint_volume"] = Fraction(figures.filler_nm2 * thickness, NM_PER_INCH**3)
        return measures


@dataclass(frozen=True)
class AssemblyBoards:
    """The boards that one assembly lays in one work item; `problem` says why none could be."""

    layings: tuple[Laying, ...] = ()
    laid: tuple[Laid, ...] = ()
    problem: str = ""

    def measures(self) -> dict[str, Fraction]:
        """The sheet measures of all its surfaces together; noughts where nothing is left to cover."""
        if not self.laid:
            return dict.fromkeys(SHEET_MEASURES, Fraction(0))
        sums: dict[str, Fraction] = {}
        for each in self.laid:
            for code, amount in each.measures().items():
                sums[code] = sums.get(code, Fraction(0)) + amount
        return sums


@dataclass(frozen=True)
class Boards:
    """How a firm lays boards in a job: its own rules by board, choices by place, and layouts found before.

    `effort` is how far to look where no layout is known: "first" takes a tenth of the time of "best".
    """

    rules: Mapping[str, Mapping[str, int | bool]] = field(default_factory=dict)
    choices: Mapping[Place, Choice] = field(default_factory=dict)
    known: Mapping[str, Found] = field(default_factory=dict)
    effort: Effort = "best"

    def without(self, place: Place) -> "Boards":
        """The same with one place left to the search."""
        return replace(self, choices={each: choice for each, choice in self.choices.items() if each != place})

    def rules_for(self, assembly: AssemblySpec) -> SheetRules:
        """The rules of the assembly's board: those of its kind, with what the firm says instead."""
        own = self.rules.get(assembly.board.code, {}) if assembly.board else {}
        return replace(usual_rules(assembly), **own)

    def lay(
        self,
        assembly: AssemblySpec,
        rooms: Mapping[str, RoomPlan],
        uses: tuple[tuple[str, frozenset[int] | None], ...],
        cabinets_hide_walls: bool = False,
    ) -> AssemblyBoards:
        """Lay the assembly's board on the surfaces of these rooms and walls, each surface on its own."""
        layings = tuple(self._layings(assembly, rooms, uses, cabinets_hide_walls))
        laid = []
        for laying in layings:
            try:
                laid.append(self.look(laying))
            except CannotLay as refusal:
                return AssemblyBoards(layings, problem=f"{laying.name}: {refusal}")
        return AssemblyBoards(layings, tuple(laid))

    def look(self, laying: Laying, effort: Effort | None = None) -> Laid:
        """What is known of a laying, else what is found. Raises CannotLay."""
        effort = effort or self.effort
        if laying.key in self.known:
            return Laid(laying, self.known[laying.key], best=True)
        layout = searched(laying.on.surface, laying.sheet, laying.rules, laying.wishes, effort)
        return Laid(laying, Found(layout.told, Figures.of(layout)), best=effort == "best")

    def _layings(
        self,
        assembly: AssemblySpec,
        rooms: Mapping[str, RoomPlan],
        uses: tuple[tuple[str, frozenset[int] | None], ...],
        cabinets_hide_walls: bool,
    ) -> Iterator[Laying]:
        board, rules = assembly.board, self.rules_for(assembly)
        size = board.sheet
        sheet = Sheet(size.length_nm, size.width_nm, size.thickness_nm)
        for room, walls in uses:
            for on in surfaces(rooms[room], assembly.measure, walls, cabinets_hide_walls):
                choice = self.choices.get((room, on.code, board.code), FREE)
                yield Laying(room, rooms[room].name, on, board, sheet, rules, choice)


LAID_AFRESH = Boards()


def boards_in(assembly: AssemblySpec) -> Iterator[AssemblySpec]:
    """The assembly and all nested in it, as far as they lay a board of known size on a surface.

    What is counted by area is tile: it is laid another way.
    """
    board = assembly.board
    if board and board.sheet and not is_tile(board) and assembly.measure in LAID_MEASURES:
        yield assembly
    for component in assembly.components:
        if isinstance(component.use, AssemblySpec):
            yield from boards_in(component.use)


def is_tile(board: MaterialSpec) -> bool:
    return board.unit == "sq ft"


def usual_rules(assembly: AssemblySpec) -> SheetRules:
    """The rules of a kind of board: those of cement board on a floor and wherever joints are filled; else,
    on walls and ceilings, those of drywall."""
    fills_joints = any(each.scales_with == "joint_volume" for each in assembly.components)
    if assembly.measure == "floor" or fills_joints:
        return BACKER_BOARD
    return DRYWALL_CEILING if assembly.measure == "ceiling" else DRYWALL_WALL


@dataclass(frozen=True)
class TileWish:
    """How tile is to start, and how it is set."""

    start: Start = "centred"
    along: Axis = "x"
    corner: Corner = "sw"
    rules: TileRules = TileRules()


@lru_cache(maxsize=64)
def tiled(surface: Surface, tile_nm: tuple[int, int], wish: TileWish) -> TileLayout:
    """Tile laid as wished, remembered. Raises CannotLay."""
    return lay_tiles(surface, tile_nm, wish.rules, start=wish.start, along=wish.along, corner=wish.corner)


@lru_cache(maxsize=256)
def searched(surface: Surface, sheet: Sheet, rules: SheetRules, wishes: Wishes, effort: Effort) -> Layout:
    """The layout that the search finds, remembered. Raises CannotLay."""
    return lay(surface, sheet, rules, wishes=wishes, effort=effort)


@lru_cache(maxsize=64)
def redrawn(surface: Surface, sheet: Sheet, rules: SheetRules, told: FixedLayout) -> Layout:
    """A layout drawn again from what tells it, remembered. Raises CannotLay."""
    return lay(surface, sheet, rules, fixed=told)


def to_plain(found: Found) -> dict[str, object]:
    """A layout that was found, as JSON can keep it."""
    told = found.told
    return {
        "along": told.courses_along,
        "first_width_nm": told.first_width_nm,
        "first_pieces_nm": list(told.first_pieces_nm),
        "corner": told.corner,
        "figures": {each.name: getattr(found.figures, each.name) for each in fields(Figures)},
    }


def from_plain(kept: Mapping[str, object]) -> Found | None:
    """None where it was kept by an older edition, with other figures."""
    if kept["figures"].keys() != {each.name for each in fields(Figures)}:
        return None
    told = FixedLayout(kept["along"], kept["first_width_nm"], tuple(kept["first_pieces_nm"]), kept["corner"])
    return Found(told, Figures(**kept["figures"]))
