"""The boards of a job: which board goes on which surface, by which rules, and what that comes to.

A layout is searched for once and remembered by its key; one key always gives the same layout.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, fields, replace
from fractions import Fraction
from functools import lru_cache
from typing import Literal

from catalog.assemblies.specs import AssemblySpec
from catalog.measures.lengths import NM_PER_INCH, feet_from_nm
from catalog.measures.room_measures import SHEET_MEASURES
from estimating.boards.layout_request import NO_CHOICE, LayoutChoice, LayoutRequest, SurfaceRef
from estimating.boards.results import LayoutFigures, LayoutResult
from estimating.boards.shared_sheets import SharedSheets, Shares, searched_shares, sharing_key
from estimating.boards.surfaces import SURFACE_MEASURES, surfaces
from estimating.boards.tile import is_tile
from estimating.rooms.plan import RoomPlan
from estimating.sheet_layout.estimate_by_area import AreaRules, Sheet
from estimating.sheet_layout.lay import lay
from estimating.sheet_layout.layout import FixedLayout, Layout, LayoutPreferences
from estimating.sheet_layout.rules import BACKER_BOARD, DRYWALL_CEILING, DRYWALL_WALL, CannotLay, SheetRules
from estimating.sheet_layout.surface import Surface

Effort = Literal["first", "best"]


@dataclass(frozen=True)
class OwnRules:
    """The rules that a firm sets for a board, named as in SheetRules; None keeps the usual rule."""

    gap_nm: int | None = None
    perimeter_gap_nm: int | None = None
    kerf_nm: int | None = None
    min_offset_nm: int | None = None
    min_piece_nm: int | None = None
    fastener_spacing_nm: int | None = None
    edge_nm: int | None = None
    corner_clear_nm: int | None = None
    may_turn: bool | None = None

    def instead_of(self, usual: SheetRules) -> SheetRules:
        """Return the usual rules with the firm's own in their place."""
        values = {rule.name: getattr(self, rule.name) for rule in fields(self)}
        return replace(usual, **{name: value for name, value in values.items() if value is not None})


@dataclass(frozen=True)
class BoardLayout:
    """A board laid on a surface. `best` is False for a first answer, which a longer search may improve.

    Where its sheets are shared with other surfaces, `shared` says how, and this one is number `at` of them;
    `own` is then the layout that it has by itself, which `result` may differ from to spare a sheet.
    """

    request: LayoutRequest
    result: LayoutResult
    best: bool
    shared: SharedSheets | None = None
    at: int = 0
    own: LayoutResult | None = None

    @property
    def figures(self) -> LayoutFigures:
        return self.result.figures

    @property
    def bought(self) -> int:
        """Sheets to buy: those that are begun on this surface, and the extra ones."""
        return self.sheets + self.request.choice.extra

    @property
    def sheets(self) -> int:
        return self.shared.begun[self.at] if self.shared else self.figures.sheets

    @property
    def from_offcuts(self) -> int:
        return self.shared.from_offcuts[self.at] if self.shared else self.figures.from_offcuts

    def layout(self) -> Layout:
        """Return the layout itself, drawn again from its result, with the sheets that it shares."""
        request = self.request
        layout = redrawn(request.room_surface.surface, request.sheet, request.rules, self.result.given)
        return self.shared.drawn(layout, self.at) if self.shared else layout

    def measures(self) -> dict[str, Fraction]:
        """Return the sheet measures in their units, as the layout gives them, with the extra sheets."""
        figures, thickness = self.figures, self.request.sheet.thickness_nm
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
    """The boards of one assembly in one work item; `problem` says why they could not be laid."""

    requests: tuple[LayoutRequest, ...] = ()
    layouts: tuple[BoardLayout, ...] = ()
    problem: str = ""

    def measures(self) -> dict[str, Fraction]:
        """Return the sheet measures summed over all surfaces; zeros where nothing is left to cover."""
        if not self.layouts:
            return dict.fromkeys(SHEET_MEASURES, Fraction(0))
        sums: dict[str, Fraction] = {}
        for layout in self.layouts:
            for code, amount in layout.measures().items():
                sums[code] = sums.get(code, Fraction(0)) + amount
        return sums


@dataclass(frozen=True)
class Boards:
    """How boards are laid in a job: the firm's own rules, the installer's choices, the layouts found so far.

    `rules` go by the code of the board, `known` results by the key of their request, `known_shares` by that
    of all requests whose sheets are shared. `effort` is how far to
    search where no layout is known: "first" takes a tenth of the time of "best".
    """

    rules: Mapping[str, OwnRules] = field(default_factory=dict)
    choices: Mapping[SurfaceRef, LayoutChoice] = field(default_factory=dict)
    known: Mapping[str, LayoutResult] = field(default_factory=dict)
    known_shares: Mapping[str, Shares] = field(default_factory=dict)
    effort: Effort = "best"

    def without_choice(self, surface_ref: SurfaceRef) -> "Boards":
        """Return the same with one surface left to the search."""
        others = {ref: choice for ref, choice in self.choices.items() if ref != surface_ref}
        return replace(self, choices=others)

    def rules_for(self, assembly: AssemblySpec) -> SheetRules:
        """Return the usual rules for the assembly's board, with the firm's own in their place."""
        usual = usual_rules(assembly)
        own = self.rules.get(assembly.board.code) if assembly.board else None
        return own.instead_of(usual) if own else usual

    def area_rules_for(self, assembly: AssemblySpec) -> AreaRules:
        """Return the same rules as an estimate by area takes them."""
        rules = self.rules_for(assembly)
        return AreaRules(rules.gap_nm, rules.fastener_spacing_nm, rules.row_spacing_nm, rules.edge_nm)

    def lay(
        self,
        assembly: AssemblySpec,
        rooms: Mapping[str, RoomPlan],
        uses: tuple[tuple[str, frozenset[int] | None], ...],
        cabinets_hide_walls: bool = False,
    ) -> AssemblyBoards:
        """Lay the assembly's board on the surfaces of these rooms and walls; sheets are shared afterwards.

        `uses` pairs the key of a room with the indexes of its walls, None for all. A surface that can't be
        laid becomes the `problem` of the whole.
        """
        requests = tuple(self._requests(assembly, rooms, uses, cabinets_hide_walls))
        layouts = []
        for request in requests:
            try:
                layouts.append(self.layout_for(request))
            except CannotLay as refusal:
                return AssemblyBoards(requests, problem=f"{request.name}: {refusal}")
        return AssemblyBoards(requests, tuple(layouts))

    def layout_for(self, request: LayoutRequest, effort: Effort | None = None) -> BoardLayout:
        """Return the layout that is known for a request, or else search for one. Raises CannotLay."""
        effort = effort or self.effort
        if request.key in self.known:
            return BoardLayout(request, self.known[request.key], best=True)
        surface = request.room_surface.surface
        layout = optimized(surface, request.sheet, request.rules, request.preferences, effort)
        return BoardLayout(request, LayoutResult.of(layout), best=effort == "best")

    def share(self, layouts: Sequence[BoardLayout]) -> list[BoardLayout]:
        """Return the layouts of one board with their sheets cut for all of them together.

        Ceilings are hung first, then walls, then floors are laid; an offcut serves what comes after the
        piece beside which it fell.
        """
        order = sorted(range(len(layouts)), key=lambda at: _hanging_order(layouts[at].request))
        inside = tuple((layouts[at].request, layouts[at].own or layouts[at].result) for at in order)
        requests = tuple(request for request, _ in inside)
        key, laid_best = sharing_key(requests), all(layout.best for layout in layouts)
        shares = self.known_shares.get(key) if laid_best else None
        # One surface by itself is cut at best at once.
        best = bool(shares) or (laid_best and (self.effort == "best" or len(inside) == 1))
        shares = shares or searched_shares(inside, "best" if best else "first")
        results = tuple(shares.instead.get(at, result) for at, (_, result) in enumerate(inside))
        shared = SharedSheets(key, requests, results, shares, best)
        placed = {
            at: replace(layouts[at], result=results[number], shared=shared, at=number, own=inside[number][1])
            for number, at in enumerate(order)
        }
        return [placed[at] for at in range(len(layouts))]

    def _requests(
        self,
        assembly: AssemblySpec,
        rooms: Mapping[str, RoomPlan],
        uses: tuple[tuple[str, frozenset[int] | None], ...],
        cabinets_hide_walls: bool,
    ) -> Iterator[LayoutRequest]:
        board, rules = assembly.board, self.rules_for(assembly)
        if board is None or board.sheet is None:
            return
        size = board.sheet
        sheet = Sheet(size.length_nm, size.width_nm, size.thickness_nm)
        for room, walls in uses:
            for room_surface in surfaces(rooms[room], assembly.measure, walls, cabinets_hide_walls):
                surface_ref = SurfaceRef(room, room_surface.code, board.code)
                choice = self.choices.get(surface_ref, NO_CHOICE)
                yield LayoutRequest(room, rooms[room].name, room_surface, board, sheet, rules, choice)


DEFAULT_BOARDS = Boards()


def assemblies_with_boards(assembly: AssemblySpec) -> Iterator[AssemblySpec]:
    """Yield the assembly and those nested in it that lay a board of known size on a surface.

    A board that is counted by area is tile, which is laid another way.
    """
    board = assembly.board
    if board and board.sheet and not is_tile(board) and assembly.measure in SURFACE_MEASURES:
        yield assembly
    for component in assembly.components:
        if isinstance(component.use, AssemblySpec):
            yield from assemblies_with_boards(component.use)


def usual_rules(assembly: AssemblySpec) -> SheetRules:
    """Return the usual rules for the kind of board that an assembly lays.

    Cement board is assumed on a floor and wherever joints are filled, drywall on all other walls and
    ceilings.
    """
    fills_joints = any(component.scales_with == "joint_volume" for component in assembly.components)
    if assembly.measure == "floor" or fills_joints:
        return BACKER_BOARD
    return DRYWALL_CEILING if assembly.measure == "ceiling" else DRYWALL_WALL


@lru_cache(maxsize=256)
def optimized(
    surface: Surface, sheet: Sheet, rules: SheetRules, preferences: LayoutPreferences, effort: Effort
) -> Layout:
    """Return the layout that the search finds, remembered. Raises CannotLay."""
    return lay(surface, sheet, rules, preferences=preferences, effort=effort)


@lru_cache(maxsize=64)
def redrawn(surface: Surface, sheet: Sheet, rules: SheetRules, given: FixedLayout) -> Layout:
    """Return the layout drawn exactly as given, remembered. Raises CannotLay."""
    return lay(surface, sheet, rules, fixed=given)


def _hanging_order(request: LayoutRequest) -> int:
    """Return when a surface is covered: ceilings, then what stands upright, then floors."""
    surface = request.room_surface
    return 1 if surface.is_wall else 2 if surface.code.startswith("floor") else 0
