"""Drawings of boards and tile: what they show, and what they say to who can't see them."""

import re
from xml.etree import ElementTree as ET

import pytest

from catalog.measures.units import NM_PER_INCH
from estimating.boards.description import cut_sheets, piece_rows
from estimating.boards.drawing import PAPER, layout_svg, tile_svg
from estimating.boards.tile import lay_tiles
from estimating.sheet_layout.lay import lay
from estimating.sheet_layout.layout import FixedLayout, Layout, Wishes
from estimating.sheet_layout.surface import Surface
from tests.estimating.sheet_layout.sheet_rooms import BACKER, ISLAND, KITCHEN, L_SHAPE, rectangle

IN = NM_PER_INCH
NS = "{http://www.w3.org/2000/svg}"


def first(surface: Surface = KITCHEN, **wishes: object) -> Layout:
    return lay(surface, BACKER, wishes=Wishes(**wishes), effort="first")


def drawn(layout: Layout, **more: object) -> ET.Element:
    return ET.fromstring(layout_svg(layout, "Kitchen, floor", **more))


def by_class(svg: ET.Element, name: str) -> list[ET.Element]:
    return [each for each in svg.iter() if name in each.get("class", "").split()]


@pytest.mark.parametrize("surface", [KITCHEN, L_SHAPE, ISLAND])
def test_every_piece_is_drawn_once_and_numbered_in_laying_order(surface: Surface) -> None:
    layout = first(surface)
    svg = drawn(layout)
    assert len(by_class(svg, "board-piece")) == len(layout.pieces)
    assert len(by_class(svg, "board-offcut")) == sum(piece.from_offcut for piece in layout.pieces)
    texts = [each.text or "" for each in svg.iter(f"{NS}text")]
    numbers = {int(found[1]) for text in texts if (found := re.match(r"(\d+)(:|$)", text))}
    assert numbers == set(range(1, len(layout.pieces) + 1))


def test_a_cut_piece_bears_its_size_to_a_sixteenth() -> None:
    layout = first(Surface(((0, 0), (100 * IN, 0), (100 * IN, 70 * IN), (0, 70 * IN))))
    cut = next(piece for piece in layout.pieces if not piece.whole)
    row = next(each for each in piece_rows(layout) if each.number == cut.number)
    assert row.size in "".join(each.text or "" for each in drawn(layout, wide=PAPER).iter(f"{NS}text"))


def test_a_piece_too_narrow_for_its_size_in_one_line_bears_it_in_two() -> None:
    starts = tuple(each * IN // 2 for each in (71, 108, 71, 108))
    layout = lay(rectangle(168, 120), BACKER, fixed=FixedLayout("x", 36 * IN, starts))
    [first_label, *_] = by_class(drawn(layout), "board-label")
    lines = [each.text for each in first_label.iter(f"{NS}text")]
    assert lines == ["1", "2' 11-1/2\" ×", "3' 0\""]


def test_fasteners_show_only_on_demand_and_each_has_its_cross() -> None:
    layout = first()
    assert by_class(drawn(layout), "board-fastener") == []
    (crosses,) = by_class(drawn(layout, fasteners=True), "board-fastener")
    assert crosses.get("d", "").count("h2.4") == layout.fastener_count


def test_only_the_corner_to_start_in_is_in_the_color_of_what_is_chosen() -> None:
    svg = drawn(first(corner="ne"))
    chosen = [each for each in svg.iter() if "#1d5a9e" in each.attrib.values()]
    assert [each.get("class") for each in chosen] == ["plan-chosen"]
    x, y = map(float, re.match(r"M([\d.-]+) ([\d.-]+)", chosen[0].get("d", "")).groups())
    assert x > 200
    assert y < 30


def test_a_drawing_obeys_the_content_policy_and_says_in_words_what_it_shows() -> None:
    layout = first(corner="nw", courses_along="y")
    text = layout_svg(layout, "Kitchen, floor")
    assert "style=" not in text
    assert "<script" not in text
    described = drawn(layout).find(f"{NS}desc").text
    assert "10 sheets of 5' 0\" × 3' 0\"" in described
    assert "Courses run up and down the drawing from the upper left corner" in described


def test_metric_firms_read_metric() -> None:
    texts = "".join(each.text or "" for each in drawn(first(), metric=True).iter(f"{NS}text"))
    assert "4.064 m" in texts
    assert '"' not in texts


NOOK = Surface(((0, 0), (120 * IN, 40 * IN), (100 * IN, 110 * IN), (-20 * IN, 70 * IN)))


def all_within(svg: ET.Element, name: str) -> bool:
    left, top, wide, high = map(float, svg.get("viewBox", "").split())
    points = [
        tuple(map(float, each.split()))
        for shape in by_class(svg, name)
        for each in re.findall(r"[\d.-]+ [\d.-]+", shape.get("d", ""))
    ]
    return bool(points) and all(left <= x <= left + wide and top - 20 <= y <= top + high for x, y in points)


def test_a_slanting_surface_is_drawn_within_the_picture() -> None:
    assert all_within(drawn(lay(NOOK, BACKER, effort="first")), "board-piece")


def test_tile_of_a_surface_whose_longest_wall_slants_lies_on_it() -> None:
    triangle = Surface(((0, 0), (96 * IN, 0), (96 * IN, -72 * IN)))
    for surface in (NOOK, triangle):
        svg = ET.fromstring(tile_svg(lay_tiles(surface, (12 * IN, 12 * IN)), "Nook, floor"))
        assert all_within(svg, "board-piece")


def test_the_arrow_of_a_slanting_room_runs_along_its_courses() -> None:
    svg = drawn(lay(NOOK, BACKER, wishes=Wishes(courses_along="x"), effort="first"))
    path = by_class(svg, "plan-chosen")[0].get("d", "")
    (x, y), (tip_x, tip_y) = [tuple(map(float, each)) for each in re.findall(r"L([\d.-]+) ([\d.-]+)", path)][
        :2
    ]
    # its longest wall rises 40 in 120; down the page is y
    assert (tip_y - y) / (tip_x - x) == pytest.approx(-1 / 3, abs=0.01)


def test_what_stands_in_a_slanting_room_is_drawn_where_it_stands() -> None:
    hole = ((40 * IN, 40 * IN), (60 * IN, 40 * IN), (60 * IN, 60 * IN), (40 * IN, 60 * IN))
    svg = drawn(lay(Surface(NOOK.ring, (hole,)), BACKER, effort="first"))
    (free,) = by_class(svg, "board-free")
    outline = by_class(svg, "plan-wall")[1].get("points", "")
    assert set(re.findall(r"[\d.-]+ [\d.-]+", free.get("d", ""))) == {
        each.replace(",", " ") for each in outline.split()
    }


def test_the_table_names_each_piece_its_sheet_and_its_place() -> None:
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
    listed = cut_sheets(layout)
    assert sum(len(each.cuts) for each in listed) == len(layout.cuts)
    for each in listed:
        own = [str(piece.number) for piece in layout.pieces if piece.sheet == each.sheet]
        assert re.findall(r"\d+", each.pieces) == own


def test_tile_is_drawn_whole_and_cut() -> None:
    layout = lay_tiles(KITCHEN, (24 * IN, 12 * IN))
    svg = ET.fromstring(tile_svg(layout, "Kitchen, floor"))
    whole, cut = by_class(svg, "board-piece")
    assert whole.get("d", "").count("M") == layout.whole
    assert cut.get("d", "").count("M") == layout.cut
    assert f"{layout.whole} whole and {layout.cut} cut" in svg.find(f"{NS}desc").text
