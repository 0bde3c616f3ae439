"""A learned rate as it would be typed, in the words of the rate before it."""

import re
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

from catalog.measures.rates import parse_rate
from catalog.measures.units import plural_unit

_TYPED = re.compile(r"(?P<number>\d+\.?\d*) (?:h|hours?) (?P<per>(?:each|per ).*)")
_SPEED = re.compile(r"(?P<number>\d+\.?\d*) (?P<what>.+) per (?:h|hour)")
FIGURES = 3  # significant ones


def rate_in_words(per_unit: Fraction, like: str, unit: str) -> str:
    """Return hours for one unit as "17.6 hours per 100 sq ft", in the words of a rate typed before."""
    typed = _TYPED.fullmatch(like.strip())
    if typed:
        number = per_unit * Fraction(typed["number"]) / parse_rate(like, "hour", unit).per_unit
        return _with_number(number, typed["per"])
    if speed := _SPEED.fullmatch(like.strip()):
        number = Fraction(speed["number"]) * parse_rate(like, "hour", unit).per_unit / per_unit
        return f"{significant(number)} {speed['what']} per hour"
    if unit == "each":
        return _with_number(per_unit, "each")
    count = next((count for count in (1, 100) if per_unit * count >= Fraction(1, 2)), 1000)
    return _with_number(per_unit * count, f"per {unit}" if count == 1 else f"per {count} {unit}")


def _with_number(number: Fraction, per: str) -> str:
    rounded = significant(number)
    return f"{rounded} {plural_unit('hour', Fraction(rounded))} {per}"


def significant(number: Fraction) -> str:
    """Return a number above zero with three figures, half-up, without trailing zeros."""
    exact = Decimal(number.numerator) / Decimal(number.denominator)
    places = FIGURES - 1 - exact.adjusted()
    rounded = exact.quantize(Decimal(1).scaleb(-max(places, 0)), ROUND_HALF_UP)
    return f"{rounded.normalize():f}"
