"""The last days for notices that the law sets, as for a lien, counted from the first or last day of work."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta


@dataclass(frozen=True)
class NoticeDeadline:
    """A deadline that the firm has entered for its state and confirmed, in calendar days."""

    name: str
    days: int
    from_first_day: bool  # else from the last day of work
    citation: str


@dataclass(frozen=True)
class NoticeDate:
    """The last day for a notice; None while the day that it counts from isn't known."""

    name: str
    by: date | None
    citation: str


def notice_dates(
    deadlines: Iterable[NoticeDeadline], first_work_day: date | None, last_work_day: date | None
) -> tuple[NoticeDate, ...]:
    """Return the last day for each notice; the day counted from is day 0.

    States count and extend differently (weekends, completion, recording), so these are cautions to check
    with local law, never promises.
    """
    dates = []
    for deadline in deadlines:
        start = first_work_day if deadline.from_first_day else last_work_day
        by = start + timedelta(days=deadline.days) if start else None
        dates.append(NoticeDate(deadline.name, by, deadline.citation))
    return tuple(dates)
