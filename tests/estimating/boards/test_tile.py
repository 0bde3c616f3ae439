"""Tile laid by the same courses as sheets: whole tiles, cut tiles, slivers, and the real waste."""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimating.boards.tile import TileRules, lay_tiles
from estimating.sheet_layout.rules import CannotLay
from estimating.sheet_layout.surface import Surface
from tests.estimating.sheet_layout.sheet_rooms import IN, L_SHAPE, in_eighths, rectangle, rooms

PLAIN = TileRules(joint_nm=0, perimeter_gap_nm=0, kerf_nm=0)
FOOT = (12 * IN, 12 * IN)


def test_whole_tiles_only() -> None:
    layout = lay_tiles(rectangle(96, 60), FOOT, PLAIN, start="from wall")
    assert (layout.whole, layout.cut, layout.used, layout.to_buy) == (40, 0, 40, 40)
    assert layout.waste == 0


def test_joints_count_in_the_module() -> None:
    """Tiles of 11-7/8 with joints of 1/8: the module is 12 in, so 8 of them with 7 joints are 95-7/8."""
    side = 95 * IN + 7 * IN // 8
    floor = Surface(((0, 0), (side, 0), (side, side), (0, side)))
    rules = TileRules(joint_nm=IN // 8, perimeter_gap_nm=0)
    layout = lay_tiles(floor, (95 * IN // 8, 95 * IN // 8), rules, start="from wall")
    assert (layout.whole, layout.cut) == (64, 0)
    across, between = 7 * (side - 7 * IN // 8), 7 * side
    assert layout.joint_nm == across + between


@pytest.mark.parametrize(("wide_in", "edge_in"), [(100, 8), (90, 9), (110, 7), (84, 12)])
def test_centered_tile_leaves_alike_edges_of_a_third_or_more(wide_in: int, edge_in: int) -> None:
    """100 in: a tile in the middle, 3 each side and 8 in left; 90 in: a joint there, 3 each side and 9 in."""
    layout = lay_tiles(rectangle(wide_in, 60), FOOT, PLAIN)
    edges = {piece.width_nm for piece in layout.pieces if piece.x_nm == 0}
    assert edges == {edge_in * IN}
    assert edges == {piece.width_nm for piece in layout.pieces if piece.x_nm + piece.width_nm == wide_in * IN}
    assert layout.slivers == 0


@pytest.mark.parametrize("wide_in", [98, 110])
def test_a_centered_joint_or_tile_leaves_edges_alike(wide_in: int) -> None:
    """With joints of 1/4 in: a joint in the middle of 98 in, a tile in that of 110."""
    layout = lay_tiles(rectangle(wide_in, 60), FOOT, TileRules(IN // 4, IN // 8))
    left = {piece.width_nm for piece in layout.pieces if piece.x_nm == IN // 8}
    right = {
        piece.width_nm for piece in layout.pieces if piece.x_nm + piece.width_nm == wide_in * IN - IN // 8
    }
    assert left == right
    assert len(left) == 1
    assert layout.slivers == 0


def test_from_a_wall_whole_tiles_begin_and_the_far_edge_is_cut() -> None:
    layout = lay_tiles(rectangle(102, 60), FOOT, PLAIN, start="from wall", corner="ne")
    assert {piece.width_nm for piece in layout.pieces if piece.x_nm + piece.width_nm == 102 * IN} == {12 * IN}
    assert {piece.width_nm for piece in layout.pieces if piece.x_nm == 0} == {6 * IN}
    assert layout.warnings == ()


def test_a_sliver_at_the_far_wall_moves_the_start_and_says_so() -> None:
    """98 in from a wall leave 2 in; with a cut at both walls no edge is less than 4 in."""
    layout = lay_tiles(rectangle(98, 60), FOOT, PLAIN, start="from wall")
    assert layout.slivers == 0
    assert min(piece.width_nm for piece in layout.pieces) >= 4 * IN
    assert layout.warnings == (
        "Tile starts elsewhere than asked, so that less than a third of a tile is left on fewer edges.",
    )


def test_slivers_that_no_start_avoids_are_warned_of() -> None:
    layout = lay_tiles(rectangle(60, 3), FOOT, PLAIN)
    assert layout.slivers == len(layout.pieces) == 5
    assert layout.warnings[0].startswith("5 pieces are less than a third of a tile")


@pytest.mark.parametrize("offset", [Fraction(1, 2), Fraction(1, 3)])
def test_each_course_is_shifted_by_the_offset(offset: Fraction) -> None:
    layout = lay_tiles(rectangle(120, 72), (12 * IN, 6 * IN), TileRules(0, 0, 0, offset), start="from wall")
    starts = {
        course: next(piece.width_nm for piece in layout.pieces if piece.course == course and piece.x_nm == 0)
        for course in range(4)
    }
    assert [starts[course] % (12 * IN) for course in range(4)] == [
        (starts[0] + course * offset * 12 * IN) % (12 * IN) for course in range(4)
    ]


def test_offcuts_serve_again_two_to_a_tile() -> None:
    """Courses of 7-1/2 tiles: half tiles at one end, two from one tile where offcuts are kept."""
    floor = rectangle(90, 48)
    kept = TileRules(0, 0, 0, reuse_offcuts=True)
    layout = lay_tiles(floor, FOOT, kept, start="from wall")
    assert (layout.whole, layout.cut, layout.used) == (28, 4, 30)
    assert lay_tiles(floor, FOOT, PLAIN, start="from wall").used == 32


def test_the_kerf_may_spoil_the_other_half() -> None:
    saw = TileRules(0, 0, IN // 16, reuse_offcuts=True)
    assert lay_tiles(rectangle(90, 48), FOOT, saw, start="from wall").used == 32


def test_waste_is_measured() -> None:
    """4 tiles of 32 half thrown away: 1/16, not a rule of thumb."""
    assert lay_tiles(rectangle(90, 48), FOOT, PLAIN, start="from wall").waste == Fraction(1, 16)


def test_spare_tile_is_bought_besides() -> None:
    layout = lay_tiles(rectangle(96, 60), FOOT, TileRules(0, 0, 0, spare=Fraction(5, 100)))
    assert (layout.used, layout.to_buy) == (40, 42)


@pytest.mark.parametrize(
    ("surface", "tile", "rules", "sentence"),
    [
        (rectangle(96, 60), (0, IN), PLAIN, "length and a width of more than zero"),
        (rectangle(96, 60), (IN, IN), TileRules(joint_nm=IN), "joint must be less than the tile"),
        (rectangle(96, 60), FOOT, TileRules(spare=Fraction(-1)), "can't be less than zero"),
        (rectangle(1, 1), FOOT, TileRules(perimeter_gap_nm=IN), "no room for a tile"),
        (rectangle(2_000, 2_000), (IN, IN), PLAIN, "more than 30,000 tiles"),
    ],
)
def test_what_cannot_be_laid_is_refused(
    surface: Surface, tile: tuple[int, int], rules: TileRules, sentence: str
) -> None:
    with pytest.raises(CannotLay, match=sentence):
        lay_tiles(surface, tile, rules)


def test_notched_tiles_carry_their_outline() -> None:
    """The inside corner of the L, at 87-1/2 in and 62-1/2 in, falls into a tile of 12 in from the walls."""
    layout = lay_tiles(L_SHAPE, FOOT, PLAIN, start="from wall")
    notched = [piece for piece in layout.pieces if piece.rings]
    assert len(notched) == 1
    assert len(notched[0].rings[0]) == 6


@settings(max_examples=15, deadline=None)
@given(rooms(), st.sampled_from([Fraction(0), Fraction(1, 2), Fraction(1, 3)]), st.booleans())
def test_tile_and_joints_fill_the_floor(surface: Surface, offset: Fraction, reuse: bool) -> None:
    """Without joints nothing is left bare; tiles bought cover what is laid."""
    layout = lay_tiles(surface, (12 * IN, 6 * IN), TileRules(0, 0, 0, offset, reuse))
    outer = lay_tiles(surface, (12 * IN, 6 * IN), TileRules(IN // 8, 0, 0, offset, reuse))
    assert outer.tile_nm2 < layout.tile_nm2
    boxes = sum(piece.width_nm * piece.height_nm for piece in layout.pieces)
    assert boxes >= layout.tile_nm2
    assert layout.used * 72 * IN**2 >= layout.tile_nm2
    assert layout.used <= len(layout.pieces)
    assert 0 <= layout.waste < 1


def test_starts_are_tried_by_twelfths_of_tile_and_joint_together() -> None:
    """160 in less 1/4, tile of 24 in with joints of 3/16, moved on by a third each time: one course in three
    leaves less than 8 in at one wall, wherever tile starts. Of eleven courses that is three at the least,
    where the first begins with two thirds of tile and joint."""
    layout = lay_tiles(
        rectangle(160, 128), (24 * IN, 12 * IN), TileRules(3 * IN // 16, offset=Fraction(1, 3))
    )
    assert layout.slivers == 3


def test_a_tile_that_ends_just_at_the_wall_is_whole_though_thirds_are_rounded() -> None:
    cross = in_eighths(
        *((436, 0), (436, 142), (0, 142), (0, 524), (436, 524), (436, 965), (0, 965), (0, 1304)),
        *((1079, 1304), (1079, 965), (885, 965), (885, 524), (1079, 524), (1079, 142), (885, 142), (885, 0)),
    )
    layout = lay_tiles(
        Surface(cross), (18 * IN, 18 * IN), TileRules(IN // 8, offset=Fraction(1, 3)), corner="nw"
    )
    short = [piece for piece in layout.pieces if piece.width_nm == 18 * IN - 1 and piece.height_nm == 18 * IN]
    assert [piece.whole for piece in short] == [True]
