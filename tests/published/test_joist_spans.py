"""Spans of joists as codes print them, from the values that floors under tile are judged by.

Floors: Residential Code table R502.3.1(2), 40 lb live and 10 lb dead a square foot, L/360, grade No. 2, as
mycarpentry.com/joist-span-table.html has it. Ceilings, for all grades: table R802.5.1(2) of 2018, 20 lb live
and 10 lb dead, L/240 (online.flipbuilder.com/mewf/mima, page 430). Both read on 29 Nov 2026. Codes round to
the nearest inch, ours is rounded down.
"""

from fractions import Fraction

import pytest

from estimating.floor_structure.lumber import Joist

SIZES = ("2x6", "2x8", "2x10", "2x12")
FLOORS = {
    ("sp", 12): "10-3 13-6 16-2 19-1",
    ("sp", 16): "9-4 11-10 14-0 16-6",
    ("sp", 24): "7-7 9-8 11-5 13-6",
    ("dfl", 12): "10-9 14-2 18-0 20-11",
    ("dfl", 16): "9-9 12-9 15-7 18-1",
    ("dfl", 24): "8-3 10-5 12-9 14-9",
    ("hf", 12): "10-0 13-2 16-10 20-4",
    ("hf", 16): "9-1 12-0 15-2 17-7",
    ("hf", 24): "7-11 10-2 12-5 14-4",
    ("spf", 12): "10-3 13-6 17-3 20-7",
    ("spf", 16): "9-4 12-3 15-5 17-10",
    ("spf", 24): "8-1 10-3 12-7 14-7",
}
# 2x6, 2x8 and 2x10, 24 in apart.
CEILINGS = {
    ("dfl", "ss"): "13-0 17-2 21-3",
    ("dfl", "1"): "11-2 14-2 17-4",
    ("dfl", "2"): "10-8 13-6 16-5",
    ("dfl", "3"): "8-1 10-3 12-7",
    ("hf", "ss"): "12-3 16-2 20-6",
    ("hf", "1"): "11-1 14-0 17-1",
    ("hf", "2"): "10-4 13-1 16-0",
    ("hf", "3"): "7-11 10-0 12-3",
    ("sp", "ss"): "12-9 16-10 21-6",
    ("sp", "1"): "11-5 14-6 16-11",
    ("sp", "2"): "9-10 12-6 14-9",
    ("sp", "3"): "7-5 9-5 11-5",
    ("spf", "ss"): "12-0 15-10 19-5",
    ("spf", "1"): "10-6 13-3 16-3",
    ("spf", "2"): "10-6 13-3 16-3",
    ("spf", "3"): "7-11 10-0 12-3",
}


def inches(printed: str) -> int:
    feet, rest = printed.split("-")
    return 12 * int(feet) + int(rest)


@pytest.mark.parametrize(("species", "spacing"), FLOORS)
def test_floors_span_what_the_residential_code_prints(species: str, spacing: int) -> None:
    for size, printed in zip(SIZES, FLOORS[species, spacing].split(), strict=True):
        span = Joist(size, species, "2").longest_span_in(Fraction(spacing), 360, Fraction(40), Fraction(10))
        assert 0 <= inches(printed) - span <= 1, (size, printed, span)


@pytest.mark.parametrize(("species", "grade"), CEILINGS)
def test_the_values_of_every_grade_give_the_ceilings_that_the_code_prints(species: str, grade: str) -> None:
    for size, printed in zip(SIZES, CEILINGS[species, grade].split(), strict=False):
        span = Joist(size, species, grade).longest_span_in(Fraction(24), 240, Fraction(20), Fraction(10))
        assert 0 <= inches(printed) - span <= 1, (size, printed, span)
