"""The rate of one component, checked against the units of what it uses and of the measure it scales with."""

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction

from catalog.assemblies.formulas import formula_of, rate_from
from catalog.measures.rates import Rate, format_rate, parse_rate
from catalog.measures.units import UnfitUnits, convert, same_dimension

ONE = Fraction(1)


def typed_rate(typed: str, of: str, per: str) -> Rate:
    """Read a typed rate in `of` units for one `per` unit; a blank one means one for one.

    Raises UnreadableRate, or UnfitUnits where the units don't suit or a blank rate would tie different kinds
    of units; both with a plain sentence.
    """
    if typed.strip():
        return parse_rate(typed, of=of, per=per)
    if not same_dimension(of, per):
        raise UnfitUnits(
            f"It is counted in {of} and the measure in {per}, so say how much: such as "
            f"{format_rate(Fraction(2), of, per)}."
        )
    return Rate("", convert(ONE, per, of))


def formula_rate(code: str, inputs: Mapping[str, str], of: str, per: str) -> Rate:
    """Return the rate that a formula gives, in `of` units for one `per` unit.

    Raises UnknownFormula, UnusableInput as the formula does, and UnfitUnits where its result doesn't suit the
    units.
    """
    formula = formula_of(code)
    if not (same_dimension(formula.of, of) and same_dimension(formula.per, per)):
        raise UnfitUnits(
            f"{formula.label} gives {formula.of} for each {formula.per}, and this needs {of} for each {per}. "
            "Choose a material and a measure that fit."
        )
    rate = rate_from(code, inputs)
    return replace(rate, per_unit=convert(rate.per_unit, formula.of, of) * convert(ONE, per, formula.per))
