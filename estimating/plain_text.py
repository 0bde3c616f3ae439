"""Small pieces of text that documents and pages share: dates, sums, lines and lists."""

from datetime import date
from decimal import Decimal

_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def day_in_words(day: date) -> str:
    """A date as the papers say it: "Tue 24 Nov 2026"."""
    return f"{_DAYS[day.weekday()]} {day.day} {_MONTHS[day.month - 1]} {day.year}"


def money(amount: Decimal) -> str:
    """A sum in whole cents, plainly: "1234.50"."""
    return f"{amount:.2f}"


def lines_of(text: str) -> list[str]:
    """The lines of a text that say something."""
    return [line.strip() for line in text.splitlines() if line.strip()]


def in_a_row(words: list[str]) -> str:
    """A list as it is said: "A", "A and B", "A, B and C"."""
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)
