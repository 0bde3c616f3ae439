"""What is cut out of a piece, and the words for its size and position."""

from dataclasses import replace

import pytest
from hypothesis import given, settings

from estimating.boards.cut_outs import cut_outs
from estimating.boards.description import piece_rows
from estimating.sheet_layout.lay import lay
from estimating.sheet_layout.layout import Piece
from estimating.sheet_layout.rules import DRYWALL_WALL
from estimating.sheet_layout.surface import Surface
from tests.estimating.sheet_layout.sheet_rooms import BACKER, IN, rooms

BOARD = (0, 0), (96, 0), (96, 48), (0, 48)


def box(x: int, y: int, wide: int, high: int) -> tuple[tuple[int, int], ...]:
    return (x, y), (x + wide, y), (x + wide, y + high), (x, y + high)


def board(*holes: tuple[tuple[int, int], ...]) -> Piece:
    """Return a board of 8 by 4 ft, butted all round, with holes given in inches."""
    outer, *inner = [tuple((x * IN, y * IN) for x, y in ring) for ring in (BOARD, *holes)]
    sheet = replace(BACKER, length_nm=96 * IN, width_nm=48 * IN)
    (piece,) = lay(Surface(outer, tuple(inner)), sheet, replace(DRYWALL_WALL, corner_clear_nm=0)).pieces
    return piece


@pytest.mark.parametrize(
    ("hole", "words"),
    [
        (box(20, 0, 32, 30), "2' 8\" × 2' 6\" at the bottom, 1' 8\" from the left"),
        (box(36, 36, 36, 12), "3' 0\" × 1' 0\" at the top, 3' 0\" from the left"),
        (box(0, 40, 10, 8), '10" × 8" at the top left'),
        (box(86, 0, 10, 8), '10" × 8" at the bottom right'),
        (box(0, 10, 5, 12), '5" × 1\' 0" at the left, 10" up'),
        (box(91, 10, 5, 12), '5" × 1\' 0" at the right, 10" up'),
        (box(12, 16, 2, 4), '2" × 4", 1\' 0" from the left and 1\' 4" up'),
    ],
)
def test_a_cut_out_has_its_size_and_its_position(hole: tuple[tuple[int, int], ...], words: str) -> None:
    assert [cut_out.in_words() for cut_out in cut_outs(board(hole))] == [words]


def test_several_are_said_from_the_bottom_up() -> None:
    holes = list(cut_outs(board(box(80, 40, 16, 8), box(12, 16, 2, 4))))
    assert [(hole.left_nm // IN, hole.below_nm // IN) for hole in holes] == [(12, 16), (80, 40)]


def test_what_goes_in_steps_says_so() -> None:
    (cut_out,) = cut_outs(board(((0, 0), (20, 0), (20, 6), (10, 6), (10, 12), (0, 12))))
    assert cut_out.in_words() == "in steps within 1' 8\" × 1' 0\" at the bottom left"


def test_a_piece_that_is_its_whole_box_has_none() -> None:
    assert list(cut_outs(board())) == []


def test_along_a_slant_the_installer_measures_on_the_spot() -> None:
    surface = Surface(((0, 0), (90 * IN, 0), (90 * IN, 40 * IN), (30 * IN, 40 * IN)))
    rows = piece_rows(lay(surface, BACKER, effort="first"))
    assert {row.cut_out for row in rows} >= {"cut along the slant: measure there"}


@settings(max_examples=40, deadline=None)
@given(rooms())
def test_a_piece_is_its_box_less_what_is_cut_out(surface: Surface) -> None:
    for piece in lay(surface, BACKER, effort="first").pieces:
        missing = list(cut_outs(piece))
        if not any(cut_out.stepped for cut_out in missing):
            missing_nm2 = sum(cut_out.width_nm * cut_out.height_nm for cut_out in missing)
            assert piece.width_nm * piece.height_nm - missing_nm2 == piece.area_nm2
