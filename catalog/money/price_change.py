"""When a new price is asked about before it is taken. Pure."""

from decimal import Decimal
from fractions import Fraction

from catalog.money.amounts import format_price

ASK_FROM = Fraction(1, 3)


def question_about(old: Decimal | None, new: Decimal) -> str:
    """Return why a new price should be looked at twice; empty where it lies within a third of the old one."""
    if not old or abs(Fraction(new) - Fraction(old)) <= Fraction(old) * ASK_FROM:
        return ""
    percent = round(abs(Fraction(new) / Fraction(old) - 1) * 100)
    way = "more" if new > old else "less"
    return f"{format_price(new)} is {percent}% {way} than {format_price(old)}, the price so far."
