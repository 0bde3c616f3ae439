"""The hours in which the firm works, and the working time that is counted along them.

Clock time is counted in quarter hours from the first day of the calendar (`clock_of`). Working time counts
only the quarters in which the firm works: index 0 is the first of them.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from fractions import Fraction
from functools import cache
from math import ceil
from zoneinfo import ZoneInfo

import holidays as holiday_library

QUARTERS_A_DAY = 96
QUARTER = timedelta(minutes=15)
MOST_DAYS_AHEAD = 15 * 366


class NoWorkingHours(ValueError):
    """The calendar never has an hour to work in; the message says so."""


@dataclass(frozen=True)
class OpenHours:
    """The hours of one day, from a time to a time; equal times mean none."""

    opens: time
    closes: time


@dataclass(frozen=True)
class WorkCalendar:
    """When the firm works.

    `week` are the hours from Monday to Sunday, None for a day without work. `days_off` and `holidays` have
    none whatever the weekday; `special` replaces the hours of single days, even of those. `blocked` are
    times, from and to, in which nothing is worked: a blocked afternoon, a visit, another job. `zone` is the
    name of the firm's time zone; with it a wait over a change of the clocks takes the hours that it takes,
    without it each day has 24.
    """

    week: tuple[OpenHours | None, ...]
    days_off: frozenset[date] = frozenset()
    holidays: frozenset[date] = frozenset()
    special: tuple[tuple[date, OpenHours | None], ...] = ()
    blocked: tuple[tuple[datetime, datetime], ...] = ()
    zone: str = ""

    def hours_on(self, day: date) -> OpenHours | None:
        """Return the hours of a day, without regard to what is blocked in them."""
        for special_day, hours in self.special:
            if special_day == day:
                return hours
        if day in self.days_off or day in self.holidays:
            return None
        return self.week[day.weekday()]

    def longest_day(self) -> int:
        """Return the quarter hours of the longest day of the week."""
        return max(
            (_quarter(hours.closes) - _quarter(hours.opens) for hours in self.week if hours), default=0
        )


def week_of(opens: time, hours: Sequence[Fraction | int]) -> tuple[OpenHours | None, ...]:
    """Return a week in which each day, from Monday, opens at the same time and has so many hours."""
    first = _quarter(opens)
    return tuple(
        OpenHours(opens, _time_of(min(first + int(Fraction(amount) * 4), QUARTERS_A_DAY - 1)))
        if amount
        else None
        for amount in hours
    )


@cache
def federal_holidays(first_year: int, last_year: int) -> frozenset[date]:
    """Return the federal holidays of these years, on the days on which they are kept."""
    years = range(first_year, last_year + 1)
    return frozenset(holiday_library.country_holidays("US", years=years))


def clock_of(moment: datetime) -> int:
    """Return the quarter hours of the wall clock up to a moment, rounded up."""
    seconds = moment.hour * 3600 + moment.minute * 60 + moment.second
    return moment.toordinal() * QUARTERS_A_DAY + ceil(seconds / 900)


def moment_of(clock: int) -> datetime:
    """Return the moment at which the wall clock stands at so many quarter hours."""
    days, quarters = divmod(clock, QUARTERS_A_DAY)
    return datetime.fromordinal(days) + quarters * QUARTER


def _quarter(of_day: time) -> int:
    return ceil((of_day.hour * 60 + of_day.minute) / 15)


def _time_of(quarter: int) -> time:
    return time(*divmod(quarter * 15, 60))


class WorkTime:
    """The working quarters of a calendar from a moment on, made as far as they are asked for.

    A stretch is a time without a break: `firsts` are the working indexes at which stretches begin, `opens`
    the clock there.
    """

    def __init__(self, calendar: WorkCalendar, start: datetime) -> None:
        self.calendar = calendar
        self.start = clock_of(start)
        self.firsts: list[int] = []
        self.opens: list[int] = []
        self.total = 0
        self._day = start.date()
        self._last_day = self._day + timedelta(days=MOST_DAYS_AHEAD)
        self._zone = ZoneInfo(calendar.zone) if calendar.zone else None
        self._blocked = sorted((clock_of(begin), clock_of(end)) for begin, end in calendar.blocked)
        self._blocked_ends = [end for _, end in self._blocked]
        self._extend()

    def start_clock(self, index: int) -> int:
        """Return the clock at which work begins that starts at a working index."""
        self._reach(index)
        stretch = bisect_right(self.firsts, index) - 1
        return self.opens[stretch] + index - self.firsts[stretch]

    def end_clock(self, index: int) -> int:
        """Return the clock at which work has ended that ends at a working index above 0."""
        self._reach(index)
        stretch = max(bisect_left(self.firsts, index) - 1, 0)
        return self.opens[stretch] + index - self.firsts[stretch]

    def index_from(self, clock: int) -> int:
        """Return the first working index that starts at or after a clock."""
        while not self.opens or self._last_clock() < clock:
            self._extend()
        stretch = bisect_right(self.opens, clock) - 1
        if stretch < 0:
            return 0
        after = self.firsts[stretch] + clock - self.opens[stretch]
        return min(after, self._first_after(stretch))

    def ready(self, end_clock: int, wait: int) -> int:
        """Return the first working index that starts so many quarters, as they pass, after a clock."""
        return self.index_from(self.clock_after(end_clock, wait))

    def clock_after(self, clock: int, wait: int) -> int:
        """Return the wall clock after so many quarters have passed."""
        if self._zone is None or not wait:
            return clock + wait
        later = moment_of(clock).replace(tzinfo=self._zone).astimezone(UTC) + wait * QUARTER
        return clock_of(later.astimezone(self._zone).replace(tzinfo=None))

    def stretch_at(self, index: int) -> tuple[int, int]:
        """Return the working indexes at which the stretch around an index begins and ends."""
        self._reach(index)
        stretch = bisect_right(self.firsts, index) - 1
        return self.firsts[stretch], self._first_after(stretch)

    def stretches(self, until: int) -> Iterable[tuple[int, int, int]]:
        """Yield first index, index after the last, and the clock at the first, up to a working index."""
        self._reach(until)
        for position, first in enumerate(self.firsts):
            if first >= until:
                return
            yield first, self._first_after(position), self.opens[position]

    def _first_after(self, stretch: int) -> int:
        return self.firsts[stretch + 1] if stretch + 1 < len(self.firsts) else self.total

    def _last_clock(self) -> int:
        return self.opens[-1] + self.total - self.firsts[-1] - 1

    def _reach(self, index: int) -> None:
        while self.total <= index:
            self._extend()

    def _extend(self) -> None:
        """Add the next day that has working hours."""
        before = self.total
        while self.total == before:
            if self._day > self._last_day:
                raise NoWorkingHours(
                    "There is no working day to plan on: set the firm's hours for a weekday."
                )
            hours = self.calendar.hours_on(self._day)
            if hours is not None:
                midnight = self._day.toordinal() * QUARTERS_A_DAY
                self._add(
                    max(midnight + _quarter(hours.opens), self.start), midnight + _quarter(hours.closes)
                )
            self._day += timedelta(days=1)

    def _add(self, opens: int, closes: int) -> None:
        """Add the hours of a day, less what is blocked in them."""
        position = bisect_right(self._blocked_ends, opens)
        for begin, end in self._blocked[position:]:
            if begin >= closes:
                break
            self._add_stretch(opens, min(begin, closes))
            opens = max(opens, end)
        self._add_stretch(opens, closes)

    def _add_stretch(self, opens: int, closes: int) -> None:
        if opens >= closes:
            return
        self.firsts.append(self.total)
        self.opens.append(opens)
        self.total += closes - opens
