"""Sheet layouts against cases that two independent programs worked out, in inches."""

from typing import Any, Literal

import pytest

from catalog.measures.lengths import NM_PER_INCH
from estimating.sheet_layout.lay import lay
from estimating.sheet_layout.layout import FixedLayout, Layout
from tests.estimating.sheet_layout.published_cases import FIXED, FREE, name, nm, rules, sheet, surface
from tests.estimating.sheet_layout.validate import validate


def laid(case: dict[str, Any]) -> Layout:
    given = case["layout"]
    fixed = FixedLayout(
        given["courses_run_along"],
        nm(given["first_course_width"]),
        tuple(map(nm, given["first_piece_lengths"])),
    )
    return lay(surface(case), sheet(case), rules(case), fixed=fixed)


def inches(length_nm: int) -> Any:
    return pytest.approx(length_nm / NM_PER_INCH, abs=1e-3)


def square_inches(area_nm2: int) -> Any:
    return pytest.approx(area_nm2 / NM_PER_INCH**2, abs=1e-3)


@pytest.mark.parametrize("case", FIXED, ids=name)
def test_pieces_of_a_layout_that_is_told(case: dict[str, Any]) -> None:
    layout, expected = laid(case), case["expected"]
    assert len(layout.pieces) == expected["pieces"]
    for piece, wanted in zip(layout.pieces, expected["piece_list"], strict=True):
        assert piece.course == wanted["course"]
        assert [wanted["x"], wanted["y"]] == [inches(piece.x_nm), inches(piece.y_nm)]
        assert [wanted["w"], wanted["h"]] == [inches(piece.width_nm), inches(piece.height_nm)]
        assert wanted["area_sqin"] == square_inches(piece.area_nm2)


@pytest.mark.parametrize("case", FIXED, ids=name)
def test_counts_of_a_layout_that_is_told(case: dict[str, Any]) -> None:
    layout, expected = laid(case), case["expected"]
    assert sum(piece.whole for piece in layout.pieces) == expected["full_sheets"]
    assert layout.cut_pieces == expected["cut_pieces"]
    assert sum(piece.notched for piece in layout.pieces) == expected["notched_pieces"]
    assert (layout.close_joints == 0) is expected["stagger_ok"]
    assert layout.slivers == expected["slivers"]
    assert layout.sheets == expected["sheets_optimum"]
    assert len(layout.pieces) == expected["sheets_without_reuse"]
    assert sum(len(piece.notch_cuts_nm) for piece in layout.pieces) == expected["notch_cuts"]
    assert len(layout.cuts) <= expected["straight_cuts_of_reference_plan"]
    assert layout.fastener_count == expected["screws"]


@pytest.mark.parametrize("case", FIXED, ids=name)
def test_lengths_and_areas_of_a_layout_that_is_told(case: dict[str, Any]) -> None:
    layout, expected = laid(case), case["expected"]
    assert expected["joint_length_in"] == inches(layout.joint_nm)
    assert expected["joint_across_courses_in"] == inches(layout.across_nm)
    assert expected["joint_between_courses_in"] == inches(layout.between_nm)
    assert expected["perimeter_in"] == inches(layout.perimeter_nm)
    assert expected["floor_area_sqin"] == square_inches(layout.area_nm2)
    assert expected["usable_area_sqin"] == square_inches(layout.usable_nm2)
    assert expected["board_area_sqin"] == square_inches(layout.board_nm2)
    assert expected["gap_area_sqin"] == square_inches(layout.gap_nm2)
    volume = layout.measures()["joint_volume"]
    assert float(volume) == pytest.approx(expected["joint_fill_cuin_half_inch_board"], abs=1e-3)


@pytest.mark.parametrize("case", FIXED, ids=name)
def test_a_layout_that_is_told_is_valid(case: dict[str, Any]) -> None:
    assert validate(laid(case)) == ()


@pytest.mark.parametrize("effort", ["first", "best"])
@pytest.mark.parametrize("case", FREE, ids=name)
def test_the_search_reaches_the_best_known_count(
    case: dict[str, Any], effort: Literal["first", "best"]
) -> None:
    layout, expected = lay(surface(case), sheet(case), rules(case), effort=effort), case["expected"]
    assert expected["lower_bound_sheets"] <= layout.sheets <= expected["best_known_sheets"]
    assert layout.lower_bound == expected["lower_bound_sheets"]
    assert layout.slivers == 0
    assert validate(layout) == ()
