"""Two assemblies beside each other, each as if it were the only work."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.assemblies.specs import AssemblySpec
from estimating.pricing.compare_assemblies import ComparedFigure, Comparison, compare
from tests.specs import assembly, material, operation, policy, room, uses

PRIMER = material("primer", "gal", ("1", "28.00"), ("5", "118.00"))
PAINT = material("paint", "gal", ("1", "46.00"))
SELF_PRIMING = material("self-priming paint", "gal", ("1", "60.00"))
ROLL = operation("roll a coat", "100 sq ft per hour", "sq ft")
PRIME = operation("roll primer", "100 sq ft per hour", "sq ft", wait_hours=Fraction(16))
OVER_PRIMER = assembly(
    "paint over primer",
    "wall_net",
    uses(PRIME, measure="wall_net"),
    uses(ROLL, measure="wall_net", times=2),
    uses(PRIMER, "352 sq ft per gal", "wall_net"),
    uses(PAINT, "352 sq ft per gal", "wall_net", times=2),
)
ONE_PAINT = assembly(
    "self-priming paint",
    "wall_net",
    uses(ROLL, measure="wall_net", times=2),
    uses(SELF_PRIMING, "352 sq ft per gal", "wall_net", times=2),
)


@pytest.fixture(scope="module")
def both() -> Comparison:
    """In a room of 10 by 12 ft, 8 ft high: 352 sq ft of wall."""
    return compare(OVER_PRIMER, ONE_PAINT, policy(), room=room())


def test_hours_cost_and_price_stand_side_by_side_with_what_the_second_takes_more(both: Comparison) -> None:
    # 10.56 h and 7.04 h at $70.00, sold at $80.00; 28 + 92 and 120 of material, sold with 20 %
    assert both.figures() == (
        ComparedFigure("Hours", "10.56 h", "7.04 h", "3.52 h less"),
        ComparedFigure("Days on site", "2", "1", "1 less"),
        ComparedFigure("Bought, before tax", "$120.00", "$120.00", "the same"),
        ComparedFigure("Cost", "$859.20", "$612.80", "$246.40 less"),
        ComparedFigure("Price", "$988.80", "$707.20", "$281.60 less"),
    )


def test_each_material_stands_under_the_side_that_takes_it(both: Comparison) -> None:
    bought = {
        pair.name: [
            (line.required, line.purchase.cost) if line and line.purchase else None
            for line in (pair.first, pair.second)
        ]
        for pair in both.materials
    }
    assert bought == {
        "primer": [(Fraction(1), Decimal(28)), None],
        "paint": [(Fraction(2), Decimal(92)), None],
        "self-priming paint": [None, (Fraction(2), Decimal(120))],
    }


def test_labor_of_both_sides_is_listed_once_each(both: Comparison) -> None:
    assert both.labor() == (
        ComparedFigure("roll primer", "3.52 h", "0 h", "3.52 h less"),
        ComparedFigure("roll a coat", "7.04 h", "7.04 h", "the same"),
    )


def test_whole_packages_are_bought_for_each_side_alone() -> None:
    """What two works could share in one job, each pays for itself here."""
    half = assembly("half", "floor", uses(PAINT, "240 sq ft per gal"))
    both = compare(half, half, policy(), room=room())
    assert [side.bought for side in both.sides] == [Decimal(46), Decimal(46)]


def test_an_amount_is_so_much_of_each_ones_own_measure() -> None:
    gross = assembly("paper", "wall_gross", uses(ROLL, measure="wall_gross"))
    net = assembly("paint", "wall_net", uses(ROLL, measure="wall_net"))
    both = compare(gross, net, policy(), amount=Fraction(200))
    assert [side.line.hours for side in both.sides] == [Decimal(2), Decimal(2)]


def test_an_amount_stands_in_place_of_what_the_room_gives() -> None:
    both = compare(ONE_PAINT, OVER_PRIMER, policy(), room=room(), amount=Fraction(100))
    assert both.first.line.hours == Decimal(2)


def test_what_belongs_to_the_whole_job_is_left_out() -> None:
    job = policy(runs=2, run_hours=Fraction(2), contingency=Fraction(1, 10), minimum_charge=Decimal(5000))
    assert compare(OVER_PRIMER, ONE_PAINT, job, room=room()).figures()[-1].first == "$988.80"


def test_a_side_that_can_not_be_worked_out_says_why_and_the_other_stands() -> None:
    doors = assembly("hang doors", "each", uses(operation("hang", "2 hours each", "each"), measure="each"))
    both = compare(doors, ONE_PAINT, policy(), room=room())
    assert both.first.problems == ("Count isn't known here: type it in by hand.",)
    assert both.second.problems == ()
    assert both.second.line.price == Decimal("707.20")


def test_a_material_without_a_price_is_said() -> None:
    bare = assembly("bare", "floor", uses(material("grit", "lb"), "1 lb per sq ft"))
    assert compare(bare, bare, policy(), room=room()).first.problems == (
        "grit has no price: give it a package in the catalog.",
    )


@pytest.mark.parametrize("spec", [OVER_PRIMER, ONE_PAINT])
@given(amount=st.fractions(min_value=Fraction(1, 100), max_value=10_000, max_denominator=100))
def test_an_assembly_beside_itself_differs_in_nothing(spec: AssemblySpec, amount: Fraction) -> None:
    both = compare(spec, spec, policy(), amount=amount)
    assert {figure.difference for figure in (*both.figures(), *both.labor())} == {"the same"}
