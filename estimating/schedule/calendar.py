"""The hours in which the firm works, and the working time that is counted along them.

Clock time is counted in quarter hours from the first day of the calendar (`clock_of`). Working time counts
only the quarters in which the firm works: index 0 is the first of them.
"""

from bisect import bisect_left
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

    A stretch is a time without a break.
    """

    def __init__(self, calendar: WorkCalendar, start: datetime) -> None:
        self.calendar = calendar
        self.start = clock_of(start)
        self._clocks: list[int] = []  # the clock at which each working quarter starts
        self._first: list[int] = []  # the first index of the stretch that each is in
        self._after: list[int] = []  # and the index after its last
        self._day = start.date()
        self._last_day = self._day + timedelta(days=MOST_DAYS_AHEAD)
        self._zone = ZoneInfo(calendar.zone) if calendar.zone else None
        self._blocked = sorted((clock_of(begin), clock_of(end)) for begin, end in calendar.blocked)
        self._known: dict[tuple[int, int], int] = {}
        self._reach(0)

    def start_clock(self, index: int) -> int:
        """Return the clock at which work begins that starts at a working index."""
        if index >= len(self._clocks):
            self._reach(index)
        return self._clocks[index]

    def end_clock(self, index: int) -> int:
        """Return the clock at which work has ended that ends at a working index; at 0, when it begins."""
        if index > len(self._clocks):
            self._reach(index)
        return self._clocks[index - 1] + 1 if index else self._clocks[0]

    def index_from(self, clock: int) -> int:
        """Return the first working index that starts at or after a clock: the last that ends by then, too."""
        while self._clocks[-1] < clock:
            self._extend()
        return bisect_left(self._clocks, clock)

    def ready(self, end_clock: int, wait: int) -> int:
        """Return the first working index that starts so many quarters, as they pass, after a clock."""
        found = self._known.get((end_clock, wait))
        if found is None:
            found = self._known[end_clock, wait] = self.index_from(self.clock_after(end_clock, wait))
        return found

    def clock_after(self, clock: int, wait: int) -> int:
        """Return the wall clock after so many quarters have passed."""
        if self._zone is None or not wait:
            return clock + wait
        later = moment_of(clock).replace(tzinfo=self._zone).astimezone(UTC) + wait * QUARTER
        return clock_of(later.astimezone(self._zone).replace(tzinfo=None))

    def stretch_at(self, index: int) -> tuple[int, int]:
        """Return the working indexes at which the stretch around an index begins and ends."""
        if index >= len(self._clocks):
            self._reach(index)
        return self._first[index], self._after[index]

    def stretches(self, until: int) -> Iterable[tuple[int, int]]:
        """Yield the first index of each stretch, and that after its last, up to a working index."""
        index = 0
        while index < until:
            first, after = self.stretch_at(index)
            yield first, after
            index = after

    def _reach(self, index: int) -> None:
        while len(self._clocks) <= index:
            self._extend()

    def _extend(self) -> None:
        """Add the next day that has working hours."""
        before = len(self._clocks)
        while len(self._clocks) == before:
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
        for begin, end in self._blocked:
            if begin >= closes:
                break
            if end > opens:
                self._add_stretch(opens, begin)
                opens = max(opens, end)
        self._add_stretch(opens, closes)

    def _add_stretch(self, opens: int, closes: int) -> None:
        first, count = len(self._clocks), closes - opens
        if count > 0:
            self._clocks.extend(range(opens, closes))
            self._first.extend([first] * count)
            self._after.extend([first + count] * count)
