"""Layouts in plain words: what the drawing shows, where every piece comes from, and why so many sheets."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import ceil

from catalog.measures.units import (
    format_length,
    format_number,
    format_percent,
    format_quantity,
    sqft_from_nm2,
)
from catalog.money.amounts import format_price
from estimating.boards.cut_outs import cut_outs
from estimating.boards.layouts import Laid
from estimating.boards.tile import TileLayout
from estimating.plain_text import in_a_row
from estimating.sheet_layout.estimate_by_area import DEFAULT_RULES, Sheet
from estimating.sheet_layout.layout import Layout, Piece, StraightCut

CORNERS = {"sw": "lower left", "se": "lower right", "nw": "upper left", "ne": "upper right"}
DIRECTIONS = {"x": "across the drawing", "y": "up and down the drawing"}

# Every rule of laying: what it is called, and where the usual one comes from.
RULE_WORDS = {
    "gap_nm": ("Gap between boards", "a published guide to fiber-cement board; drywall is butted"),
    "perimeter_gap_nm": ("Gap at walls and fixed things", "common practice; guides say 1/8 to 1/4 in"),
    "kerf_nm": ("Lost in a cut", "common practice: a masonry blade takes 1/8 in, score and snap nothing"),
    "min_offset_nm": (
        "Joints of neighboring courses apart by at least",
        "common practice; one guide asks for 18 in",
    ),
    "min_piece_nm": ("No piece narrower than", "common practice"),
    "fastener_spacing_nm": (
        "Fasteners at most apart",
        "floor: IRC Table R602.3(2), 8 in; drywall: NAVEDTRA 14044, ch. 5, 12 in on ceilings, 16 in on walls",
    ),
    "edge_nm": (
        "Fastener to edge at least",
        "cement board: common practice 2 in, published figures are 3/8 to 5/8 in; drywall: 3/8 in",
    ),
    "corner_clear_nm": (
        "Joints clear of corners of openings by",
        "common practice for drywall, where joints there crack",
    ),
    "may_turn": ("Boards may be turned", "common practice: not where a sheet has a strength axis"),
}


@dataclass(frozen=True)
class PieceRow:
    """A piece as a table lists it, in the order of laying."""

    number: int
    comes_from: str
    size: str
    course: int
    from_left: str
    up: str
    cut_out: str


@dataclass(frozen=True)
class SheetCuts:
    """A sheet that is cut: the pieces that come out of it, and the straight cuts in words."""

    sheet: int
    pieces: str
    cuts: tuple[str, ...]


def size_in_words(piece: Piece, metric: bool = False) -> str:
    """Across and up, as it lies on the drawing."""
    return f"{format_length(piece.width_nm, metric)} × {format_length(piece.height_nm, metric)}"


def sheet_in_words(sheet: Sheet, metric: bool = False) -> str:
    return f"{format_length(sheet.length_nm, metric)} × {format_length(sheet.width_nm, metric)}"


def count_in_words(number: int, noun: str) -> str:
    return f"{number:,} {noun}" if number == 1 else f"{number:,} {noun}s"


def layout_in_words(layout: Layout, name: str, metric: bool = False) -> str:
    """What the drawing of a layout shows, for who can't see it."""
    told, whole = layout.told, sum(piece.whole for piece in layout.pieces)
    again = sum(piece.from_offcut for piece in layout.pieces)
    return (
        f"{name}: {count_in_words(layout.sheets, 'sheet')} of {sheet_in_words(layout.sheet, metric)} in"
        f" {count_in_words(len(layout.pieces), 'piece')}, {whole} of them whole and {again} from offcuts."
        f" Courses run {DIRECTIONS[told.courses_along]} from the {CORNERS[told.corner]} corner, the first"
        f" {format_length(told.first_width_nm, metric)} wide. The table of pieces says the size and place of"
        " each."
    )


def tiles_in_words(layout: TileLayout, name: str, metric: bool = False) -> str:
    long, short = max(layout.tile_nm), min(layout.tile_nm)
    return (
        f"{name}: tile of {format_length(long, metric)} × {format_length(short, metric)}, long sides"
        f" {DIRECTIONS[layout.courses_along]}: {layout.whole} whole and {layout.cut} cut,"
        f" out of {count_in_words(layout.used, 'tile')}."
    )


def piece_rows(layout: Layout, metric: bool = False) -> tuple[PieceRow, ...]:
    """Every piece in the order of laying."""
    left = min(piece.x_nm for piece in layout.pieces) - layout.rules.perimeter_gap_nm
    low = min(piece.y_nm for piece in layout.pieces) - layout.rules.perimeter_gap_nm
    return tuple(
        PieceRow(
            number=piece.number,
            comes_from=_origin(piece),
            size=size_in_words(piece, metric),
            course=piece.course + 1,
            from_left=format_length(piece.x_nm - left, metric),
            up=format_length(piece.y_nm - low, metric),
            cut_out=_cut_out(piece, metric, slanting=layout.approximate),
        )
        for piece in layout.pieces
    )


def cut_sheets(layout: Layout, metric: bool = False) -> tuple[SheetCuts, ...]:
    """The sheets that are cut straight, each with its cuts in order."""
    by_sheet: dict[int, list[StraightCut]] = {}
    for cut in layout.cuts:
        by_sheet.setdefault(cut.sheet, []).append(cut)
    return tuple(
        SheetCuts(
            sheet,
            in_a_row([str(piece.number) for piece in layout.pieces if piece.sheet == sheet]),
            tuple(_cut(cut, metric) for cut in cuts),
        )
        for sheet, cuts in sorted(by_sheet.items())
    )


def bought_in_words(laid: Sequence[Laid], noun: str = "sheet") -> str:
    """How many are bought, beside what area alone says: "Bought 9 sheets; area alone says 8"."""
    bought, area = sum(each.bought for each in laid), by_area(laid)
    words = f"Bought {count_in_words(bought, noun)}"
    return f"{words}, as many as area alone says." if bought == area else f"{words}; area alone says {area}."


def by_area(laid: Sequence[Laid]) -> int:
    """The areas of all surfaces over that of a sheet, rounded up once."""
    return ceil(_sheets_of_area(laid))


def reason_in_words(laid: Sequence[Laid], metric: bool = False) -> tuple[str, ...]:
    """Why so many sheets, in plain sentences."""
    figures = [each.figures for each in laid]
    sheets, pieces = sum(each.sheets for each in figures), sum(each.pieces for each in figures)
    cut, again = sum(each.cut_pieces for each in figures), sum(each.from_offcuts for each in figures)
    area = format_quantity(sqft_from_nm2(sum(each.area_nm2 for each in figures)), "sq ft", metric)
    sentences = [
        f"{area} is {format_number(_sheets_of_area(laid))} sheets of"
        f" {sheet_in_words(laid[0].laying.sheet, metric)}, if every scrap could be pieced in."
    ]
    if cut:
        takes = f"{again} of them from offcuts of others" if again else "from a sheet of its own"
        takes = takes if again or cut == 1 else f"each {takes}"
        sentences.append(
            f"{count_in_words(cut, 'piece')} of {pieces} {'has' if cut == 1 else 'have'} to be cut, {takes}."
        )
    if sheets > by_area(laid):
        rules = laid[0].laying.rules
        offset, least = format_length(rules.min_offset_nm, metric), format_length(rules.min_piece_nm, metric)
        sentences.append(
            f"What is left over is too small to serve again, with joints {offset} apart from course to course"
            f"{_off_corners(laid, metric)} and no piece under {least}."
        )
        if len(laid) > 1:
            sentences.append("Offcuts of one surface aren't counted on for another.")
    elif again:
        sentences.append("The offcuts serve so well that it takes no more than its area says.")
    if all(each.sheets <= each.least for each in figures):
        sentences.append("No layout takes fewer.")
    waste = DEFAULT_RULES.waste
    rule = ceil(_sheets_of_area(laid) * (1 + waste))
    sentences.append(f"The usual {format_percent(waste)} for waste would buy {rule}.")
    extra = sum(each.laying.choice.extra for each in laid)
    if extra:
        sentences.append(f"{count_in_words(extra, 'sheet')} {'is' if extra == 1 else 'are'} bought besides.")
    return tuple(sentences)


def _off_corners(laid: Sequence[Laid], metric: bool) -> str:
    """How far joints are kept from corners that stand out into one of the surfaces."""
    clear = laid[0].laying.rules.corner_clear_nm
    stands_out = any(on.holes or len(on.ring) > 4 for on in (each.laying.on.surface for each in laid))
    return f", {format_length(clear, metric)} clear of corners" if clear and stands_out else ""


def against_best(sheets: int, cost: Decimal, price: Decimal) -> str:
    """What a choice takes more or less than the best layout: sheets, dollars to buy, dollars of price."""
    if not sheets and not price:
        return "It costs no more than the best layout."
    words = (
        "as many sheets"
        if not sheets
        else f"{count_in_words(abs(sheets), 'sheet')} {'more' if sheets > 0 else 'fewer'}"
    )
    return f"Against the best layout: {words}; {_money(cost)} to buy, {_money(price)} on the price."


def size_takes(laid: Sequence[Laid], metric: bool = False) -> str:
    """Such as "5 sheets in 6 pieces, ends meet along 8' 0\""."""
    figures = [each.figures for each in laid]
    pieces = count_in_words(sum(each.pieces for each in figures), "piece")
    butt_nm = sum(each.butt_nm for each in figures)
    meet = f"ends meet along {format_length(butt_nm, metric)}" if butt_nm else "no ends meet"
    return f"{count_in_words(sum(each.bought for each in laid), 'sheet')} in {pieces}, {meet}"


def on_the_price(amount: Decimal) -> str:
    """Such as "$12.40 less on the price"."""
    return f"{_money(amount)} on the price"


def _sheets_of_area(laid: Sequence[Laid]) -> Fraction:
    sheet = laid[0].laying.sheet
    return Fraction(sum(each.figures.area_nm2 for each in laid), sheet.length_nm * sheet.width_nm)


def _origin(piece: Piece) -> str:
    if piece.from_offcut:
        return f"offcut of sheet {piece.sheet}"
    return f"sheet {piece.sheet}, whole" if piece.whole else f"sheet {piece.sheet}"


def _cut_out(piece: Piece, metric: bool, *, slanting: bool) -> str:
    if not piece.notched:
        return ""
    if slanting:
        return "cut along the slant: measure there"
    return "cut out: " + "; ".join(each.in_words(metric) for each in cut_outs(piece))


def _cut(cut: StraightCut, metric: bool) -> str:
    at, way = (cut.y_nm, "lengthwise") if cut.lengthwise else (cut.x_nm, "across")
    return f"{way} at {format_length(at, metric)}, {format_length(cut.length_nm, metric)} long"


def _money(amount: Decimal) -> str:
    more = "less" if amount < 0 else "more"
    return f"{format_price(abs(amount))} {more}" if amount else "nothing more"
