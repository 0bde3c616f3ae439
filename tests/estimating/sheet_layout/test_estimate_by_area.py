"""Sheets on a surface, from area and perimeter alone."""

from fractions import Fraction
from math import ceil

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.measures.lengths import NM_PER_FOOT, NM_PER_INCH
from catalog.measures.room_measures import SHEET_MEASURES
from estimating.sheet_layout.estimate_by_area import AreaRules, Sheet, estimate_sheets, fasteners_per_sheet

IN, FT = NM_PER_INCH, NM_PER_FOOT
BACKER = Sheet(5 * FT, 3 * FT, IN // 2)
DRYWALL = Sheet(8 * FT, 4 * FT, IN // 2)


def test_backer_on_a_kitchen_floor() -> None:
    """13'-4" x 10'-8" with 10 % waste: 156.4 / 15 = 10.43."""
    measures = estimate_sheets(Fraction(160 * 128, 144), Fraction(48), BACKER)
    assert measures["sheets"] == 11


@pytest.mark.parametrize(
    ("area_sqft", "waste", "sheets"),
    [
        (148 * 8, 0, 37),  # walls 148 ft x 8 ft, one side
        (149 * 8 * 2, 0, 75),  # both sides of 149 ft: 74.5
        (24 * 50, 0, 38),  # ceiling: 37.5
        (38 * 32, 5, 40),  # 38 sheets and 5 % waste: 39.9
    ],
)
def test_drywall_sheets_printed_in_a_textbook(area_sqft: int, waste: int, sheets: int) -> None:
    """Estimating in Building Construction, p. 203 with Example 16-3."""
    rules = AreaRules(waste=Fraction(waste, 100))
    assert estimate_sheets(Fraction(area_sqft), Fraction(0), DRYWALL, rules)["sheets"] == sheets


def test_backer_on_eighty_square_feet() -> None:
    """80 x 1.10 / 15 = 5.87 boards."""
    assert estimate_sheets(Fraction(80), Fraction(36), BACKER)["sheets"] == 6


@pytest.mark.parametrize(
    ("sheet", "count"),
    [
        (BACKER, 8 * 5),
        (DRYWALL, 13 * 7),
        (Sheet(4 * IN, 4 * IN, 0), 1),
        (Sheet(12 * IN, 5 * IN, 0), 2 * 2),
        (Sheet(12 * IN + 1, 4 * IN, 0), 3),
    ],
)
def test_grid_of_fasteners_on_one_sheet(sheet: Sheet, count: int) -> None:
    assert fasteners_per_sheet(sheet) == count


def test_fasteners_are_for_the_area_covered_not_for_the_waste() -> None:
    """The grid of 8 x 5 on 15 sq ft, and 13 on 8 ft along half the perimeter, where boards are cut."""
    for area, perimeter in ((30, 22), (31, 23)):
        fasteners = estimate_sheets(Fraction(area), Fraction(perimeter), BACKER)["fasteners"]
        assert fasteners == ceil(Fraction(area * 40, 15) + Fraction(perimeter * 13, 8 * 2))


def test_fasteners_go_into_framing_where_rows_are_farther_apart_than_along_it() -> None:
    """Drywall on a ceiling: 12 in apart along joists 16 in apart is 7 x 5 on a whole sheet."""
    rules = AreaRules(fastener_spacing_nm=12 * IN, row_spacing_nm=16 * IN, edge_nm=3 * IN // 8)
    assert fasteners_per_sheet(DRYWALL, rules) == 7 * 5


def test_joints_of_four_boards_laid_two_by_two() -> None:
    """10 ft x 6 ft in four 5 x 3 boards: one joint of 10 ft, one of 6 ft, filled 1/8 in by 1/2 in."""
    measures = estimate_sheets(Fraction(60), Fraction(32), BACKER)
    assert measures["joint"] == 16
    assert measures["joint_volume"] == 16 * 12 * Fraction(1, 16)


def test_a_floor_smaller_than_one_board_has_no_joint() -> None:
    measures = estimate_sheets(Fraction(4), Fraction(8), BACKER)
    assert (measures["joint"], measures["joint_volume"], measures["sheets"]) == (0, 0, 1)


@pytest.mark.parametrize(
    ("area_sqft", "perimeter_ft", "cut"),
    [(35, 24, 3), (56, 34, 5), (143, 48, 6), (0, 0, 0)],
)
def test_boards_are_cut_along_half_the_perimeter(area_sqft: int, perimeter_ft: int, cut: int) -> None:
    measures = estimate_sheets(Fraction(area_sqft), Fraction(perimeter_ft), BACKER)
    assert measures["cut_pieces"] == cut


def test_filler_is_not_known_without_a_thickness() -> None:
    sheet = Sheet(5 * FT, 3 * FT, 0)
    assert "joint_volume" not in estimate_sheets(Fraction(60), Fraction(32), sheet)


@pytest.mark.parametrize("sizes", [(0, FT, 0), (FT, -1, 0), (FT, FT, -1)])
def test_a_sheet_has_a_size(sizes: tuple[int, int, int]) -> None:
    with pytest.raises(ValueError, match="A sheet needs a length and a width of more than zero"):
        Sheet(*sizes)


@given(st.fractions(0, 2000), st.fractions(0, 2000), st.fractions(0, 400))
def test_a_larger_area_never_takes_less(area: Fraction, more: Fraction, perimeter: Fraction) -> None:
    small = estimate_sheets(area, perimeter, BACKER)
    large = estimate_sheets(area + more, perimeter, BACKER)
    assert small.keys() == SHEET_MEASURES
    assert all(small[code] <= large[code] for code in SHEET_MEASURES)
    assert small["sheets"] * 15 >= area * Fraction(11, 10)


def test_rules_can_be_the_firms_own() -> None:
    wide = AreaRules(gap_nm=IN // 4, fastener_spacing_nm=12 * IN, edge_nm=IN, waste=Fraction(0))
    measures = estimate_sheets(Fraction(60), Fraction(32), BACKER, wide)
    assert measures == {
        "sheets": 4,
        "joint": 16,
        "butt_joint": 6,  # 3 of 8 parts: sheets of 5 by 3 ft
        "tapered_joint": 10,
        "joint_volume": 16 * 12 * Fraction(1, 8),
        "fasteners": 4 * 6 * 4 + 4 * (6 + 4) // 2,
        "cut_pieces": 4,
    }
