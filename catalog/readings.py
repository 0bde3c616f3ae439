"""What a typed rate or markup says, in the words shown under its field."""

from fractions import Fraction

from catalog.markup import UnreadableMarkup, parse_markup
from catalog.units import UnknownUnit, UnreadableRate, format_quantity, parse_rate

SHOWN_FOR = Fraction(100)


def rate_in_words(typed: str, of: str, per: str) -> str:
    """What a rate comes to for 100 units of the measure, or the sentence that says what is wrong."""
    if not typed.strip() or not of or not per:
        return ""
    try:
        rate = parse_rate(typed, of=of, per=per)
    except (UnreadableRate, UnknownUnit) as error:
        return str(error)
    measured = format_quantity(SHOWN_FOR, per)
    return f"{measured} takes {format_quantity(rate.per_unit * SHOWN_FOR, of)}."


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
