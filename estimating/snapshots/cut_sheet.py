"""The snapshot of a cut sheet, which is taken to the floor: for the firm itself, without prices.

Everything on it is plain text and drawings that JSON can keep, dates ISO, as in every snapshot.
"""

from collections import Counter
from dataclasses import dataclass
from datetime import date
from typing import Any

from catalog.measures.lengths import format_length
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
from estimating.boards.drawing import PAPER_WIDTH, in_black, layout_svg, tile_svg
from estimating.boards.layouts import BoardLayout
from estimating.boards.start_lines import start_in_words
from estimating.boards.tile import TileLayout
from estimating.boards.tile_to_buy import LaidTile
from estimating.plain_text import nonblank_lines
from estimating.sheet_layout.layout import Layout
from estimating.sheet_layout.rules import SheetRules
from estimating.sheet_layout.warnings import warnings
from estimating.snapshots.priced_draft import PricedDraft
from estimating.snapshots.wording import DocumentParty
from estimating.takeoff.work import ItemQuantities

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
class CutSheetHeader:
    """What the cut sheet says beside the layouts and the cut lists."""

    firm: DocumentParty
    client: DocumentParty
    job: str
    address: str
    dated: date
    paper_size: str = "letter"
    metric: bool = False


def nothing_to_cut(draft: PricedDraft, key: str) -> list[str]:
    """Say why no cut sheet can be made of a work item, in plain sentences; empty where one can."""
    item = draft.take_off.items_by_key()[key]
    if item.board_layouts or _laid_tiles(item) or cut_lists(draft, key):
        return []
    problems = [boards.problem for boards in item.boards.values() if boards.problem]
    return problems or [
        "This work has nothing to lay or to cut: boards and tile are laid where a room's own floor, ceiling"
        " or walls are covered, and no area was put in by hand."
    ]


def cut_sheet_snapshot(
    head: CutSheetHeader, draft: PricedDraft, key: str, fasteners: bool = False
) -> dict[str, Any]:
    """Return the snapshot of the cut sheet of one work item.

    It has every surface drawn, with its fasteners on demand, with its pieces and cuts; tile with the lines to
    start from and the sizes to cut; and sticks with their cuts.
    """
    item = draft.take_off.items_by_key()[key]
    laid_boards = [boards for boards in item.boards.values() if boards.layouts]
    laid_tiles = _laid_tiles(item)
    sticks = cut_lists(draft, key, head.metric)
    return {
        "kind": "cut_sheet",
        "fasteners": fasteners,
        "paper": head.paper_size,
        "title": f"Cut sheet: {item.work.title}",
        "first_line": "What to cut, from which sheet or stick, and where each piece goes.",
        "firm": head.firm.for_snapshot(),
        "client": head.client.for_snapshot(),
        "job": {"name": head.job, "address": nonblank_lines(head.address)},
        "dated": head.dated.isoformat(),
        "boards": [
            {
                "name": boards.layouts[0].request.board.name,
                "bought": bought_in_words(boards.layouts),
                "reason": list(reason_in_words(boards.layouts, head.metric)),
                "surfaces": [
                    _surface(layout, f"s{board_number}-{surface_number}", head.metric, fasteners)
                    for surface_number, layout in enumerate(boards.layouts)
                ],
            }
            for board_number, boards in enumerate(laid_boards)
        ],
        "tiles": [_tile(tile, f"t{number}", head.metric) for number, tile in enumerate(laid_tiles)],
        "sticks": sticks,
        "cautions": [
            *(OF_BOARDS if laid_boards or laid_tiles else ()),
            *(OF_STICKS if sticks else ()),
            *OF_ALL,
        ],
    }


def _surface(board_layout: BoardLayout, ident: str, metric: bool, fasteners: bool) -> dict[str, Any]:
    """Return one surface of the cut sheet; `ident` starts the names of the parts of its drawing."""
    layout, request = board_layout.layout(), board_layout.request
    rules, given = request.rules, layout.given

    def in_words(length_nm: int) -> str:
        return format_length(length_nm, metric)

    return {
        "name": request.name,
        "svg": in_black(
            layout_svg(layout, request.name, metric, fasteners=fasteners, ident=ident, wide=PAPER_WIDTH)
        ),
        "how": [
            f"{count_in_words(board_layout.bought, 'sheet')} of {sheet_in_words(request.sheet, metric)}."
            f" Start in the {CORNERS[given.corner]} corner; courses run {DIRECTIONS[given.courses_along]};"
            f" the first is {in_words(given.first_width_nm)} wide and begins with"
            f" {in_words(given.first_pieces_nm[0])}.",
            f"{_gaps(rules, metric)} Fasteners at most {in_words(rules.fastener_spacing_nm)} apart"
            f"{_rows(layout, metric)},"
            f" {in_words(rules.edge_nm)} from edges: {board_layout.figures.fasteners:,} in all.",
        ],
        "warnings": [*request.room_surface.notes, *warnings(layout, metric)],
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
            for row in piece_rows(layout, metric, board_layout.shared, board_layout.at)
        ],
        "cuts": [
            {"sheet": str(sheet.sheet), "pieces": sheet.pieces, "cuts": list(sheet.cuts)}
            for sheet in cut_sheets(layout, metric, board_layout.shared, board_layout.at)
        ],
    }


def _laid_tiles(item: ItemQuantities) -> list[LaidTile]:
    return [tile for tile in item.tiles.values() if tile.layouts]


def _tile(tile: LaidTile, ident: str, metric: bool) -> dict[str, Any]:
    """Return one tile of the cut sheet, surface by surface."""
    return {
        "name": tile.use.tile.name,
        "bought": f"{tile.in_words()}.",
        "surfaces": [
            {
                "name": name,
                "svg": in_black(tile_svg(layout, name, metric, ident=f"{ident}-{number}", wide=PAPER_WIDTH)),
                "how": [text for text in (_tiles_on(layout, metric), start_in_words(layout, metric)) if text],
                "warnings": [*notes, *layout.warnings],
                "slanting": layout.slanting,
                "cuts": [{"size": size, "count": str(count)} for size, count in _cut_sizes(layout, metric)],
            }
            for number, (name, notes, layout) in enumerate(
                zip(tile.names, tile.notes, tile.layouts, strict=True)
            )
        ],
    }


def _tiles_on(layout: TileLayout, metric: bool) -> str:
    rules = layout.rules
    joint, free = (format_length(size, metric) for size in (rules.joint_nm, rules.perimeter_gap_nm))
    return (
        f"{layout.whole:,} whole and {count_in_words(layout.cut, 'cut piece')} out of"
        f" {count_in_words(layout.used, 'tile')}, joints {joint}, {free} free at the edges."
    )


def _cut_sizes(layout: TileLayout, metric: bool) -> list[tuple[str, int]]:
    """Return the sizes of cut tile with how many there are of each, the most first.

    Across and up; of tile at 45 degrees along its own long and short side.
    """
    sizes = Counter(
        f"{format_length(piece.width_nm, metric)} × {format_length(piece.height_nm, metric)}"
        f"{(', cut at 45°' if layout.slanting else ', notched') if piece.rings else ''}"
        for piece in layout.pieces
        if not piece.whole
    )
    return sizes.most_common()


def _gaps(rules: SheetRules, metric: bool) -> str:
    between = f"gap {format_length(rules.gap_nm, metric)}" if rules.gap_nm else "butted"
    walls = f"{format_length(rules.perimeter_gap_nm, metric)} free" if rules.perimeter_gap_nm else "no gap"
    return f"Between sheets: {between}; at walls: {walls}."


def _rows(layout: Layout, metric: bool) -> str:
    """Say how far apart rows of fasteners are taken to be where it isn't known what they go into."""
    rules = layout.rules
    if layout.surface.framing or rules.row_spacing_nm == rules.fastener_spacing_nm:
        return ""
    return f", in rows {format_length(rules.row_spacing_nm, metric)} apart as joists usually are"


def cut_lists(draft: PricedDraft, key: str, metric: bool = False) -> list[dict[str, Any]]:
    """Return the cut list, over the whole job, of every material that one work item needs in sticks."""
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
