"""What the pages and the cut sheet show of the boards of a work item: plain rows, ready to be printed."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import get_args

from catalog.assemblies.expansion import AssemblySpec, MaterialSpec, with_boards
from catalog.measures.units import format_length
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
from estimating.boards.layouts import Boards, Choice, Laid, Laying, Place, usual_rules
from estimating.estimates.draft import Draft, work_out
from estimating.estimates.work_page import lines_by_key
from estimating.sheet_layout.rules import CannotLay, SheetRules
from estimating.sheet_layout.surface import Axis, Corner
from estimating.sheet_layout.warnings import warnings
from estimating.takeoff.takeoff import Taken


@dataclass(frozen=True)
class SurfaceRow:
    """One surface of a work item in a list: where its page is, and what is bought for it."""

    laying: Laying
    bought: int | None
    best: bool

    @property
    def name(self) -> str:
        return self.laying.name


@dataclass(frozen=True)
class ItemBoards:
    """The boards of a work item: its surfaces, and in words how many are bought and why."""

    rows: tuple[SurfaceRow, ...]
    bought: str
    reason: tuple[str, ...]
    problem: str
    buys: bool


@dataclass(frozen=True)
class RuleInForce:
    """A rule as a page says it: `firm` where the firm follows another than the usual one."""

    name: str
    label: str
    value: str
    usual: str
    source: str
    firm: bool


@dataclass(frozen=True)
class Start:
    """What another start would take."""

    where: str
    sheets: int
    pieces: int
    words: str


@dataclass(frozen=True)
class Size:
    """What another size of the board would take of this work, and what it does to the price."""

    code: str
    name: str
    sheets: int
    takes: str
    words: str
    here: bool


@dataclass(frozen=True)
class BoardPage:
    """A board on one surface: the drawing, the words and the tables."""

    laying: Laying
    laid: Laid | None
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


def taken_of(draft: Draft, key: str) -> Taken:
    return next(each for each in draft.take_off.taken if each.work.key == key)


def item_boards(taken: Taken, metric: bool = False) -> tuple[ItemBoards, ...]:
    """The boards of a work item, one for each board that it lays.

    Work that buys none of them, such as taping, only measures their joints: nothing is said of buying.
    """
    counted = {each.use.code for each in taken.requirements if each.working.measure == "sheets"}
    return tuple(
        ItemBoards(
            rows=tuple(_rows(boards.layings, boards.laid)),
            bought=bought_in_words(boards.laid) if boards.laid and buys else "",
            reason=reason_in_words(boards.laid, metric) if boards.laid and buys else (),
            problem=boards.problem,
            buys=buys,
        )
        for boards in taken.boards.values()
        for buys in [boards.layings and boards.layings[0].board.code in counted]
        if boards.layings
    )


def _rows(layings: tuple[Laying, ...], laid: tuple[Laid, ...]) -> Iterator[SurfaceRow]:
    found = {each.laying.place: each for each in laid}
    for laying in layings:
        one = found.get(laying.place)
        yield SurfaceRow(laying, one.bought if one else None, one.best if one else True)


def laying_of(taken: Taken, place: Place) -> Laying | None:
    """The board at a place; None where the work lays none there."""
    layings = (laying for boards in taken.boards.values() for laying in boards.layings)
    return next((laying for laying in layings if laying.place == place), None)


def board_page(draft: Draft, key: str, laying: Laying, metric: bool, fasteners: bool) -> BoardPage:
    """All that the page of one surface shows; a board that can't be laid says why instead."""
    try:
        laid = draft.boards.look(laying)
        layout = laid.layout()
    except CannotLay as refusal:
        return BoardPage(laying, None, str(refusal))
    return BoardPage(
        laying=laying,
        laid=laid,
        problem="",
        svg=layout_svg(layout, laying.name, metric, fasteners=fasteners),
        butt=format_length(laid.figures.butt_nm, metric),
        long_joint=format_length(laid.figures.joint_nm - laid.figures.butt_nm, metric),
        tapered=not laying.rules.gap_nm,
        bought=bought_in_words([laid]),
        reason=reason_in_words([laid], metric),
        against=_against_best(draft, key, laid),
        warnings=tuple(warnings(layout, metric)),
        pieces=piece_rows(layout, metric),
        cuts=cut_sheets(layout, metric),
    )


def _against_best(draft: Draft, key: str, laid: Laid) -> str:
    """What the choice costs against leaving all to the search; empty where nothing was chosen."""
    if laid.laying.place not in draft.boards.choices:
        return ""
    try:
        free = draft.boards.look(laid.laying.left_free)
    except CannotLay:
        return ""
    freed = draft.boards.without(laid.laying.place)
    other = work_out(draft.rooms, draft.works, draft.policy, draft.conventions, draft.allowances, freed)
    line, without = lines_by_key(draft)[key], lines_by_key(other)[key]
    return against_best(
        laid.bought - free.bought,
        line.material_cost - without.material_cost,
        draft.priced.total - other.priced.total,
    )


def starts(boards: Boards, laying: Laying) -> tuple[Start, ...]:
    """What each corner and direction would take by a first answer, the best first, where there is one."""
    found = []
    for corner in get_args(Corner):
        for along in get_args(Axis) if laying.rules.may_turn else ("x",):
            other = replace(laying, choice=Choice(corner, along))
            try:
                laid = boards.look(other, effort="first")
            except CannotLay:
                continue
            found.append((laid.figures, f"{CORNERS[corner].capitalize()}, courses {DIRECTIONS[along]}"))
    found.sort(key=lambda each: (each[0].slivers, each[0].sheets, each[0].pieces, each[0].cuts))
    least = min((figures.sheets for figures, _ in found), default=0)
    return tuple(
        Start(where, figures.sheets, figures.pieces, _more(figures.sheets - least))
        for figures, where in found
    )


def sizes(
    draft: Draft, key: str, laying: Laying, boards: Iterable[MaterialSpec], metric: bool = False
) -> tuple[Size, ...]:
    """What the work would take in each size of its board, by a first answer, the cheapest first."""
    found = []
    for board in boards:
        other = _in_size(draft, laying.board.code, board)
        laid = [
            one
            for each in taken_of(other, key).boards.values()
            for one in each.laid
            if one.laying.board.code == board.code
        ]
        if laid:
            sheets, pieces = sum(each.bought for each in laid), sum(each.figures.pieces for each in laid)
            here = board.code == laying.board.code
            words = "as it is" if here else on_the_price(other.priced.total - draft.priced.total)
            takes = size_takes(laid, metric)
            found.append(
                (other.priced.total, pieces, Size(board.code, board.name, sheets, takes, words, here))
            )
    return tuple(size for *_, size in sorted(found, key=lambda each: each[:2]))


def _in_size(draft: Draft, code: str, board: MaterialSpec) -> Draft:
    """The draft with one of its boards laid in another size."""
    works = [
        replace(work, assembly=with_boards(work.assembly, {code: board})) if work.assembly else work
        for work in draft.works
    ]
    boards = replace(draft.boards, effort="first")
    return work_out(draft.rooms, works, draft.policy, draft.conventions, draft.allowances, boards)


def _more(sheets: int) -> str:
    return "none more" if not sheets else "1 more" if sheets == 1 else f"{sheets} more"


def rules_in_force(
    rules: SheetRules, usual: SheetRules, source: str, metric: bool
) -> tuple[RuleInForce, ...]:
    """Every rule with where it comes from; `source` is that of the firm's own."""
    rows = []
    for name, (label, usual_source) in RULE_WORDS.items():
        mine, theirs = getattr(rules, name), getattr(usual, name)
        firm = mine != theirs
        said = (source or "the firm's own") if firm else usual_source
        rows.append(RuleInForce(name, label, _rule(mine, metric), _rule(theirs, metric), said, firm))
    return tuple(rows)


def usual_for(taken: Taken, place: Place) -> SheetRules:
    """The usual rules of the board at a place, before the firm's own."""
    codes = {
        code for code, boards in taken.boards.items() if any(each.place == place for each in boards.layings)
    }
    return next(usual_rules(each) for each in _assemblies(taken.work.assembly) if each.code in codes)


def _assemblies(assembly: AssemblySpec) -> Iterator[AssemblySpec]:
    yield assembly
    for component in assembly.components:
        if isinstance(component.use, AssemblySpec):
            yield from _assemblies(component.use)


def _rule(value: int | bool, metric: bool) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return format_length(value, metric)
