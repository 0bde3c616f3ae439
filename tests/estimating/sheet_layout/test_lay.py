"""Layouts of floors: what he may ask for, what he is told, what assemblies get."""

from dataclasses import replace
from fractions import Fraction
from functools import cache

import pytest

from catalog.measures.room_measures import SHEET_MEASURES
from estimating.sheet_layout.estimate_by_area import Sheet
from estimating.sheet_layout.lay import lay
from estimating.sheet_layout.layout import FixedLayout, Layout, LayoutPreferences
from estimating.sheet_layout.rules import BACKER_BOARD
from estimating.sheet_layout.surface import Axis, Corner, Surface
from estimating.sheet_layout.warnings import warnings
from tests.estimating.sheet_layout.sheet_rooms import BACKER, IN, ISLAND, KITCHEN, L_SHAPE, U_SHAPE, rectangle
from tests.estimating.sheet_layout.validate import validate

FT = 12 * IN


@cache
def best_layout(surface: Surface) -> Layout:
    """The best layout of cement board in a room, searched once for all tests that look at it."""
    return lay(surface, BACKER)


def test_a_kitchen_floor_takes_ten_sheets() -> None:
    """13'-4" x 10'-8": 142.2 sq ft over 15 is 9.5."""
    layout = best_layout(KITCHEN)
    assert layout.sheets == layout.lower_bound == layout.sheets_by_area == 10
    assert layout.slivers == layout.close_joints == 0


def test_the_best_answer_betters_the_first() -> None:
    first, best = lay(U_SHAPE, BACKER, effort="first"), best_layout(U_SHAPE)
    assert best.rank < first.rank


def test_a_floor_that_leaves_next_to_nothing_over() -> None:
    """10'-4" x 9'-1" is 93.9 sq ft; three sheets of 4 x 8 ft, scored and snapped, are 96."""
    layout = lay(rectangle(124, 109), Sheet(96 * IN, 48 * IN, IN // 2), replace(BACKER_BOARD, kerf_nm=0))
    assert layout.sheets == layout.sheets_by_area == 3
    assert layout.slivers == 0
    assert validate(layout) == ()


def test_the_bound_lets_floor_escape_into_gaps_beside_edges() -> None:
    """Without the gap at the walls, an L of two sheets with their gaps, and 1 in by 4 in more.

    The L has a perimeter of 313.75 in, half of which times 1/8 in is 19.6 sq in, more than the 4.
    """
    wide, deep, step = 120 * IN + IN // 4, 36 * IN + IN // 8, 4 * IN
    ring = ((0, 0), (wide, 0), (wide, deep), (step, deep), (step, deep + IN), (0, deep + IN))
    layout = lay(Surface(ring), BACKER, replace(BACKER_BOARD, perimeter_gap_nm=0), effort="first")
    assert layout.area_nm2 > 2 * (60 * IN + IN // 8) * (36 * IN + IN // 8)
    assert layout.lower_bound == 2


def test_area_alone_may_say_a_sheet_less() -> None:
    """40 x 32 in is less than a sheet of 36 x 36, but only a sliver would complete it."""
    layout = lay(rectangle(40, 32), Sheet(36 * IN, 36 * IN, IN // 2))
    assert layout.sheets_by_area == 1
    assert layout.sheets == 2
    assert layout.slivers == 0


def test_measures_of_a_hand_worked_layout() -> None:
    """Two sheets side by side, 1/8 in all round: a joint of 36 in, 2 x 40 screws, 36 x 1/8 x 1/2 cu in."""
    width = 2 * 60 * IN + 3 * IN // 8
    floor = Surface(((0, 0), (width, 0), (width, 36 * IN + IN // 4), (0, 36 * IN + IN // 4)))
    measures = lay(floor, BACKER).measures()
    assert measures == {
        "sheets": 2,
        "cut_pieces": 0,
        "joint": 3,
        "butt_joint": 3,
        "tapered_joint": 0,
        "fasteners": 80,
        "joint_volume": Fraction(36, 16),
    }
    assert measures.keys() == SHEET_MEASURES


def test_joint_volume_needs_a_thickness() -> None:
    assert "joint_volume" not in lay(KITCHEN, Sheet(60 * IN, 36 * IN, 0), effort="first").measures()


def test_a_spare_sheet_is_added_to_what_is_bought_only() -> None:
    layout = lay(KITCHEN, BACKER, effort="first")
    more, same = layout.measures(extra_sheets=1), layout.measures()
    assert more["sheets"] == same["sheets"] + 1
    assert more["cut_pieces"] == same["cut_pieces"]


@pytest.mark.parametrize("surface", [KITCHEN, L_SHAPE, U_SHAPE, ISLAND])
def test_what_was_found_can_be_told_again(surface: Surface) -> None:
    found = best_layout(surface)
    again = lay(surface, BACKER, fixed=found.given)
    assert again.pieces[0] == found.pieces[0]
    assert [piece.rings for piece in again.pieces] == [piece.rings for piece in found.pieces]
    assert again.sheets == found.sheets


@pytest.mark.parametrize("surface", [KITCHEN, L_SHAPE, U_SHAPE, ISLAND])
def test_the_same_question_has_the_same_answer(surface: Surface) -> None:
    assert lay(surface, BACKER) == best_layout(surface)


@pytest.mark.parametrize(
    ("corner", "x_in", "y_in"), [("sw", 0, 0), ("se", 160, 0), ("nw", 0, 128), ("ne", 160, 128)]
)
def test_a_first_whole_sheet_goes_into_the_corner_that_he_starts_from(
    corner: Corner, x_in: int, y_in: int
) -> None:
    """First a full piece without cuts (common practice)."""
    preferences = LayoutPreferences("x", corner, first_width_nm=36 * IN, first_piece_nm=60 * IN)
    layout = lay(KITCHEN, BACKER, preferences=preferences)
    first = layout.pieces[0]
    assert first.whole
    assert IN // 8 in (abs(first.x_nm - x_in * IN), abs(first.x_nm + first.width_nm - x_in * IN))
    assert IN // 8 in (abs(first.y_nm - y_in * IN), abs(first.y_nm + first.height_nm - y_in * IN))
    assert validate(layout) == ()


@pytest.mark.parametrize("along", ["x", "y"])
def test_courses_run_as_he_wishes(along: Axis) -> None:
    layout = lay(L_SHAPE, BACKER, preferences=LayoutPreferences(along), effort="first")
    assert layout.given.courses_along == along
    assert validate(layout) == ()


def test_a_told_layout_that_breaks_the_offset_is_drawn_and_says_so() -> None:
    """Joints of all four courses in line: two joints across, three meetings of each."""
    layout = lay(KITCHEN, BACKER, fixed=FixedLayout("x", 36 * IN, (60 * IN,) * 4))
    assert layout.close_joints == 6
    assert tuple(warnings(layout))[0] == '6 pairs of joints in neighboring courses are less than 6" apart.'


def test_a_trim_too_narrow_to_snap_is_told() -> None:
    """A room 60 in wide with two gaps of 1/8 makes every board 59-3/4 long."""
    layout = lay(rectangle(60, 84), BACKER)
    assert any("too little to snap" in warning for warning in warnings(layout))
    assert not any("too little to snap" in warning for warning in warnings(best_layout(KITCHEN)))


def test_a_thin_leg_beside_a_notch_is_told() -> None:
    """A sheet set 56 in wide against an island 5 in from its end keeps a leg 5 in wide there."""
    room = Surface(
        rectangle(59, 35).ring,
        (((5 * IN, 10 * IN), (50 * IN, 10 * IN), (50 * IN, 35 * IN), (5 * IN, 35 * IN)),),
    )
    layout = lay(room, BACKER, fixed=FixedLayout("x", 36 * IN, (60 * IN,)))
    assert 'Piece 1 has a leg narrower than 6".' in tuple(warnings(layout))


def test_offcuts_are_marked_and_counted_in_the_order_of_laying() -> None:
    layout = best_layout(KITCHEN)
    seen: set[int] = set()
    for piece in layout.pieces:
        assert piece.from_offcut is (piece.sheet in seen)
        assert piece.from_offcut or piece.sheet == len(seen) + 1
        seen.add(piece.sheet)


def test_straight_cuts_part_every_sheet_that_is_cut() -> None:
    """A sheet with n pieces takes n - 1 cuts at least, and one more for what is left over."""
    layout = best_layout(KITCHEN)
    for sheet in range(1, layout.sheets + 1):
        pieces = [piece for piece in layout.pieces if piece.sheet == sheet]
        cuts = [cut for cut in layout.cuts if cut.sheet == sheet]
        assert len(cuts) >= len(pieces) - 1
        assert all(0 < cut.length_nm <= (60 if cut.lengthwise else 36) * IN for cut in cuts)
    assert layout.cut_nm == sum(cut.length_nm for cut in layout.cuts)


def test_a_room_with_a_clipped_corner_is_approximate() -> None:
    ring = ((0, 0), (10 * FT, 0), (13 * FT, 3 * FT), (13 * FT, 9 * FT), (0, 9 * FT))
    layout = lay(Surface(ring), BACKER)
    assert layout.approximate
    assert "isn't square-cornered" in tuple(warnings(layout))[0]
    true_nm2 = (13 * 9 - Fraction(9, 2)) * FT**2
    assert true_nm2 < layout.area_nm2 < true_nm2 + 3 * FT * FT // 2  # a strip more at most along the slant
    assert layout.perimeter_nm == pytest.approx(FT * (10 + 18**0.5 + 6 + 13 + 9), rel=1e-9)
    assert validate(layout) == ()


def test_an_oblique_room_is_laid_along_its_longest_wall() -> None:
    """A room of 100 x 75 in, turned so that its long wall rises 3 in 4."""
    room = Surface(((0, 0), (80 * IN, 60 * IN), (35 * IN, 120 * IN), (-45 * IN, 60 * IN)))
    layout = lay(room, BACKER)
    assert layout.surface.bearing == (80 * IN, 60 * IN)
    assert layout.area_nm2 == pytest.approx(100 * 75 * IN**2, rel=1e-6)
    start = layout.pieces[0].x_nm, layout.pieces[0].y_nm
    x, y = layout.surface.on_plan((0, 0)), layout.surface.on_plan((100 * IN, 0))
    assert (x, y) == ((0, 0), (80 * IN, 60 * IN))
    assert start == (IN // 8, IN // 8)


def test_an_oblique_room_is_begun_at_the_left_whichever_way_its_longest_wall_was_walked() -> None:
    room = Surface(((0, 0), (96 * IN, 0), (96 * IN, -72 * IN)))
    layout = lay(room, BACKER, preferences=LayoutPreferences(courses_along="x", corner="sw"), effort="first")
    middles = [
        layout.surface.on_plan((piece.x_nm + piece.width_nm // 2, piece.y_nm + piece.height_nm // 2))
        for piece in layout.pieces
    ]
    assert middles[0][0] == min(x for x, _ in middles)


def test_a_square_room_is_exact() -> None:
    assert not lay(KITCHEN, BACKER, effort="first").approximate


def test_cabinets_over_the_wall_line_are_taken_off_inside_only() -> None:
    cabinets = ((20 * IN, -5 * IN), (80 * IN, -5 * IN), (80 * IN, 24 * IN), (20 * IN, 24 * IN))
    layout = lay(Surface(KITCHEN.ring, (cabinets,)), BACKER, effort="first")
    assert layout.area_nm2 == (160 * 128 - 60 * 24) * IN**2
    assert layout.perimeter_nm == (2 * (160 + 128) + 2 * 24) * IN
    assert validate(layout) == ()


def test_a_warning_speaks_in_the_units_of_the_firm() -> None:
    layout = lay(KITCHEN, BACKER, fixed=FixedLayout("x", 36 * IN, (60 * IN,) * 4))
    assert next(warnings(layout)).endswith('less than 6" apart.')
    assert next(warnings(layout, metric=True)).endswith("less than 0.152 m apart.")
