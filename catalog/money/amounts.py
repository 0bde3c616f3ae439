"""Amounts of money: how they are rounded to the cent, split, read and written.

Amounts are `Decimal` with two places; a `float` is refused. Rounding is half-up, away from zero.
"""

import re
import unicodedata
from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction

MAX_PRICE = Decimal("10000000.00")
_PRICE = re.compile(r"(?=.*\d)(?P<whole>\d{1,3}(?:,\d{3})+|\d+)?(?:\.(?P<cents>\d*))?", re.ASCII)
_COMMA = re.compile(r"[\d,]+(?:\.\d*)?", re.ASCII)


class UnreadablePrice(ValueError):
    """The typed price can't be used; the message says in a plain sentence what would be right."""


def round_cents(amount: Fraction | Decimal | int) -> Decimal:
    """Return the amount rounded to the cent, half a cent away from zero (2.345 -> 2.35, -2.345 -> -2.35).

    Raises TypeError for a float.
    """
    if isinstance(amount, float):
        raise TypeError("Money is never a float: use a Decimal or a Fraction.")
    exact = Fraction(amount) * 100
    cents = (2 * abs(exact.numerator) + exact.denominator) // (2 * exact.denominator)
    return _from_cents(-cents if exact < 0 else cents)


def split_cents(total: Decimal, weights: Sequence[Fraction]) -> list[Decimal]:
    """Split whole cents in proportion to the weights; the parts always sum to the total.

    By largest remainder: each part is rounded down, then the cents left over go one by one to the parts
    that lost most (ties: the earlier part). When every weight is zero the first part takes all. A
    negative total splits like its opposite. Raises ValueError for a total that isn't whole cents, for a
    negative weight, and for no weights with a total other than zero.
    """
    cents = Fraction(total) * 100
    if cents.denominator != 1:
        raise ValueError(f"{total} isn't a whole number of cents.")
    if any(weight < 0 for weight in weights):
        raise ValueError("A weight can't be negative.")
    if not weights:
        if total:
            raise ValueError(f"There is nothing to split {total} over.")
        return []
    sign, whole = (-1 if cents < 0 else 1), abs(cents.numerator)
    exact_weights = [Fraction(weight) for weight in weights]
    if not any(exact_weights):
        exact_weights[0] = Fraction(1)
    cents_per_weight = whole / sum(exact_weights, Fraction(0))
    exact = [weight * cents_per_weight for weight in exact_weights]
    parts = [share.numerator // share.denominator for share in exact]
    lost_most = sorted(range(len(exact)), key=lambda index: parts[index] - exact[index])
    for index in lost_most[: whole - sum(parts)]:
        parts[index] += 1
    return [_from_cents(sign * part) for part in parts]


def parse_price(text: str, allow_negative: bool = False) -> Decimal:
    """Read a price as people type it ("1,234.50", "$ 12", ".99") and return dollars with two places.

    Raises UnreadablePrice for anything else: a third decimal, a comma that doesn't separate thousands, a
    minus sign (unless allowed), an amount above 10,000,000.
    """
    shown = text.strip()[:40]
    if not shown:
        raise UnreadablePrice("Type a price, such as 12.50.")
    plain = "".join(c for c in text if unicodedata.category(c) != "Sc" and not c.isspace())
    minus = plain[:1] in ("-", "\N{MINUS SIGN}")
    match = _PRICE.fullmatch(plain, pos=int(minus))
    if match is None:
        if _COMMA.fullmatch(plain, pos=int(minus)):
            raise UnreadablePrice(f"{shown}: a comma parts thousands; cents go after a point: 12.50.")
        raise UnreadablePrice(f"{shown} isn't a price. Type dollars and cents, such as 12.50.")
    whole, cents = (match["whole"] or "0").replace(",", ""), match["cents"] or "0"
    if len(cents) > 2:
        raise UnreadablePrice(f"{shown} has more than two decimals. A price is in whole cents: 12.50.")
    price = Decimal(f"{whole}.{cents:0<2}")
    if price > MAX_PRICE:
        raise UnreadablePrice("That price is too high: 10,000,000 is the most.")
    if minus and price and not allow_negative:
        raise UnreadablePrice("A price can't be negative. Leave out the minus sign.")
    return -price if minus and price else price


def format_price(amount: Decimal, symbol: str = "$") -> str:
    """Return the amount as people write it, rounded half-up to the cent: $1,234.50, a credit -$5.00."""
    rounded = round_cents(amount)
    sign = "-" if rounded < 0 else ""
    return f"{sign}{symbol}{abs(rounded):,.2f}"


def _from_cents(cents: int) -> Decimal:
    sign = "-" if cents < 0 else ""
    whole, part = divmod(abs(cents), 100)
    return Decimal(f"{sign}{whole}.{part:02d}")
