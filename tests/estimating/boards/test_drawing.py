"""Drawings of boards and tile: what they show, and their words for readers who can't see them."""

import re
from dataclasses import replace
from typing import Any
from xml.etree import ElementTree as ET

import pytest

from catalog.measures.lengths import NM_PER_INCH
from estimating.boards.description import cut_sheets, layout_in_words, piece_rows
from estimating.boards.drawing import PAPER_WIDTH, layout_svg, tile_svg
from estimating.boards.tile import lay_tiles
from estimating.sheet_layout.estimate_by_area import Sheet
from estimating.sheet_layout.lay import lay
from estimating.sheet_layout.layout import FixedLayout, Layout, LayoutPreferences
from estimating.sheet_layout.rules import DRYWALL_CEILING, DRYWALL_WALL
from estimating.sheet_layout.surface import Lines, Surface
from tests.estimating.sheet_layout.sheet_rooms import BACKER, ISLAND, KITCHEN, L_SHAPE, rectangle

IN = NM_PER_INCH
NS = "{http://www.w3.org/2000/svg}"


def first(surface: Surface = KITCHEN, **preferences: Any) -> Layout:
    return lay(surface, BACKER, preferences=LayoutPreferences(**preferences), effort="first")


def drawn(layout: Layout, **options: Any) -> ET.Element:
    return ET.fromstring(layout_svg(layout, "Kitchen, floor", **options))


def by_class(svg: ET.Element, name: str) -> list[ET.Element]:
    return [element for element in svg.iter() if name in element.get("class", "").split()]


def text_of(svg: ET.Element) -> str:
    return "".join(element.text or "" for element in svg.iter(f"{NS}text"))


def pairs(text: str, before: str = "") -> list[tuple[float, float]]:
    """Return the pairs of numbers in a path, those after a certain letter if one is given."""
    found = re.findall(rf"{before}([\d.-]+) ([\d.-]+)", text)
    return [(float(x), float(y)) for x, y in found]


@pytest.mark.parametrize("surface", [KITCHEN, L_SHAPE, ISLAND])
def test_every_piece_is_drawn_once_and_numbered_in_laying_order(surface: Surface) -> None:
    layout = first(surface)
    svg = drawn(layout)
    assert len(by_class(svg, "board-piece")) == len(layout.pieces)
    assert len(by_class(svg, "board-offcut")) == sum(piece.from_offcut for piece in layout.pieces)
    texts = [element.text or "" for element in svg.iter(f"{NS}text")]
    numbers = {int(match[1]) for text in texts if (match := re.match(r"(\d+)(:|$)", text))}
    assert numbers == set(range(1, len(layout.pieces) + 1))


def test_a_cut_piece_bears_its_size_to_a_sixteenth() -> None:
    layout = first(Surface(((0, 0), (100 * IN, 0), (100 * IN, 70 * IN), (0, 70 * IN))))
    cut = next(piece for piece in layout.pieces if not piece.whole)
    row = next(row for row in piece_rows(layout) if row.number == cut.number)
    assert row.size in text_of(drawn(layout, wide=PAPER_WIDTH))


def test_a_piece_too_narrow_for_its_size_in_one_line_bears_it_in_two() -> None:
    starts = tuple(halves * IN // 2 for halves in (71, 108, 71, 108))
    layout = lay(rectangle(168, 120), BACKER, fixed=FixedLayout("x", 36 * IN, starts))
    [first_label, *_] = by_class(drawn(layout), "board-label")
    lines = [line.text for line in first_label.iter(f"{NS}text")]
    assert lines == ["1", "2' 11-1/2\" ×", "3' 0\""]


def test_fasteners_show_only_on_demand_and_each_has_its_cross() -> None:
    layout = first()
    assert by_class(drawn(layout), "board-fastener") == []
    (crosses,) = by_class(drawn(layout, fasteners=True), "board-fastener")
    assert crosses.get("d", "").count("h2.4") == layout.fastener_count


def test_only_the_corner_to_start_in_is_in_the_color_of_what_is_chosen() -> None:
    svg = drawn(first(corner="ne"))
    chosen = [element for element in svg.iter() if "#1d5a9e" in element.attrib.values()]
    assert [element.get("class") for element in chosen] == ["plan-chosen"]
    x, y = pairs(chosen[0].get("d", ""), before="^M")[0]
    assert x > 200
    assert y < 30


def test_a_drawing_obeys_the_content_policy_and_says_in_words_what_it_shows() -> None:
    layout = first(corner="nw", courses_along="y")
    text = layout_svg(layout, "Kitchen, floor")
    assert "style=" not in text
    assert "<script" not in text
    description = drawn(layout).findtext(f"{NS}desc", "")
    assert "10 sheets of 5' 0\" × 3' 0\"" in description
    assert "Courses run up and down the drawing from the upper left corner" in description


def test_metric_firms_read_metric() -> None:
    text = text_of(drawn(first(), metric=True))
    assert "4.064 m" in text
    assert '"' not in text


NOOK = Surface(((0, 0), (120 * IN, 40 * IN), (100 * IN, 110 * IN), (-20 * IN, 70 * IN)))


def all_within(svg: ET.Element, name: str) -> bool:
    left, top, wide, high = map(float, svg.get("viewBox", "").split())
    points = [point for shape in by_class(svg, name) for point in pairs(shape.get("d", ""))]
    return bool(points) and all(left <= x <= left + wide and top - 20 <= y <= top + high for x, y in points)


def test_a_slanting_surface_is_drawn_within_the_picture() -> None:
    assert all_within(drawn(lay(NOOK, BACKER, effort="first")), "board-piece")


def test_tile_of_a_surface_whose_longest_wall_slants_lies_on_it() -> None:
    triangle = Surface(((0, 0), (96 * IN, 0), (96 * IN, -72 * IN)))
    for surface in (NOOK, triangle):
        svg = ET.fromstring(tile_svg(lay_tiles(surface, (12 * IN, 12 * IN)), "Nook, floor"))
        assert all_within(svg, "board-piece")


def test_the_arrow_of_a_slanting_room_runs_along_its_courses() -> None:
    svg = drawn(lay(NOOK, BACKER, preferences=LayoutPreferences(courses_along="x"), effort="first"))
    path = by_class(svg, "plan-chosen")[0].get("d", "")
    (x, y), (tip_x, tip_y) = pairs(path, before="L")[:2]
    # its longest wall rises 40 in 120; down the page is y
    assert (tip_y - y) / (tip_x - x) == pytest.approx(-1 / 3, abs=0.01)


def test_what_stands_in_a_slanting_room_is_drawn_where_it_stands() -> None:
    hole = ((40 * IN, 40 * IN), (60 * IN, 40 * IN), (60 * IN, 60 * IN), (40 * IN, 60 * IN))
    svg = drawn(lay(Surface(NOOK.ring, (hole,)), BACKER, effort="first"))
    (free,) = by_class(svg, "board-free")
    outline = by_class(svg, "plan-wall")[1].get("points", "")
    assert set(re.findall(r"[\d.-]+ [\d.-]+", free.get("d", ""))) == {
        point.replace(",", " ") for point in outline.split()
    }


def test_the_table_names_each_piece_its_sheet_and_its_position() -> None:
    layout = first(ISLAND)
    rows = piece_rows(layout)
    assert [row.number for row in rows] == list(range(1, len(layout.pieces) + 1))
    notched = {piece.number for piece in layout.pieces if piece.notched}
    assert {row.number for row in rows if row.cut_out} == notched != set()
    assert all(
        row.comes_from.startswith("offcut of sheet") == piece.from_offcut
        for row, piece in zip(rows, layout.pieces, strict=True)
    )


def test_the_cuts_are_listed_by_sheet_with_the_pieces_they_give() -> None:
    layout = first()
    sheets = cut_sheets(layout)
    assert sum(len(sheet.cuts) for sheet in sheets) == len(layout.cuts)
    for sheet in sheets:
        own = [str(piece.number) for piece in layout.pieces if piece.sheet == sheet.sheet]
        assert re.findall(r"\d+", sheet.pieces) == own


def test_tile_is_drawn_whole_and_cut() -> None:
    layout = lay_tiles(KITCHEN, (24 * IN, 12 * IN))
    svg = ET.fromstring(tile_svg(layout, "Kitchen, floor"))
    whole, cut = by_class(svg, "board-piece")
    assert whole.get("d", "").count("M") == layout.whole
    assert cut.get("d", "").count("M") == layout.cut
    assert f"{layout.whole} whole and {layout.cut} cut" in svg.findtext(f"{NS}desc", "")


def test_studs_are_dashed_and_a_joint_between_them_is_thick() -> None:
    wall = replace(rectangle(150, 48), level=True, framing=Lines(20 * IN, 16 * IN))
    drywall = Sheet(96 * IN, 48 * IN, IN // 2)
    on, off = (
        lay(wall, drywall, DRYWALL_WALL, fixed=FixedLayout("x", 48 * IN, (first * IN,))) for first in (84, 80)
    )
    (studs,) = by_class(drawn(on), "board-stud")
    xs = [float(x) for x in re.findall(r"M([\d.]+) ", studs.get("d", ""))]
    assert len(xs) == 10  # at 4, 20, ... 148 in
    assert {round(b - a, 1) for a, b in zip(xs, xs[1:], strict=False)} <= {35.4, 35.5, 35.3}
    assert by_class(drawn(on), "board-off-stud") == []
    assert len(by_class(drawn(off), "board-off-stud")) == 1
    assert "1 joint between them, drawn thick." in layout_in_words(off, "Wall A")
    assert by_class(drawn(first()), "board-stud") == []


def test_joists_along_wall_a_are_dashed_from_side_to_side() -> None:
    ceiling = replace(rectangle(150, 48), framing=Lines(20 * IN, 16 * IN, "x"))
    layout = lay(ceiling, Sheet(96 * IN, 48 * IN, IN // 2), DRYWALL_CEILING)
    (joists,) = by_class(drawn(layout), "board-stud")
    ends = re.findall(r"M([\d.]+) ([\d.]+)L([\d.]+) ([\d.]+)", joists.get("d", ""))
    assert len(ends) == 3  # at 4, 20 and 36 in
    assert all(
        start < end and y == end_y
        for start, y, end, end_y in ((float(a), b, float(c), d) for a, b, c, d in ends)
    )
