"""Layouts that can't be, and those that only just can: a plain sentence or an answer, never a hang."""

from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest

from estimating.sheet_layout.estimate_by_area import Sheet
from estimating.sheet_layout.lay import lay
from estimating.sheet_layout.layout import FixedLayout, LayoutPreferences
from estimating.sheet_layout.rules import BACKER_BOARD, CannotLay, SheetRules
from estimating.sheet_layout.surface import Surface
from estimating.sheet_layout.warnings import warnings
from tests.estimating.sheet_layout.sheet_rooms import BACKER, IN, KITCHEN, rectangle
from tests.estimating.sheet_layout.validate import validate


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"min_offset_nm": 31 * IN}, "Joints can't be 2' 7\" apart .* 5' 0\" long: at most half"),
        ({"min_piece_nm": 40 * IN}, "A least piece of 3' 4\" is wider than the sheet itself"),
        ({"fastener_spacing_nm": 0}, 'Fasteners must be allowed at least 1" apart'),
        ({"fastener_spacing_nm": IN // 1000}, 'Fasteners must be allowed at least 1" apart'),
        ({"gap_nm": -1}, "can't be less than zero"),
        ({"edge_nm": -1}, "can't be less than zero"),
        ({"edge_nm": 19 * IN}, "can't keep 1' 7\" from both edges of sheets 3' 0\" wide"),
        ({"gap_nm": 36 * IN}, "must be less than the sheet"),
        ({"kerf_nm": 36 * IN}, "must be less than the sheet"),
    ],
)
def test_rules_that_contradict_each_other_are_refused(change: dict[str, Any], sentence: str) -> None:
    with pytest.raises(CannotLay, match=sentence):
        lay(KITCHEN, BACKER, replace(BACKER_BOARD, **change))


@pytest.mark.parametrize(
    ("surface", "sentence"),
    [
        (Surface(()), "encloses no surface"),
        (Surface(((0, 0), (120 * IN, 0))), "encloses no surface"),
        (Surface(((0, 0), (IN // 4, 0), (IN // 4, IN), (0, IN))), "no room for a sheet between the gaps"),
        (rectangle(12_000, 12_000), "more than 2,000 sheets"),
    ],
)
def test_a_surface_that_takes_no_sheets_is_refused(surface: Surface, sentence: str) -> None:
    with pytest.raises(CannotLay, match=sentence):
        lay(surface, BACKER)


@pytest.mark.parametrize(
    ("fixed", "sentence"),
    [
        (FixedLayout("x", 0, (IN,)), "first course must be more than zero and at most 3' 0\" wide"),
        (FixedLayout("x", 37 * IN, (IN,)), "first course must be more than zero and at most 3' 0\" wide"),
        (FixedLayout("x", 36 * IN, (60 * IN,)), "need 4 first pieces, one each, not 1"),
        (FixedLayout("x", 36 * IN, (60 * IN, 30 * IN, 60 * IN, 0)), "first piece .* at most 5' 0\" long"),
    ],
)
def test_a_told_layout_that_cannot_be_is_refused(fixed: FixedLayout, sentence: str) -> None:
    with pytest.raises(CannotLay, match=sentence):
        lay(KITCHEN, BACKER, fixed=fixed)


@pytest.mark.parametrize("nm", [0, -1, 61 * IN])
def test_wishes_that_no_sheet_can_meet_are_refused(nm: int) -> None:
    with pytest.raises(CannotLay, match="first course must be more than zero"):
        lay(KITCHEN, BACKER, preferences=LayoutPreferences(first_width_nm=nm))
    with pytest.raises(CannotLay, match="first piece of a course must be more than zero"):
        lay(KITCHEN, BACKER, preferences=LayoutPreferences(first_piece_nm=nm))


def test_fasteners_without_number_are_refused() -> None:
    """A floor of 40 by 100 ft with one an inch each way: more than anybody drives, or can draw."""
    with pytest.raises(CannotLay, match="more than 500,000 fasteners: allow them farther apart"):
        lay(rectangle(40 * 12, 100 * 12), BACKER, replace(BACKER_BOARD, fastener_spacing_nm=IN))


def test_a_surface_of_one_inch_takes_one_piece_and_says_that_it_is_small() -> None:
    layout = lay(rectangle(1, 1), BACKER)
    assert [(piece.width_nm, piece.height_nm) for piece in layout.pieces] == [(3 * IN // 4, 3 * IN // 4)]
    assert layout.sheets == 1
    assert tuple(warnings(layout))[0].startswith('1 piece is narrower than 6" (3/4" at the narrowest)')


def test_a_sheet_larger_than_the_room_is_one_piece() -> None:
    layout = lay(rectangle(30, 20), BACKER)
    assert (layout.sheets, len(layout.pieces), layout.joint_nm) == (1, 1, 0)
    assert tuple(warnings(layout)) == ()


def test_a_room_narrower_than_the_least_piece_is_reported_not_refused() -> None:
    layout = lay(rectangle(5, 100), BACKER)
    assert layout.slivers == len(layout.pieces) == 2
    assert 'narrower than 6"' in tuple(warnings(layout))[0]
    assert validate(layout) == ()


def test_sheets_without_gaps_or_kerf_cover_the_whole_floor() -> None:
    layout = lay(KITCHEN, BACKER, SheetRules(gap_nm=0, perimeter_gap_nm=0, kerf_nm=0))
    assert layout.board_nm2 == layout.area_nm2 == 160 * 128 * IN**2
    assert layout.measures()["joint_volume"] == 0
    assert layout.joint_nm > 0
    assert validate(layout) == ()


def test_five_hundred_corners_are_laid_in_bounded_work() -> None:
    steps = [(40 + i % 7 + i % 3) * 3 * IN for i in range(125)]
    tops = [(2 * (i + side) * IN, high) for i, high in enumerate(steps) for side in (0, 1)]
    bottoms = [(x, -high) for x, high in tops]
    layout = lay(Surface((*bottoms, *reversed(tops))), BACKER)
    double = sum(ax * by - bx * ay for (ax, ay), (bx, by) in pairwise((*bottoms, *tops[::-1], bottoms[0])))
    assert layout.area_nm2 == abs(double) // 2
    assert layout.lower_bound <= layout.sheets <= len(layout.pieces)
    assert layout.close_joints == 0


def test_too_many_corners_are_refused() -> None:
    zigzag = tuple((i * IN, (i % 2 + 50) * IN) for i in range(1_001))
    with pytest.raises(CannotLay, match="more than 1,000 corners"):
        lay(Surface(zigzag), BACKER)


def test_a_sheet_may_be_given_either_way_round() -> None:
    upright = lay(KITCHEN, Sheet(36 * IN, 60 * IN, IN // 2), effort="first")
    assert upright.rank == lay(KITCHEN, BACKER, effort="first").rank
