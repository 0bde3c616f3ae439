"""The edge around a surface that is known by its area alone, or by what the rooms measure."""

from fractions import Fraction

import pytest

from catalog.measures.room_measures import MeasureSet
from estimating.takeoff.takeoff import _edge_ft

ROOM = MeasureSet(
    {"floor_perimeter": Fraction(43), "ceiling_line": Fraction(44), "inside_corner": Fraction(32)}
)


@pytest.mark.parametrize(
    ("surface", "edge"),
    [
        ("floor", 43),  # cabinets and doors can make it another than the ceiling's
        ("ceiling", 44),
        ("wall_net", 2 * (44 + 32)),  # each wall is gone around: above, below, and up both of its sides
        ("wall_gross", 2 * (44 + 32)),
    ],
)
def test_the_rooms_give_the_edge(surface: str, edge: int) -> None:
    assert _edge_ft(surface, Fraction(120), ROOM) == edge


@pytest.mark.parametrize("surface", ["floor", "ceiling", "wall_net", "each"])
def test_an_area_alone_is_taken_for_a_square(surface: str) -> None:
    assert _edge_ft(surface, Fraction(144), MeasureSet({})) == 48


def test_a_square_that_is_not_whole_is_rounded_down_to_a_thousandth_of_a_foot_a_side() -> None:
    assert _edge_ft("floor", Fraction(2), MeasureSet({})) == 4 * Fraction(1414, 1000)


def test_walls_without_corners_are_gone_around_above_and_below() -> None:
    assert _edge_ft("wall_net", Fraction(80), MeasureSet({"ceiling_line": Fraction(10)})) == 20
