"""Packages counted in the words of the counter."""

from fractions import Fraction

import pytest

from catalog.assemblies.package_words import packages_in_words, sizes_in_words


@pytest.mark.parametrize(
    ("count", "name", "words"),
    [
        (16, "one", "16"),
        (11, "box of 50", "11 boxes of 50"),
        (1, "box, 10 lb", "1 box, 10 lb"),
        (3, "gallon", "3 gallons"),
        (10, "sheet 3 x 5 ft", "10 sheets 3 x 5 ft"),
        (4, "stick, 8 ft", "4 sticks, 8 ft"),
        (2, "set for one door", "2 sets for one door"),
        (12, "running foot", "12 running feet"),
        (3, "one day", "3 days"),
        (1200, "tube", "1,200 tubes"),
        (6, "50 lb bag", "6 × 50 lb bag"),
        (2, "Half barrel", "2 × Half barrel"),
    ],
)
def test_packages_are_counted_as_one_asks_for_them(count: int, name: str, words: str) -> None:
    assert packages_in_words(count, name) == words


def test_packages_are_said_by_what_they_hold_and_single_pieces_by_their_number() -> None:
    assert sizes_in_words([(Fraction(5), 2), (Fraction(1), 1), (Fraction(1, 4), 0)], "gal") == [
        "2 × 5 gal",
        "1 × 1 gal",
    ]
    assert sizes_in_words([(Fraction(1000), 1), (Fraction(1), 2)], "each") == ["1 × 1,000", "2"]
