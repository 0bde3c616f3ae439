"""Small pieces of text that documents and pages share: dates, sums of money, lines and lists."""

from collections.abc import Sequence
from datetime import date, datetime, time
from decimal import Decimal

_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def day_in_words(day: date) -> str:
    """Format a date as documents print it: "Tue 24 Nov 2026"."""
    return f"{_DAYS[day.weekday()]} {day.day} {_MONTHS[day.month - 1]} {day.year}"


def clock_in_words(at: datetime | time) -> str:
    """Format a time of the day, which at night mustn't read as one of the afternoon: "3:30 AM"."""
    return f"{at.hour % 12 or 12}:{at.minute:02} {'AM' if at.hour < 12 else 'PM'}"


def money(amount: Decimal) -> str:
    """Format an amount of money as snapshots keep it, to the cent, without a symbol: "1234.50"."""
    return f"{amount:.2f}"


def inside_sentence(name: str) -> str:
    """Return a name as it stands inside a sentence: "invoice INV-12" for "Invoice INV-12"."""
    return name[:1].lower() + name[1:]


def nonblank_lines(text: str) -> list[str]:
    """Return the lines of a text that aren't blank, without the spaces at their ends."""
    return [line.strip() for line in text.splitlines() if line.strip()]


def list_in_words(words: Sequence[str]) -> str:
    """Join words as a sentence lists them: "A", "A and B", "A, B and C"."""
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)
