"""What a typed rate or a formula comes to, in the words shown under its field."""

from collections.abc import Mapping
from fractions import Fraction

from catalog.assemblies.component_rates import formula_rate
from catalog.assemblies.formula_inputs import UnusableInput
from catalog.assemblies.formulas import FORMULAS
from catalog.measures.rates import UnreadableRate, parse_rate
from catalog.measures.units import UnfitUnits, UnknownUnit, format_amount

SHOWN_FOR = Fraction(100)


def rate_in_words(typed: str, of: str, per: str) -> str:
    """Return what a rate comes to for 100 units of the measure, or the sentence that says what is wrong.

    A blank rate, or a unit that isn't chosen yet, gives an empty text.
    """
    if not typed.strip() or not of or not per:
        return ""
    try:
        rate = parse_rate(typed, of=of, per=per)
    except (UnreadableRate, UnfitUnits, UnknownUnit) as error:
        return str(error)
    return amount_in_words(rate.per_unit, of, per)


def amount_in_words(per_unit: Fraction, of: str, per: str) -> str:
    """Return how much 100 units of a measure take."""
    measured = "100 of them take" if per == "each" else f"{format_amount(SHOWN_FOR, per)} takes"
    return f"{measured} {format_amount(per_unit * SHOWN_FOR, of)}."


def formula_in_words(formula: str, inputs: Mapping[str, str], of: str, per: str) -> str:
    """Return the arithmetic of a formula and what it comes to, or the sentence that says what is wrong.

    A formula that doesn't exist, or a unit that isn't chosen yet, gives an empty text.
    """
    if formula not in FORMULAS or not of or not per:
        return ""
    try:
        rate = formula_rate(formula, inputs, of, per)
    except (UnusableInput, UnfitUnits) as error:
        return str(error)
    return f"{rate.typed}. {amount_in_words(rate.per_unit, of, per)}"
