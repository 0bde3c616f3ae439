"""Floors under tile: by hand, and how the answer reads."""

from dataclasses import replace
from fractions import Fraction

import pytest

from catalog.measures.lengths import NM_PER_INCH as IN
from estimating.floor_structure.floor import FloorFrame, judge
from estimating.floor_structure.tile_weight import tile_weight

FLOOR = FloorFrame("2x8", 16 * IN, 130 * IN, "dfl", "2")


def test_a_floor_by_hand() -> None:
    """2x8 of Douglas fir, 16 in apart, 10 ft 10: 40 x 16 / 12 = 53.33 lb a foot; I = 47.63, E = 1.6 million.

    5 x 53.33 / 12 x 130^4 / (384 x 1,600,000 x 47.63) = 0.2169 in, which is L/599.
    """
    assert float(FLOOR.live_deflection_in) == pytest.approx(0.2169, abs=0.0001)
    answer = judge(FLOOR)
    assert answer.is_enough
    assert answer.words == (
        "This floor is stiff enough: it gives L/599 under a full room, and L/360 is asked for porcelain or"
        " ceramic tile."
    )
    assert any("0.217 in over 10' 10\"; L/360 is 0.361 in." in line for line in answer.arithmetic)


def test_stone_asks_for_twice_the_stiffness() -> None:
    """The cube root of 599 / 720 of 130 in is 122.3 in."""
    stone = replace(FLOOR, finish="stone")
    answer = judge(stone)
    assert not answer.is_enough
    assert answer.words.startswith("This floor isn't stiff enough: it gives L/599")
    assert stone.longest_span_nm == 122 * IN
    assert "may span 10' 2\"" in answer.notes[0]


def test_a_mortar_bed_can_be_too_heavy_where_the_floor_is_stiff() -> None:
    """2x12 of Southern pine, No. 3, 24 in apart, 11 ft: stiff, but 450 x 1.15 psi carry less than the bed."""
    heavy = FloorFrame("2x12", 24 * IN, 132 * IN, "sp", "3", under="mortar")
    assert heavy.is_stiff
    assert not heavy.is_strong
    assert "stiff enough, but too weak" in judge(heavy).words
    assert "more than 1' 4\" apart" in judge(heavy).notes[1]


def test_the_weight_laid_counts_in_what_it_gives_in_all() -> None:
    """By hand: 40 + 10 + 6.25 + 15 + 1.15 lb are 1.81 of the 40; L/463.4 becomes L/256."""
    near = FloorFrame("2x8", 16 * IN, 150 * IN, "dfl", "ss", under="mortar", thickness_nm=IN // 2)
    assert judge(near).is_enough
    assert "With the weight of floor and tile counted in, it gives L/256." in judge(near).notes[0]


def test_weights_by_hand() -> None:
    """Porcelain 3/8 in: 150 x 3 / 8 / 12 = 4.69; 1/2 in board: 3.25; thinset 3/16 in: 1.72."""
    weight = tile_weight("tile", Fraction(3, 8), "board-1/2")
    assert [float(part) for part in (weight.tile, weight.under, weight.thinset)] == pytest.approx(
        [4.6875, 3.25, 1.71875]
    )
    assert float(tile_weight("stone", Fraction(3, 8), "mortar").under) == 15
