"""Rates of components, and the words for them."""

from fractions import Fraction

import pytest

from catalog.assemblies.component_rates import formula_rate, typed_rate
from catalog.assemblies.formula_inputs import UnusableInput
from catalog.assemblies.formulas import rate_from
from catalog.assemblies.rate_messages import rate_in_words
from catalog.measures.units import UnfitUnits, convert


def test_a_blank_rate_is_one_for_one() -> None:
    assert typed_rate("", of="sq ft", per="sq ft").per_unit == 1


def test_a_blank_rate_between_sizes_of_the_same_thing_converts() -> None:
    assert typed_rate(" ", of="sq yd", per="sq ft").per_unit == Fraction(1, 9)


def test_a_blank_rate_between_different_things_asks_how_much() -> None:
    with pytest.raises(UnfitUnits, match="counted in gal and the measure in sq ft, so say how much"):
        typed_rate("", of="gal", per="sq ft")


def test_a_worked_out_rate_comes_in_the_units_asked_for() -> None:
    own = rate_from("tape", {"waste": "0"}).per_unit
    assert own == 1
    assert formula_rate("tape", {"waste": "0"}, of="yd", per="ft").per_unit == convert(own, "ft", "yd")
    assert formula_rate("tape", {"waste": "0"}, of="ft", per="yd").per_unit == 3


def test_a_formula_whose_result_does_not_fit_is_refused() -> None:
    with pytest.raises(UnfitUnits, match="gives ft for each ft, and this needs gal for each sq ft"):
        formula_rate("tape", {}, of="gal", per="sq ft")


def test_an_input_that_cannot_be_read_is_named() -> None:
    with pytest.raises(UnusableInput) as refused:
        formula_rate("tape", {"waste": "lots"}, of="ft", per="ft")
    assert refused.value.name == "waste"


def test_a_rate_is_read_for_a_hundred_units() -> None:
    assert rate_in_words("9 hours per 1000 sq ft", "hour", "sq ft") == "100 sq ft takes 0.9 hours."


def test_a_rate_that_does_not_fit_reads_as_what_is_wrong() -> None:
    assert "gal and sq ft are wanted here" in rate_in_words("350 sq ft per pound", "gal", "sq ft")


@pytest.mark.parametrize("typed", ["", "   "])
def test_nothing_typed_reads_as_nothing(typed: str) -> None:
    assert rate_in_words(typed, "gal", "sq ft") == ""
