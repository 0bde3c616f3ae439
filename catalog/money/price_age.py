"""How old a price may be before the firm stops trusting it."""

from datetime import date, timedelta


def is_stale(priced_on: date | None, today: date, stale_after_days: int) -> bool:
    """Tell whether a price was seen too long ago; one without a date always counts as too old."""
    return priced_on is None or priced_on + timedelta(days=stale_after_days) < today


def price_age(days: int | None, stale_after_days: int) -> str:
    """Return words for a price older than the firm trusts ("price 120 days old"), empty for a fresh one.

    `days` is None where the day it was seen isn't known.
    """
    if days is None:
        return "no date on this price"
    return f"price {days} days old" if days > stale_after_days else ""
