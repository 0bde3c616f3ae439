"""Which of the nightly backups are kept: the newest of 7 days, 5 weeks, 12 months and 10 years."""

from collections.abc import Iterable
from datetime import date

DAYS, WEEKS, MONTHS, YEARS = 7, 5, 12, 10


def days_to_keep(days: Iterable[date]) -> set[date]:
    """Return the days whose backup is kept, of those that have one.

    A period is kept by its newest backup; a period without any doesn't count.
    """
    newest_first = sorted(set(days), reverse=True)
    kept: set[date] = set()
    for most, period_of in ((DAYS, _day), (WEEKS, _week), (MONTHS, _month), (YEARS, _year)):
        newest: dict[tuple[int, ...], date] = {}
        for day in newest_first:
            newest.setdefault(period_of(day), day)
        kept.update(list(newest.values())[:most])
    return kept


def _day(day: date) -> tuple[int, ...]:
    return (day.toordinal(),)


def _week(day: date) -> tuple[int, ...]:
    return day.isocalendar()[:2]


def _month(day: date) -> tuple[int, ...]:
    return day.year, day.month


def _year(day: date) -> tuple[int, ...]:
    return (day.year,)
