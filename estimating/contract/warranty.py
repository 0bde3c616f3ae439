"""The warranty on the work: its words in the contract, and the days that it covers.

How many months it lasts is the firm's to promise; a state may ask for more, and what the makers of materials
promise comes beside it. A month ends on the day of the same number (common practice; the law of contracts
counts so where nothing else is agreed, from memory): from the 10th of March twelve months run through the
10th of March. Where a month has no such day, on its last one: a month from the 31st of January runs through
the 28th of February, or the 29th. Each term is counted from the first day, never month by month, so that a
short month takes nothing off the longer ones after it.
"""

from calendar import monthrange
from collections.abc import Mapping
from datetime import date
from typing import Any

MOST_MONTHS = 240
KEY = "warranty_months"  # in the basis of an estimate
PROMISE = (
    "I make good what is wrong with my work, free of charge, for {term} from the day on which you sign that "
    "the work is done."
)


def last_day(begins: date, months: int) -> date:
    """Return the last day that a warranty of so many months covers, which is counted in."""
    year, month = divmod(begins.year * 12 + begins.month - 1 + months, 12)
    return date(year, month + 1, min(begins.day, monthrange(year, month + 1)[1]))


def term_in_words(months: int) -> str:
    """Return a term: "1 year", "18 months"."""
    count, unit = (months // 12, "year") if months % 12 == 0 else (months, "month")
    return f"{count} {unit}{'' if count == 1 else 's'}"


def promise(months: int) -> tuple[list[str], dict[str, int]]:
    """Return the warranty as the terms of an estimate state it, and as its basis keeps it; none for 0."""
    if not months:
        return [], {}
    return [PROMISE.format(term=term_in_words(months))], {KEY: months}


def months_signed(basis: Mapping[str, Any]) -> int:
    """Return the months that the basis of a signed estimate promises; 0 where it promises none."""
    months: int = basis.get(KEY, 0)
    return months
