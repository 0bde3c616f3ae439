"""The rate of one component, checked against the units of what it uses and of the measure it scales with."""

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction

from catalog.assemblies.formulas import FORMULAS, rate_from
from catalog.measures.units import Rate, UnfitUnits, convert, format_rate, parse_rate, same_dimension

ONE = Fraction(1)


def typed_rate(typed: str, of: str, per: str) -> Rate:
    """A typed rate; left blank it is one for one, which needs units that measure the same.

    Raises UnreadableRate (UnfitUnits where the units don't suit) with a plain sentence.
    """
    if typed.strip():
        return parse_rate(typed, of=of, per=per)
    if not same_dimension(of, per):
        raise UnfitUnits(
            f"It is counted in {of} and the measure in {per}, so say how much: such as "
            f"{format_rate(Fraction(2), of, per)}."
        )
    return Rate("", convert(ONE, per, of))


def worked_out_rate(formula: str, inputs: Mapping[str, str], of: str, per: str) -> Rate:
    """The rate of a formula in `of` units for one `per` unit.

    Raises UnusableInput as the formula does, and UnfitUnits where its result doesn't suit the units.
    """
    gives = FORMULAS[formula]
    if not (same_dimension(gives.of, of) and same_dimension(gives.per, per)):
        raise UnfitUnits(
            f"{gives.label} gives {gives.of} for each {gives.per}, and this needs {of} for each {per}. "
            "Choose a material and a measure that fit."
        )
    rate = rate_from(formula, inputs)
    return replace(rate, per_unit=convert(rate.per_unit, gives.of, of) * convert(ONE, per, gives.per))
