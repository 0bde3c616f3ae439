"""From an assembly and measures to what it requires."""

from fractions import Fraction

import pytest

from catalog.assemblies.expansion import expand, hours
from catalog.assemblies.specs import (
    AssemblySpec,
    ComponentSpec,
    NestedInItself,
    job_set_ups,
    materials_used,
    measures_used,
    with_boards,
)
from catalog.measures.room_measures import DeductRule, MeasureSet, MissingMeasure
from tests.specs import ONE_FOR_ONE, assembly, material, operation, uses

PAINT = material("paint", "gal")
ROLL = operation("roll", "1 hour per 150 sq ft", "sq ft")
FLOOR = MeasureSet({"floor": Fraction(350), "rooms": Fraction(2)})


def test_quantity_is_measure_times_coats_times_rate_plus_waste() -> None:
    paint = assembly("paint", "floor", uses(PAINT, "350 sq ft per gal", times=2, waste=Fraction(1, 20)))
    (required,) = expand(paint, FLOOR)
    assert required.quantity == 2 * Fraction(105, 100)


def test_waste_falls_on_material_and_never_on_labor() -> None:
    rolling = assembly("roll", "floor", uses(ROLL, waste=Fraction(1, 2)))
    assert hours(expand(rolling, FLOOR)) == Fraction(350, 150)


def test_labor_follows_the_operations_own_rate_with_its_set_up_for_each_coat() -> None:
    roll = operation("roll", "1 hour per 150 sq ft", "sq ft", set_up_hours=Fraction(1, 4))
    assert hours(expand(assembly("roll", "floor", uses(roll, times=2)), FLOOR)) == 2 * (
        Fraction(350, 150) + Fraction(1, 4)
    )


def test_a_component_may_scale_with_another_measure_than_its_assembly() -> None:
    cut = operation("cut in", "100 ft per hour", "ft")
    paint = assembly("paint", "floor", uses(cut, scales_with="cut_in"))
    assert hours(expand(paint, FLOOR.with_values({"cut_in": Fraction(50)}))) == Fraction(1, 2)


def test_a_set_up_for_each_room_counts_the_rooms() -> None:
    paint = assembly(
        "paint", "floor", uses(PAINT, "350 sq ft per gal", set_up=Fraction(1, 8), set_up_per="room")
    )
    assert expand(paint, FLOOR)[0].quantity == 1 + Fraction(2, 8)


def test_a_set_up_for_the_job_counts_once_for_all_work_items() -> None:
    paint = assembly("paint", "floor", uses(PAINT, "350 sq ft per gal", set_up=Fraction(1, 8)))
    again = expand(paint, FLOOR, set_up_done=job_set_ups(paint))
    assert [expand(paint, FLOOR)[0].quantity, again[0].quantity] == [Fraction(9, 8), 1]


@pytest.mark.parametrize("per", ["room", "job"])
def test_where_there_is_nothing_to_do_nothing_is_set_up(per: str) -> None:
    bead = assembly("bead", "outside_corner", uses(PAINT, set_up=Fraction(1, 8), set_up_per=per))
    nothing = FLOOR.with_values({"outside_corner": Fraction(0)})
    assert [requirement.quantity for requirement in expand(bead, nothing)] == [0]


def test_nested_assemblies_scale_with_what_the_outer_one_gives_them() -> None:
    coat = assembly("one coat", "floor", uses(PAINT, "350 sq ft per gal"), uses(ROLL))
    two_coats = assembly("two coats", "floor", uses(coat, times=2))
    paint, roll = expand(two_coats, FLOOR)
    assert (paint.quantity, roll.quantity) == (2, 2 * Fraction(350, 150))
    assert paint.path == ("two coats", "one coat")


def test_a_nested_assembly_keeps_its_other_measures_times_the_outer_rate() -> None:
    cut = operation("cut in", "100 ft per hour", "ft")
    coat = assembly("one coat", "floor", uses(cut, scales_with="cut_in"))
    two_coats = assembly("two coats", "floor", uses(coat, times=2))
    assert hours(expand(two_coats, FLOOR.with_values({"cut_in": Fraction(50)}))) == 1


def test_an_assembly_inside_itself_is_refused_with_the_loop() -> None:
    inner = assembly("inner", "floor")
    outer = assembly("outer", "floor", ComponentSpec("a", inner, ONE_FOR_ONE))
    looped = assembly("inner", "floor", ComponentSpec("b", outer, ONE_FOR_ONE))
    with pytest.raises(NestedInItself, match="inner > outer > inner"):
        expand(looped, FLOOR)


def test_a_measure_that_the_rooms_lack_is_named() -> None:
    cabinets = assembly("cabinets", "each", uses(operation("set", "2 hours each", "each"), measure="each"))
    with pytest.raises(MissingMeasure, match="type it in by hand"):
        expand(cabinets, FLOOR)


WALLS = MeasureSet({"wall_gross": Fraction(100)}, openings_sqft=(Fraction(20), Fraction(10)))


def _board_and_hang(**rules: DeductRule) -> AssemblySpec:
    hang = operation("hang", "1 hour per 10 sq ft", "sq ft")
    board = material("board", "sq ft")
    return assembly("drywall", "wall_net", uses(board, "1 sq ft per sq ft"), uses(hang), **rules)


def test_material_and_labor_may_follow_different_rules_for_openings() -> None:
    both = _board_and_hang(deduct_material=DeductRule("none"), deduct_labor=DeductRule("all"))
    board, hang = expand(both, WALLS)
    assert (board.quantity, hang.quantity) == (100, 7)


def test_openings_below_the_firms_size_are_left_in() -> None:
    board, _ = expand(_board_and_hang(), WALLS, firm_deduct=DeductRule("above", Fraction(15)))
    assert board.quantity == 80


def test_an_opening_of_just_the_size_is_taken_off() -> None:
    board, _ = expand(_board_and_hang(), WALLS, firm_deduct=DeductRule("above", Fraction(20)))
    assert board.quantity == 80


def test_the_arithmetic_can_be_read_in_words() -> None:
    paint = assembly("paint", "floor", uses(PAINT, "350 sq ft per gal", times=2, waste=Fraction(1, 20)))
    words = expand(paint, FLOOR)[0].in_words()
    assert words == "Floor 350 sq ft × 2, 350 sq ft per gal, and 5% waste = 2.1 gal"


def test_the_words_say_which_rule_for_openings_was_used() -> None:
    words = expand(_board_and_hang(deduct_material=DeductRule("none")), WALLS)[0].in_words()
    assert "openings not deducted" in words


def test_measures_and_materials_of_nested_assemblies_are_known_before_any_room() -> None:
    cut = operation("cut in", "100 ft per hour", "ft")
    coat = assembly("one coat", "wall_net", uses(PAINT), uses(cut, scales_with="cut_in"))
    outer = assembly("outer", "wall_gross", uses(coat, scales_with="wall_net"))
    assert measures_used(outer) == ("wall_gross", "wall_net", "cut_in")
    assert materials_used(outer) == (PAINT,)


def test_another_board_counts_its_sheets_and_leaves_rates_by_area_alone() -> None:
    board, longer = material("board", "each", ("1", "10")), material("long board", "each", ("1", "15"))
    inner = assembly("hang", "floor", uses(board, scales_with="sheets"), board=board)
    outer = assembly("room", "floor", uses(inner), uses(board, "1 each per 24 sq ft"))
    hung, patched = with_boards(outer, {"board": longer}).components
    assert (hung.use.board, hung.use.components[0].use) == (longer, longer)
    assert patched.use == board
    assert with_boards(outer, {}) == outer
