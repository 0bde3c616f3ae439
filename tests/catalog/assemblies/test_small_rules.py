"""Small rules behind the catalog's pages: rates of parts, readings, loops, trials, names, order."""

from fractions import Fraction

import pytest

from catalog.assemblies.component_rates import typed_rate, worked_out_rate
from catalog.assemblies.cycles import loop_made
from catalog.assemblies.formulas import UnusableInput, rate_from
from catalog.assemblies.rate_messages import markup_in_words, price_age, rate_in_words
from catalog.assemblies.trial_room import trial_room
from catalog.measures.room_measures import MEASURES
from catalog.measures.units import UnfitUnits, convert
from catalog.rows.names import code_from, copy_name, free_code
from tests.factories import make_assembly


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
    assert worked_out_rate("tape", {"waste": "0"}, of="yd", per="ft").per_unit == convert(own, "ft", "yd")
    assert worked_out_rate("tape", {"waste": "0"}, of="ft", per="yd").per_unit == 3


def test_a_formula_whose_result_does_not_fit_is_refused() -> None:
    with pytest.raises(UnfitUnits, match="gives ft for each ft, and this needs gal for each sq ft"):
        worked_out_rate("tape", {}, of="gal", per="sq ft")


def test_an_input_that_cannot_be_read_is_named() -> None:
    with pytest.raises(UnusableInput) as refused:
        worked_out_rate("tape", {"waste": "lots"}, of="ft", per="ft")
    assert refused.value.name == "waste"


def test_a_rate_is_read_for_a_hundred_units() -> None:
    assert rate_in_words("9 hours per 1000 sq ft", "hour", "sq ft") == "100 sq ft takes 0.9 hours."


def test_a_rate_that_does_not_fit_reads_as_what_is_wrong() -> None:
    assert "gal and sq ft are wanted here" in rate_in_words("350 sq ft per pound", "gal", "sq ft")


@pytest.mark.parametrize("typed", ["", "   "])
def test_nothing_typed_reads_as_nothing(typed: str) -> None:
    assert (rate_in_words(typed, "gal", "sq ft"), markup_in_words(typed)) == ("", "")


def test_a_markup_reads_with_the_margin_it_equals() -> None:
    assert markup_in_words("25") == "25% markup = 20% margin"
    assert markup_in_words("20 margin") == "20% margin = 25% markup"
    assert "gives the work away" in markup_in_words("-100")


def test_a_price_is_old_on_the_day_after_the_firm_trusts_it() -> None:
    assert price_age(90, 90) == ""
    assert price_age(91, 90) == "price 91 days old"
    assert price_age(None, 90) == "no date on this price"


def test_an_assembly_in_itself_is_a_loop() -> None:
    assert loop_made({}, 1, 1) == (1, 1)


def test_a_loop_through_others_is_named_in_its_order() -> None:
    assert loop_made({2: [4, 3], 3: [1]}, 1, 2) == (1, 2, 3, 1)


def test_the_same_part_by_two_ways_is_no_loop() -> None:
    assert loop_made({1: [2], 2: [4], 3: [4]}, 1, 3) == ()


def test_a_loop_that_is_elsewhere_does_not_keep_the_check_from_ending() -> None:
    assert loop_made({2: [3], 3: [2]}, 1, 2) == ()


@pytest.mark.parametrize("measure", sorted(MEASURES))
def test_a_trial_room_has_the_amount_asked_for_and_every_other_measure(measure: str) -> None:
    room, _ = trial_room(measure, Fraction(96))
    assert room.amount(measure) == 96
    assert all(room.has(code) for code in MEASURES)


def test_a_trial_of_a_perimeter_is_the_square_room_around_it() -> None:
    room, floor_sqft = trial_room("base", Fraction(40))
    assert (room.amount("floor"), floor_sqft) == (100, 100)


def test_a_trial_of_walls_is_the_square_room_that_has_them() -> None:
    room, _ = trial_room("wall_net", Fraction(320))
    assert room.amount("floor") == 100
    assert room.amount("wall_gross") == 320


def test_a_trial_marks_all_but_the_amount_as_estimated() -> None:
    room, _ = trial_room("floor", Fraction(100))
    assert "floor" not in room.estimated
    assert {"base", "doors", "joint"} <= room.estimated


def test_a_code_is_made_from_the_name_and_never_taken_twice() -> None:
    assert code_from("PVA primer, 5 gal", set()) == "pva-primer-5-gal"
    assert code_from("PVA primer", {"pva-primer", "pva-primer-2"}) == "pva-primer-3"


def test_a_name_without_letters_has_a_code_all_the_same() -> None:
    assert code_from("***", {"item"}) == "item-2"


def test_the_longest_name_still_has_a_code_that_fits() -> None:
    taken = {code_from("a" * 120, set())}
    assert len(code_from("a" * 120, taken)) <= 80


@pytest.mark.django_db
def test_copies_of_the_same_thing_are_told_apart() -> None:
    first = make_assembly("Tile floor")
    assert copy_name(type(first), "Tile floor") == "Copy of Tile floor"
    make_assembly("Copy of Tile floor")
    assert copy_name(type(first), "Tile floor") == "Copy of Tile floor 2"
    assert len(copy_name(type(first), "x" * 120)) <= 120
    assert free_code(type(first), "Tile floor") == "tile-floor"
