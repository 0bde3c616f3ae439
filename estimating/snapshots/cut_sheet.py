"""The cut sheet: what is taken to the floor. For the firm itself; it shows no prices.

Everything on it is plain text and drawings that JSON can keep, dates ISO, as on every paper.
"""

from dataclasses import dataclass
from datetime import date
from typing import Any

from catalog.measures.units import format_length
from estimating.boards.description import (
    CORNERS,
    DIRECTIONS,
    bought_in_words,
    count_in_words,
    cut_sheets,
    piece_rows,
    reason_in_words,
    sheet_in_words,
)
from estimating.boards.drawing import PAPER, layout_svg
from estimating.boards.layouts import Laid
from estimating.plain_text import lines_of
from estimating.sheet_layout.rules import SheetRules
from estimating.sheet_layout.warnings import warnings
from estimating.snapshots.estimate import WorkedOut, party
from estimating.snapshots.wording import Party
from estimating.takeoff.takeoff import Taken

# Guards, masks, eyes and ears: cited from memory; hands at the miter saw: common practice.
OF_BOARDS = (
    "Cutting board or tile makes silica dust. Score and snap it, cut it wet, or saw it outdoors with dust"
    " collection; wear a fitting respirator where these aren't enough (29 CFR 1926.1153, Table 1).",
)
OF_STICKS = (
    "At the miter saw leave the guard on (29 CFR 1926.300(b)). Keep both hands well off the"
    " blade's path, clamp what is too short to hold, and reach in only once the blade stands still.",
    "Sawing wood and its boards makes fine dust: draw it off at the saw or wear a fitting mask (29 CFR"
    " 1910.134).",
)
OF_ALL = (
    "Wear eye and ear protection at the saw (29 CFR 1926.102 and 1926.101).",
    "Measure again before you cut: walls are seldom as square as a drawing. Local code and the maker's"
    " instructions come before this sheet.",
)


@dataclass(frozen=True)
class SheetHead:
    """What the cut sheet says beside the layouts."""

    firm: Party
    client: Party
    job: str
    address: str
    dated: date
    paper_size: str = "letter"
    metric: bool = False


def nothing_to_cut(draft: WorkedOut, key: str) -> list[str]:
    """Why no cut sheet can be made of a work item, in plain sentences; none where one can."""
    taken = _taken(draft, key)
    if taken.laid or cut_lists(draft, key):
        return []
    problems = [each.problem for each in taken.boards.values() if each.problem]
    return problems or [
        "This work has nothing to lay or to cut: boards are laid where a room's own floor, ceiling or walls"
        " are covered, and no area was put in by hand."
    ]


def cut_sheet_snapshot(
    head: SheetHead, draft: WorkedOut, key: str, fasteners: bool = False
) -> dict[str, Any]:
    """The cut sheet of one work item: every surface drawn, with its fasteners on demand, its pieces and cuts,
    sticks with their cuts."""
    taken = _taken(draft, key)
    boards = [each for each in taken.boards.values() if each.laid]
    sticks = cut_lists(draft, key, head.metric)
    return {
        "kind": "cut_sheet",
        "fasteners": fasteners,
        "paper": head.paper_size,
        "title": f"Cut sheet: {taken.work.title}",
        "first_line": "What to cut, from which sheet or stick, and where each piece goes.",
        "firm": party(head.firm),
        "client": party(head.client),
        "job": {"name": head.job, "address": lines_of(head.address)},
        "dated": head.dated.isoformat(),
        "boards": [
            {
                "name": each.laid[0].laying.board.name,
                "bought": bought_in_words(each.laid),
                "reason": list(reason_in_words(each.laid, head.metric)),
                "surfaces": [
                    _surface(laid, f"s{number}-{place}", head.metric, fasteners)
                    for place, laid in enumerate(each.laid)
                ],
            }
            for number, each in enumerate(boards)
        ],
        "sticks": sticks,
        "cautions": [*(OF_BOARDS if boards else ()), *(OF_STICKS if sticks else ()), *OF_ALL],
    }


def _taken(draft: WorkedOut, key: str) -> Taken:
    return next(each for each in draft.take_off.taken if each.work.key == key)


def _surface(laid: Laid, ident: str, metric: bool, fasteners: bool) -> dict[str, Any]:
    layout, laying = laid.layout(), laid.laying
    rules, told = laying.rules, layout.told

    def say(length_nm: int) -> str:
        return format_length(length_nm, metric)

    return {
        "name": laying.name,
        "svg": layout_svg(layout, laying.name, metric, fasteners=fasteners, ident=ident, wide=PAPER),
        "how": [
            f"{count_in_words(laid.bought, 'sheet')} of {sheet_in_words(laying.sheet, metric)}. Start in the"
            f" {CORNERS[told.corner]} corner; courses run {DIRECTIONS[told.courses_along]}; the first is"
            f" {say(told.first_width_nm)} wide and begins with {say(told.first_pieces_nm[0])}.",
            f"{_gaps(rules, metric)} Fasteners at most {say(rules.fastener_spacing_nm)} apart,"
            f" {say(rules.edge_nm)} from edges: {laid.figures.fasteners:,} in all.",
        ],
        "warnings": [*laying.on.notes, *warnings(layout, metric)],
        "pieces": [
            {
                "number": str(row.number),
                "from": row.comes_from,
                "size": row.size,
                "course": str(row.course),
                "from_left": row.from_left,
                "up": row.up,
                "cut_out": row.cut_out,
            }
            for row in piece_rows(layout, metric)
        ],
        "cuts": [
            {"sheet": str(each.sheet), "pieces": each.pieces, "cuts": list(each.cuts)}
            for each in cut_sheets(layout, metric)
        ],
    }


def _gaps(rules: SheetRules, metric: bool) -> str:
    between = f"gap {format_length(rules.gap_nm, metric)}" if rules.gap_nm else "butted"
    walls = f"{format_length(rules.perimeter_gap_nm, metric)} free" if rules.perimeter_gap_nm else "no gap"
    return f"Between sheets: {between}; at walls: {walls}."


def cut_lists(draft: WorkedOut, key: str, metric: bool = False) -> list[dict[str, Any]]:
    """The cut list, over the whole job, of every material that one work item needs in sticks."""
    return [
        {
            "name": line.material.name,
            "bought": line.sticks_bought(),
            "why": line.why_sticks(metric),
            "rows": [stick.in_words(metric) for stick in line.cuts.sticks],
        }
        for line in draft.take_off.materials
        if key in line.by_work and line.cuts
    ]
