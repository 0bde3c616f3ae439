"""What a typed rate or markup says, in the words shown under its field."""

from collections.abc import Mapping
from fractions import Fraction

from catalog.assemblies.component_rates import worked_out_rate
from catalog.assemblies.formulas import FORMULAS, UnusableInput
from catalog.measures.units import UnknownUnit, UnreadableRate, format_quantity, parse_rate
from catalog.money.markup import UnreadableMarkup, parse_markup

SHOWN_FOR = Fraction(100)


def rate_in_words(typed: str, of: str, per: str) -> str:
    """What a rate comes to for 100 units of the measure, or the sentence that says what is wrong."""
    if not typed.strip() or not of or not per:
        return ""
    try:
        rate = parse_rate(typed, of=of, per=per)
    except (UnreadableRate, UnknownUnit) as error:
        return str(error)
    return takes_in_words(rate.per_unit, of, per)


def takes_in_words(per_unit: Fraction, of: str, per: str) -> str:
    """What 100 units of a measure take."""
    return f"{format_quantity(SHOWN_FOR, per)} takes {format_quantity(per_unit * SHOWN_FOR, of)}."


def formula_in_words(formula: str, inputs: Mapping[str, str], of: str, per: str) -> str:
    """The arithmetic of a formula and what it comes to, or the sentence that says what is wrong."""
    if formula not in FORMULAS or not of or not per:
        return ""
    try:
        rate = worked_out_rate(formula, inputs, of, per)
    except (UnusableInput, UnreadableRate) as error:
        return str(error)
    return f"{rate.typed}. {takes_in_words(rate.per_unit, of, per)}"


def markup_in_words(typed: str) -> str:
    """A markup with the margin that it equals, or the sentence that says what is wrong."""
    if not typed.strip():
        return ""
    try:
        return parse_markup(typed).in_words()
    except UnreadableMarkup as error:
        return str(error)


def price_age(days: int | None, stale_after_days: int) -> str:
    """Words for a price older than the firm trusts ("price 120 days old"), empty for one that is fresh.

    `days` is None where the day it was seen isn't known.
    """
    if days is None:
        return "no date on this price"
    return f"price {days} days old" if days > stale_after_days else ""
