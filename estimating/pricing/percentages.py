"""Shares and tax rates as percentages, without trailing zeros."""

from decimal import Decimal
from fractions import Fraction

from catalog.measures.lengths import half_up


def share_in_words(share: Fraction) -> str:
    """Format a share to two decimals at most, half-up: "20%", "12.5%"."""
    return _percentage(share, 2)


def tax_rate_in_words(rate: Fraction) -> str:
    """Format a tax rate with all the decimals that it has, four at most: "6.875%".

    Four are the most that a rate is typed with; New Mexico's have as many, such as 8.1875 % (its gross
    receipts tax rate schedules, 2022).
    """
    return _percentage(rate, 4)


def _percentage(share: Fraction, places: int) -> str:
    rounded = Decimal(half_up(share * 100 * 10**places)).scaleb(-places)
    return f"{rounded:f}".rstrip("0").rstrip(".") + "%"
