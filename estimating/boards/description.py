"""Layouts in words: what the drawing shows, where every piece comes from, and why it takes so many sheets."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import ceil

from catalog.measures.lengths import format_length, sqft_from_nm2
from catalog.measures.units import format_number, format_percent, format_quantity
from catalog.money.amounts import format_price
from estimating.boards.cut_outs import cut_outs
from estimating.boards.layouts import BoardLayout
from estimating.boards.shared_sheets import SharedSheets
from estimating.boards.tile import TileLayout
from estimating.cabinets.units import width_in_words
from estimating.plain_text import list_in_words
from estimating.sheet_layout.estimate_by_area import DEFAULT_RULES, Sheet
from estimating.sheet_layout.layout import Layout, Piece, StraightCut

CORNERS = {"sw": "lower left", "se": "lower right", "nw": "upper left", "ne": "upper right"}
DIRECTIONS = {"x": "across the drawing", "y": "up and down the drawing"}

# Every rule of a layout, by its name in SheetRules: its label, and where the usual value comes from.
RULE_WORDS = {
    "gap_nm": ("Gap between boards", "a published guide to fiber-cement board; drywall is butted"),
    "perimeter_gap_nm": ("Gap at walls and fixed things", "common practice; guides say 1/8 to 1/4 in"),
    "kerf_nm": ("Kerf", "common practice: a masonry blade takes 1/8 in, score and snap nothing"),
    "min_offset_nm": (
        "Stagger, at least",
        "common practice; one guide asks for 18 in",
    ),
    "min_piece_nm": ("No piece narrower than", "common practice"),
    "fastener_spacing_nm": (
        "Fastener spacing, at most",
        "floor: IRC Table R602.3(2), 8 in; drywall: NAVEDTRA 14044, ch. 5, 12 in on ceilings, 16 in on walls,"
        " on framing taken as 16 in apart where the room doesn't say",
    ),
    "edge_nm": (
        "Edge distance, at least",
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
    """A piece as a table lists it; `course` counts from 1, `from_left` and `up` say where it lies."""

    number: int
    comes_from: str
    size: str
    course: int
    from_left: str
    up: str
    cut_out: str


@dataclass(frozen=True)
class SheetCuts:
    """A sheet that is cut: the numbers of the pieces that come out of it, and its straight cuts in words."""

    sheet: int
    pieces: str
    cuts: tuple[str, ...]


def size_in_words(piece: Piece, metric: bool = False) -> str:
    """Return the size of a piece across and up, as it lies on the drawing."""
    return f"{format_length(piece.width_nm, metric)} × {format_length(piece.height_nm, metric)}"


def sheet_in_words(sheet: Sheet, metric: bool = False) -> str:
    return f"{format_length(sheet.length_nm, metric)} × {format_length(sheet.width_nm, metric)}"


def count_in_words(number: int, noun: str) -> str:
    return f"{number:,} {noun}" if number == 1 else f"{number:,} {noun}s"


def layout_in_words(layout: Layout, name: str, metric: bool = False) -> str:
    """Return what the drawing of a layout shows, for readers who can't see it."""
    given, whole = layout.given, sum(piece.whole for piece in layout.pieces)
    from_offcuts = sum(piece.from_offcut for piece in layout.pieces)
    fallen = sum(piece.fallen for piece in layout.pieces)
    return (
        f"{name}: {count_in_words(layout.sheets, 'sheet')} of {sheet_in_words(layout.sheet, metric)} in"
        f" {count_in_words(len(layout.pieces), 'piece')},"
        f" {whole} of them whole and {from_offcuts} from offcuts"
        f"{f', {fallen} of those cut out of other pieces' if fallen else ''}."
        f" Courses run {DIRECTIONS[given.courses_along]} from the {CORNERS[given.corner]} corner, the first"
        f" {format_length(given.first_width_nm, metric)} wide. The table of pieces says the size and place of"
        " each."
        f"{_framing_in_words(layout, metric)}"
    )


def _framing_in_words(layout: Layout, metric: bool) -> str:
    lines = layout.surface.framing or layout.surface.clear_of
    if lines is None:
        return ""
    members, spacing = framing_noun(layout), width_in_words(lines.spacing_nm, metric)
    start, edge = (
        (min(x for x, _ in layout.surface.ring), "from the left")
        if lines.along == "y"
        else (min(y for _, y in layout.surface.ring), "from the bottom")
    )
    first = width_in_words((lines.at_nm - start) % lines.spacing_nm or lines.spacing_nm, metric)
    words = f" {members.capitalize()} {spacing} apart are dashed, the first {first} {edge}."
    if not layout.off_framing:
        return words
    return f"{words} {count_in_words(layout.off_framing, 'joint')} between them, drawn thick."


def framing_noun(layout: Layout) -> str:
    """Return what the boards of a layout are fastened to, as people call it."""
    return "studs" if layout.surface.level else "joists"


def tiles_in_words(layout: TileLayout, name: str, metric: bool = False) -> str:
    """Return what the drawing of tile shows, for readers who can't see it."""
    long, short = max(layout.tile_nm), min(layout.tile_nm)
    return (
        f"{name}: tile of {format_length(long, metric)} × {format_length(short, metric)}, long sides"
        f" {DIRECTIONS[layout.courses_along]}: {layout.whole} whole and {layout.cut} cut,"
        f" out of {count_in_words(layout.used, 'tile')}."
    )


def piece_rows(
    layout: Layout, metric: bool = False, shared: SharedSheets | None = None, at: int = 0
) -> tuple[PieceRow, ...]:
    """Return a row for every piece, in the order in which they are laid.

    Where sheets are shared, an offcut from elsewhere says where its sheet was begun.
    """
    elsewhere = shared.begun_elsewhere(at) if shared else {}
    fallen = shared.fell_out_of(at) if shared else {}
    left = min(piece.x_nm for piece in layout.pieces) - layout.rules.perimeter_gap_nm
    low = min(piece.y_nm for piece in layout.pieces) - layout.rules.perimeter_gap_nm
    return tuple(
        PieceRow(
            number=piece.number,
            comes_from=_origin(piece, elsewhere, fallen.get(piece.number)),
            size=size_in_words(piece, metric),
            course=piece.course + 1,
            from_left=format_length(piece.x_nm - left, metric),
            up=format_length(piece.y_nm - low, metric),
            cut_out=_cut_out(piece, metric, slanting=layout.approximate),
        )
        for piece in layout.pieces
    )


def cut_sheets(
    layout: Layout, metric: bool = False, shared: SharedSheets | None = None, at: int = 0
) -> tuple[SheetCuts, ...]:
    """Return the sheets that have straight cuts, each with its cuts in order.

    Where sheets are shared, those begun on this surface, with the pieces that they give to others.
    """
    to_others = shared.given_to(at) if shared else {}
    by_sheet: dict[int, list[StraightCut]] = {}
    for cut in layout.cuts:
        by_sheet.setdefault(cut.sheet, []).append(cut)
    return tuple(
        SheetCuts(
            sheet,
            list_in_words(
                [str(piece.number) for piece in layout.pieces if piece.sheet == sheet]
                + [f"piece {number} of {name}" for name, number in to_others.get(sheet, ())]
            ),
            tuple(_cut(cut, metric) for cut in cuts),
        )
        for sheet, cuts in sorted(by_sheet.items())
    )


def bought_in_words(layouts: Sequence[BoardLayout], noun: str = "sheet") -> str:
    """Return how many sheets are bought and what area alone says: "Bought 9 sheets; area alone says 8."."""
    bought, area = sum(layout.bought for layout in layouts), by_area(layouts)
    words = f"Bought {count_in_words(bought, noun)}"
    return f"{words}, as many as area alone says." if bought == area else f"{words}; area alone says {area}."


def by_area(layouts: Sequence[BoardLayout]) -> int:
    """Return the area of all surfaces divided by that of a sheet, rounded up once."""
    return ceil(_sheets_of_area(layouts))


def reason_in_words(layouts: Sequence[BoardLayout], metric: bool = False) -> tuple[str, ...]:
    """Return why it takes so many sheets, in plain sentences."""
    figures = [layout.figures for layout in layouts]
    sentences = [_area_sentence(layouts, metric)]
    if cut := sum(figure.cut_pieces for figure in figures):
        sentences.append(_cut_sentence(layouts, cut))
    sentences += _leftover_sentences(layouts, metric)
    shared = layouts[0].shared
    if shared and len(shared.requests) > 1:
        sentences += _shared_sentences(shared)
    elif all(figure.sheets <= figure.least for figure in figures):
        sentences.append("No layout takes fewer.")
    waste = DEFAULT_RULES.waste
    with_waste = ceil(_sheets_of_area(layouts) * (1 + waste))
    sentences.append(f"The usual {format_percent(waste)} for waste would buy {with_waste}.")
    extra = sum(layout.request.choice.extra for layout in layouts)
    if not extra:
        sentences.append(
            "None is bought for one that breaks: “Sheets bought besides”, on the page of a surface, changes"
            " that."
        )
    else:
        sentences.append(f"{count_in_words(extra, 'sheet')} {'is' if extra == 1 else 'are'} bought besides.")
    return tuple(sentences)


def layout_found(layouts: Iterable[BoardLayout], metric: bool = False) -> str:
    """Say what the layout of some boards keeps, for their scope; empty where nothing was laid square.

    Each figure is read off the pieces and joints that were found, so that nothing is promised beside them.
    """
    drawn = [layout.layout() for layout in layouts]
    if not drawn or any(layout.approximate for layout in drawn):
        return ""
    least = min(min(piece.width_nm, piece.height_nm) for layout in drawn for piece in layout.pieces)
    said: list[str] = [f"no piece under {format_length(least, metric)}"]
    offsets = (layout.least_offset_nm for layout in drawn)
    apart = min((offset for offset in offsets if offset is not None), default=0)
    if apart:
        said.append(f"end joints of neighboring rows at least {format_length(apart, metric)} apart")
    framing = drawn[0].surface.framing
    if framing and all(layout.surface.framing and not layout.off_framing for layout in drawn):
        beside = drawn[0].given.courses_along == framing.along
        joints = "long edges" if beside else "end joints" if drawn[0].rules.gap_nm else "butt joints"
        said.append(f"{joints} on {framing_noun(drawn[0])}")
    clear = drawn[0].rules.corner_clear_nm
    has_corners = any(layout.surface.holes or len(layout.surface.ring) > 4 for layout in drawn)
    if clear and has_corners and not any(layout.near_corners for layout in drawn):
        said.append(f"no joint within {format_length(clear, metric)} of the corner of an opening")
    return f"Laid out with {list_in_words(said)}."


def _area_sentence(layouts: Sequence[BoardLayout], metric: bool) -> str:
    area_sqft = sqft_from_nm2(sum(layout.figures.area_nm2 for layout in layouts))
    area = format_quantity(area_sqft, "sq ft", metric)
    return (
        f"{area} is {format_number(_sheets_of_area(layouts))} sheets of"
        f" {sheet_in_words(layouts[0].request.sheet, metric)}, if every scrap could be pieced in."
    )


def _shared_sentences(shared: SharedSheets) -> Iterator[str]:
    """Yield what all surfaces of one board take together, what each alone would, and what is the least."""
    sheets, saved = shared.sheets, shared.shares.alone - shared.sheets
    alone = (
        f"each by itself would take {shared.shares.alone} in all" if saved else "as many as each by itself"
    )
    yield (
        f"The offcuts of one surface serve the next: {len(shared.requests)} surfaces of this job are cut from"
        f" {count_in_words(sheets, 'sheet')} together; {alone}."
    )
    if sheets <= shared.least:
        yield "No layout takes fewer."
    else:
        yield f"By area no layout can take fewer than {shared.least} for all of them."


def _cut_sentence(layouts: Sequence[BoardLayout], cut: int) -> str:
    pieces = sum(layout.figures.pieces for layout in layouts)
    from_offcuts = sum(layout.from_offcuts for layout in layouts)
    if from_offcuts:
        source = f"{from_offcuts} of them from offcuts of others"
    else:
        source = "from a sheet of its own" if cut == 1 else "each from a sheet of its own"
    return f"{count_in_words(cut, 'piece')} of {pieces} {'has' if cut == 1 else 'have'} to be cut, {source}."


def _leftover_sentences(layouts: Sequence[BoardLayout], metric: bool) -> Iterator[str]:
    """Yield what becomes of the offcuts: why they can't be used, or that they are used well."""
    shared = layouts[0].shared
    if shared and len(shared.requests) > len(layouts):
        return
    if sum(layout.sheets for layout in layouts) > by_area(layouts):
        rules = layouts[0].request.rules
        offset, least = format_length(rules.min_offset_nm, metric), format_length(rules.min_piece_nm, metric)
        yield (
            f"What is left over is too small to serve again, with joints {offset} apart from course to course"
            f"{_off_corners(layouts, metric)} and no piece under {least}."
        )
        if len(layouts) > 1 and not shared:
            yield "Offcuts of one surface aren't counted on for another."
    elif any(layout.from_offcuts for layout in layouts):
        yield "The offcuts serve so well that it takes no more than its area says."


def _off_corners(layouts: Sequence[BoardLayout], metric: bool) -> str:
    """Return how far joints keep from corners that stand out into a surface; empty where none does."""
    clear = layouts[0].request.rules.corner_clear_nm
    surfaces = [layout.request.room_surface.surface for layout in layouts]
    stands_out = any(surface.holes or len(surface.ring) > 4 for surface in surfaces)
    return f", {format_length(clear, metric)} clear of corners" if clear and stands_out else ""


def against_best(sheets: int, cost: Decimal, price: Decimal) -> str:
    """Return how a choice differs from the best layout, in words.

    `sheets` are those more to buy, `cost` the dollars more to buy them, `price` the dollars more on the
    client's price; all below zero for less.
    """
    if not sheets and not price:
        return "It costs no more than the best layout."
    words = (
        "as many sheets"
        if not sheets
        else f"{count_in_words(abs(sheets), 'sheet')} {'more' if sheets > 0 else 'fewer'}"
    )
    return f"Against the best layout: {words}; {_money(cost)} to buy, {_money(price)} on the price."


def size_takes(layouts: Sequence[BoardLayout], metric: bool = False) -> str:
    """Return what a size of board takes, such as "5 sheets in 6 pieces, ends meet along 8' 0\"\"."""
    figures = [layout.figures for layout in layouts]
    pieces = count_in_words(sum(figure.pieces for figure in figures), "piece")
    butt_nm = sum(figure.butt_nm for figure in figures)
    meet = f"ends meet along {format_length(butt_nm, metric)}" if butt_nm else "no ends meet"
    return f"{count_in_words(sum(layout.bought for layout in layouts), 'sheet')} in {pieces}, {meet}"


def on_the_price(amount: Decimal) -> str:
    """Return a difference in price in words, such as "$12.40 less on the price"."""
    return f"{_money(amount)} on the price"


def _sheets_of_area(layouts: Sequence[BoardLayout]) -> Fraction:
    sheet = layouts[0].request.sheet
    return Fraction(sum(layout.figures.area_nm2 for layout in layouts), sheet.length_nm * sheet.width_nm)


def _origin(piece: Piece, elsewhere: Mapping[int, str], host: tuple[str, int] | None) -> str:
    if host:
        surface, number = host
        return f"cut-out of piece {number}{f' of {surface}' if surface else ''}, sheet {piece.sheet}"
    if piece.from_offcut:
        begun = elsewhere.get(piece.sheet)
        return f"offcut of sheet {piece.sheet}{f', begun on {begun}' if begun else ''}"
    return f"sheet {piece.sheet}, whole" if piece.whole else f"sheet {piece.sheet}"


def _cut_out(piece: Piece, metric: bool, *, slanting: bool) -> str:
    if not piece.notched:
        return ""
    if slanting:
        return "cut along the slant: measure there"
    return "cut out: " + "; ".join(cut_out.in_words(metric) for cut_out in cut_outs(piece))


def _cut(cut: StraightCut, metric: bool) -> str:
    start_nm, direction = (cut.y_nm, "lengthwise") if cut.lengthwise else (cut.x_nm, "across")
    where = "in the cut-out, " if cut.fallen else ""
    return (
        f"{where}{direction} at {format_length(start_nm, metric)},"
        f" {format_length(cut.length_nm, metric)} long"
    )


def _money(amount: Decimal) -> str:
    if not amount:
        return "nothing more"
    return f"{format_price(abs(amount))} {'less' if amount < 0 else 'more'}"
