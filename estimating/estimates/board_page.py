"""The rows and texts that the pages show of the boards of a work item."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import get_args

from catalog.assemblies.specs import MaterialSpec, with_boards
from catalog.measures.lengths import format_length
from estimating.boards.description import (
    CORNERS,
    DIRECTIONS,
    RULE_WORDS,
    PieceRow,
    SheetCuts,
    against_best,
    bought_in_words,
    cut_sheets,
    on_the_price,
    piece_rows,
    reason_in_words,
    size_takes,
)
from estimating.boards.drawing import layout_svg
from estimating.boards.layout_request import LayoutChoice, LayoutRequest, SurfaceRef
from estimating.boards.layouts import BoardLayout, Boards, assemblies_with_boards, usual_rules
from estimating.boards.results import LayoutFigures
from estimating.estimates.draft import Draft, price_again
from estimating.estimates.work_page import lines_by_key
from estimating.sheet_layout.rules import CannotLay, SheetRules
from estimating.sheet_layout.surface import Axis, Corner
from estimating.sheet_layout.warnings import warnings
from estimating.takeoff.work import ItemQuantities


@dataclass(frozen=True)
class SurfaceRow:
    """One surface of a work item in a list, and the sheets bought for it: None where it can't be laid."""

    layout_request: LayoutRequest
    bought: int | None
    best: bool

    @property
    def name(self) -> str:
        return self.layout_request.name


@dataclass(frozen=True)
class ItemBoards:
    """One board of a work item: its surfaces, and in words how many sheets are bought and why."""

    rows: tuple[SurfaceRow, ...]
    bought: str
    reason: tuple[str, ...]
    problem: str
    buys: bool


@dataclass(frozen=True)
class RuleInForce:
    """A rule as a page shows it; `firm` where the firm follows another rule than the usual one."""

    name: str
    label: str
    value: str
    usual: str
    source: str
    firm: bool


@dataclass(frozen=True)
class OtherStart:
    """What another corner and direction would take."""

    where: str
    sheets: int
    pieces: int
    words: str


@dataclass(frozen=True)
class OtherSize:
    """What another size of the board would take of this work, and how it changes the price."""

    code: str
    name: str
    sheets: int
    takes: str
    words: str
    here: bool


@dataclass(frozen=True)
class BoardPage:
    """A board on one surface: the drawing, the words and the tables."""

    layout_request: LayoutRequest
    board_layout: BoardLayout | None
    problem: str
    svg: str = ""
    butt: str = ""
    long_joint: str = ""
    tapered: bool = False
    bought: str = ""
    reason: tuple[str, ...] = ()
    against: str = ""
    warnings: tuple[str, ...] = ()
    pieces: tuple[PieceRow, ...] = ()
    cuts: tuple[SheetCuts, ...] = ()
    cut_count: int = 0


def quantities_of(draft: Draft, key: str) -> ItemQuantities:
    """Return the quantities of the work item with this key."""
    return next(item for item in draft.take_off.items if item.work.key == key)


def item_boards(quantities: ItemQuantities, metric: bool = False) -> tuple[ItemBoards, ...]:
    """Return the boards of a work item, one entry for each board that it lays.

    Work that buys none of them, such as taping, only measures their joints: nothing is said of buying.
    """
    counted = {
        requirement.use.code
        for requirement in quantities.requirements
        if requirement.calculation.measure == "sheets"
    }
    entries = []
    for boards in quantities.boards.values():
        if not boards.requests:
            continue
        buys = boards.requests[0].board.code in counted
        entries.append(
            ItemBoards(
                rows=tuple(_rows(boards.requests, boards.layouts)),
                bought=bought_in_words(boards.layouts) if boards.layouts and buys else "",
                reason=reason_in_words(boards.layouts, metric) if boards.layouts and buys else (),
                problem=boards.problem,
                buys=buys,
            )
        )
    return tuple(entries)


def _rows(requests: Iterable[LayoutRequest], layouts: Iterable[BoardLayout]) -> Iterator[SurfaceRow]:
    by_surface = {layout.request.surface_ref: layout for layout in layouts}
    for request in requests:
        layout = by_surface.get(request.surface_ref)
        yield SurfaceRow(request, layout.bought if layout else None, layout.best if layout else True)


def layout_request_of(quantities: ItemQuantities, surface_ref: SurfaceRef) -> LayoutRequest | None:
    """Return the request for a board on a surface; None where the work lays none there."""
    requests = (request for boards in quantities.boards.values() for request in boards.requests)
    return next((request for request in requests if request.surface_ref == surface_ref), None)


def board_page(draft: Draft, key: str, request: LayoutRequest, metric: bool, fasteners: bool) -> BoardPage:
    """Return all that the page of one surface shows; a board that can't be laid says why instead."""
    try:
        board_layout = _as_shared(draft, key, request) or draft.boards.layout_for(request)
        layout = board_layout.layout()
    except CannotLay as refusal:
        return BoardPage(request, None, str(refusal))
    figures = board_layout.figures
    return BoardPage(
        layout_request=request,
        board_layout=board_layout,
        problem="",
        svg=layout_svg(layout, request.name, metric, fasteners=fasteners),
        butt=format_length(figures.butt_nm, metric),
        long_joint=format_length(figures.joint_nm - figures.butt_nm, metric),
        tapered=not request.rules.gap_nm,
        bought=bought_in_words([board_layout]),
        reason=reason_in_words([board_layout], metric),
        against=_against_best(draft, key, board_layout),
        warnings=tuple(warnings(layout, metric)),
        pieces=piece_rows(layout, metric, board_layout.shared, board_layout.at),
        cuts=cut_sheets(layout, metric, board_layout.shared, board_layout.at),
        cut_count=layout.cut_count,
    )


def _as_shared(draft: Draft, key: str, request: LayoutRequest) -> BoardLayout | None:
    """Return the layout of a surface with the sheets that it shares; None where the work has none there."""
    layouts = quantities_of(draft, key).board_layouts
    return next((layout for layout in layouts if layout.request == request), None)


def _against_best(draft: Draft, key: str, chosen: BoardLayout) -> str:
    """Return what the choice costs against leaving all to the search; empty where nothing was chosen."""
    surface_ref = chosen.request.surface_ref
    if surface_ref not in draft.boards.choices:
        return ""
    boards = draft.boards.without_choice(surface_ref)
    other = price_again(draft, draft.works, boards)
    line, other_line = lines_by_key(draft)[key], lines_by_key(other)[key]
    return against_best(
        _bought(draft, chosen) - _bought(other, chosen),
        line.material_cost - other_line.material_cost,
        draft.priced.total - other.priced.total,
    )


def _bought(draft: Draft, chosen: BoardLayout) -> int:
    """Return how many sheets of a board are bought for all that shares them."""
    board = chosen.request.board.code
    return sum(layout.bought for layout in draft.board_layouts() if layout.request.board.code == board)


def other_starts(boards: Boards, request: LayoutRequest) -> tuple[OtherStart, ...]:
    """Return what each corner and direction would take by a first answer, the best first.

    A start that can't be laid is left out.
    """
    tried: list[tuple[LayoutFigures, str]] = []
    for corner in get_args(Corner):
        for along in get_args(Axis) if request.rules.may_turn else ("x",):
            other = replace(request, choice=LayoutChoice(corner, along))
            try:
                figures = boards.layout_for(other, effort="first").figures
            except CannotLay:
                continue
            tried.append((figures, f"{CORNERS[corner].capitalize()}, courses {DIRECTIONS[along]}"))
    tried.sort(key=lambda start: (start[0].slivers, start[0].sheets, start[0].pieces, start[0].cuts))
    least = min((figures.sheets for figures, _ in tried), default=0)
    return tuple(
        OtherStart(where, figures.sheets, figures.pieces, _more(figures.sheets - least))
        for figures, where in tried
    )


def other_sizes(
    draft: Draft, key: str, request: LayoutRequest, boards: Iterable[MaterialSpec], metric: bool = False
) -> tuple[OtherSize, ...]:
    """Return what the work would take in each size of its board by a first answer, the cheapest first."""
    ranked = []
    for board in boards:
        other = _in_size(draft, request.board.code, board)
        layouts = [
            layout
            for layout in quantities_of(other, key).board_layouts
            if layout.request.board.code == board.code
        ]
        if not layouts:
            continue
        here = board.code == request.board.code
        size = OtherSize(
            code=board.code,
            name=board.name,
            sheets=sum(layout.bought for layout in layouts),
            takes=size_takes(layouts, metric),
            words="as it is" if here else on_the_price(other.priced.total - draft.priced.total),
            here=here,
        )
        ranked.append((other.priced.total, sum(layout.figures.pieces for layout in layouts), size))
    return tuple(size for *_, size in sorted(ranked, key=lambda entry: entry[:2]))


def _in_size(draft: Draft, code: str, board: MaterialSpec) -> Draft:
    """Return the draft with one of its boards laid in another size."""
    works = [
        replace(work, assembly=with_boards(work.assembly, {code: board})) if work.assembly else work
        for work in draft.works
    ]
    boards = replace(draft.boards, effort="first")
    return price_again(draft, works, boards)


def _more(sheets: int) -> str:
    return "none more" if not sheets else "1 more" if sheets == 1 else f"{sheets} more"


def rules_in_force(
    rules: SheetRules, usual: SheetRules, source: str, metric: bool
) -> tuple[RuleInForce, ...]:
    """Return every rule with where it comes from; `source` is that of the firm's own rules."""
    rows = []
    for name, (label, usual_source) in RULE_WORDS.items():
        value, usual_value = getattr(rules, name), getattr(usual, name)
        firm = value != usual_value
        rule_source = (source or "the firm's own") if firm else usual_source
        rows.append(
            RuleInForce(name, label, _rule(value, metric), _rule(usual_value, metric), rule_source, firm)
        )
    return tuple(rows)


def usual_rules_for(quantities: ItemQuantities, surface_ref: SurfaceRef) -> SheetRules:
    """Return the usual rules of the board on a surface, before the firm's own."""
    codes = {
        code
        for code, boards in quantities.boards.items()
        if any(request.surface_ref == surface_ref for request in boards.requests)
    }
    assembly = quantities.work.assembly
    if assembly is None:
        raise ValueError("Work without an assembly lays no boards.")
    return next(usual_rules(laid) for laid in assemblies_with_boards(assembly) if laid.code in codes)


def _rule(value: int | bool, metric: bool) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return format_length(value, metric)
