"""What makes the same work take longer: off unless it is ticked, named in the arithmetic, with its source."""

from dataclasses import replace
from fractions import Fraction

from estimating.takeoff.job_conditions import JOB_CONDITIONS, under_conditions
from estimating.takeoff.takeoff import take_off
from estimating.takeoff.work import Override, Work
from tests.specs import assembly, material, operation, uses

PAINT = assembly(
    "paint",
    "area",
    uses(material("paint", "gal", ("1", "40.00")), "100 sq ft per gal"),
    uses(replace(operation("roll", "1 hour per 100 sq ft", "sq ft"), set_up_hours=Fraction(1, 2))),
)
WORK = Work("p", "Paint", "finish", assembly=PAINT, overrides=(Override("area", Fraction(200), "measured"),))


def test_none_is_in_force_unless_it_is_ticked() -> None:
    (item,) = take_off({}, [WORK]).items
    assert item.hours == Fraction(5, 2)
    assert under_conditions(item.requirements, []) == item.requirements


def test_ticked_conditions_lengthen_hours_and_set_up_and_take_no_more_material() -> None:
    (item,) = take_off({}, [replace(WORK, conditions=("closet", "occupied"))]).items
    assert item.hours == Fraction(5, 2) * Fraction(3, 2) * Fraction(115, 100)
    assert item.materials() == {"paint": 2}


def test_the_arithmetic_names_them() -> None:
    (item,) = take_off({}, [replace(WORK, conditions=("closet",))]).items
    (labor,) = (row for row in item.requirements if row.is_labor)
    assert labor.in_words() == (
        "Area 200 sq ft × 1.5 (in a closet or as tight a place × 1.5), 1 hour per 100 sq ft, "
        "plus 0.75 hours set-up = 3.75 hours"
    )


def test_each_names_its_source_or_that_it_is_from_memory() -> None:
    for condition in JOB_CONDITIONS.values():
        assert condition.factor > 1
        assert "from memory" in condition.source or "18" in condition.source, condition.code


def test_a_code_that_is_not_known_any_more_changes_nothing() -> None:
    (item,) = take_off({}, [replace(WORK, conditions=("gone",))]).items
    assert item.hours == Fraction(5, 2)
