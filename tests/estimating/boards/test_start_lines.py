"""The lines that tile starts from: edges of tile, measured from what is beside and below."""

from fractions import Fraction

import pytest
from shapely import LineString, Point, Polygon

from catalog.measures.lengths import NM_PER_INCH
from estimating.boards.drawing import tile_svg
from estimating.boards.start_lines import start_in_words, start_lines
from estimating.boards.tile import TileLayout, TileRules, lay_tiles
from estimating.sheet_layout.regions import Ring
from estimating.sheet_layout.surface import Surface

IN = NM_PER_INCH
PLAIN = TileRules(0, 0, 0)


def ring(*points: tuple[int, int]) -> Ring:
    return tuple((x * IN, y * IN) for x, y in points)


FLOOR = ring((0, 0), (126, 0), (126, 90), (0, 90))


def test_on_a_floor_they_cross_at_the_whole_tile_nearest_to_the_middle() -> None:
    """126 in: ten tiles of 12 in and 3 in at either side; 90: seven and 3 in, or a tile in the middle."""
    layout = lay_tiles(Surface(FLOOR), (12 * IN, 12 * IN), PLAIN)
    lines = start_lines(layout)
    assert lines is not None
    assert (lines.from_left_nm, lines.up_nm) == lines.at
    assert any((piece.x_nm, piece.y_nm) == lines.at and piece.whole for piece in layout.pieces)
    assert abs(lines.at[0] - 63 * IN) <= 6 * IN
    assert abs(lines.at[1] - 45 * IN) <= 6 * IN


def test_on_a_wall_the_second_row_stands_on_the_line() -> None:
    layout = lay_tiles(Surface(FLOOR, level=True), (6 * IN, 3 * IN), TileRules(IN // 8), start="from below")
    lines = start_lines(layout)
    assert lines is not None
    assert lines.up_nm == IN // 8 + 3 * IN + IN // 8  # the gap at the foot, a row, a joint
    assert start_in_words(layout).startswith('Start: a level line 3-1/4" above the edge below')


def test_they_are_measured_to_the_first_edge_of_wall_or_fixture() -> None:
    """An L, with a cabinet along its foot: what is measured is what a tape meets first."""
    room = ring((0, 0), (144, 0), (144, 60), (84, 60), (84, 120), (0, 120))
    cabinet = ring((0, 0), (96, 0), (96, 24), (0, 24))
    surface = Surface(room, (cabinet,))
    layout = lay_tiles(surface, (12 * IN, 12 * IN), PLAIN)
    lines = start_lines(layout)
    assert lines is not None
    x, y = lines.at
    free = Polygon(room).difference(Polygon(cabinet))
    at = Point(x, y)
    for reach, found in (((x - 200 * IN, y), lines.from_left_nm), ((x, y - 200 * IN), lines.up_nm)):
        beam = LineString([(x, y), reach]).intersection(free)
        first = min(getattr(beam, "geoms", [beam]), key=at.distance)
        assert first.length == pytest.approx(found)


@pytest.mark.parametrize("start", ["centred", "from wall"])
@pytest.mark.parametrize("along", ["x", "y"])
def test_a_tile_of_every_start_has_its_corner_there(start: str, along: str) -> None:
    layout = lay_tiles(
        Surface(FLOOR),
        (24 * IN, 12 * IN),
        TileRules(IN // 8, offset=Fraction(1, 3)),
        start=start,  # type: ignore[arg-type]
        along=along,  # type: ignore[arg-type]
        corner="ne",
    )
    lines = start_lines(layout)
    assert lines is not None
    assert any((piece.x_nm, piece.y_nm) == lines.at and piece.whole for piece in layout.pieces)


def test_without_a_whole_tile_or_square_corners_there_are_none() -> None:
    small = lay_tiles(Surface(ring((0, 0), (10, 0), (10, 8), (0, 8))), (12 * IN, 12 * IN), PLAIN)
    slanting = lay_tiles(Surface(ring((0, 0), (90, 10), (80, 90), (-10, 80))), (12 * IN, 12 * IN), PLAIN)
    assert start_lines(small) is None
    assert start_lines(slanting) is None
    assert start_in_words(slanting) == ""


def test_the_drawing_shows_both_lines_with_their_distances() -> None:
    layout: TileLayout = lay_tiles(Surface(FLOOR), (12 * IN, 12 * IN), PLAIN)
    svg = tile_svg(layout, "the floor")
    assert 'stroke-dasharray="9 3 2 3"' in svg
    lines = start_lines(layout)
    assert lines is not None
    assert svg.count('class="board-label"') == 2 + 2  # and the sizes of the surface
