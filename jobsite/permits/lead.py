"""The days that the rules of lead-safe renovation set: 40 CFR part 745, subpart E.

The pamphlet is given to the owner no more than 60 days before the work begins: by hand against a written
acknowledgment, or mailed with a certificate of mailing at least 7 days before (745.84(a)). The owner gets the
record of the work with the final invoice or within 30 days of its end, whichever is earlier (745.86(c)), and
the firm keeps it 3 years from the end (745.86(a)). States with a program of their own may ask for more.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from estimating.plain_text import day_in_words

LONGEST_BEFORE = timedelta(days=60)
LEAST_WHEN_MAILED = timedelta(days=7)
RECORD_WITHIN = timedelta(days=30)
KEPT_YEARS = 3


@dataclass(frozen=True)
class LeadDays:
    """The days of a job that the rules bind; None where one isn't known or hasn't come."""

    work_begins: date | None = None
    given_on: date | None = None
    mailed: bool = False
    ended_on: date | None = None


def lead_faults(days: LeadDays) -> Iterator[str]:
    """Yield a plain sentence for each day that doesn't fit, and what would be right.

    Work that ended had begun by then, whatever day was planned.
    """
    begins = min(filter(None, (days.work_begins, days.ended_on)), default=None)
    given = days.given_on
    if given is None:
        if begins:
            yield f"The pamphlet isn't given yet: by {day_in_words(begins)}, before the work begins."
    elif begins:
        if given > begins:
            yield (
                f"The pamphlet was given on {day_in_words(given)}, after the work began on "
                f"{day_in_words(begins)}: it has to come first."
            )
        elif begins - given > LONGEST_BEFORE:
            yield (
                f"From {day_in_words(given)} to the work are {(begins - given).days} days: give the pamphlet "
                f"again, on {day_in_words(begins - LONGEST_BEFORE)} or later."
            )
        elif days.mailed and begins - given < LEAST_WHEN_MAILED:
            yield (
                f"Mailed on {day_in_words(given)}, the work begins on "
                f"{day_in_words(given + LEAST_WHEN_MAILED)} at the earliest, unless it is also handed "
                "over and signed for."
            )


def record_due(ended_on: date) -> date:
    """Return the last day on which the owner gets the record, where no final invoice comes before."""
    return ended_on + RECORD_WITHIN


def kept_until(ended_on: date) -> date:
    """Return the day until which the records are kept; of 29 February that is 1 March."""
    try:
        return ended_on.replace(year=ended_on.year + KEPT_YEARS)
    except ValueError:
        return date(ended_on.year + KEPT_YEARS, 3, 1)
