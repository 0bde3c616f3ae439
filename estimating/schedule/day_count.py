"""On how many days a job is worked, and for how many supply runs it buys, before a day is set for it."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from fractions import Fraction

from estimating.schedule.calendar import (
    QUARTERS_A_DAY,
    NoWorkingHours,
    OpenHours,
    WorkCalendar,
    moment_of,
)
from estimating.schedule.from_work import steps_of_work
from estimating.schedule.list_rule import RUNS_FOR_A_PRICE, improved_plan
from estimating.schedule.network import network
from estimating.schedule.steps import Step
from estimating.takeoff.work import ZERO, ItemQuantities

FIVE_DAYS, TWO_DAYS = 5, 2
MORNING = 8 * 4  # in quarter hours of the day
LAST_QUARTER = 24 * 4 - 1
LEAST_A_DAY = Fraction(1, 4)
# Any Monday will do: weeks have five working days here, and no holidays.
A_MONDAY = datetime.combine(date(2024, 1, 1), time())


@dataclass(frozen=True)
class DayCount:
    """The working days of a plan, and the day, from 0, on which each work item begins, by its key.

    `left_empty` is how much of the days before the last is not worked, in whole days: two half days are one.
    """

    days: int
    begins: dict[str, int]
    left_empty: Fraction = ZERO


def count_days(items: Sequence[ItemQuantities], hours_per_day: Fraction) -> DayCount:
    """Plan a job from a Monday morning, five days a week without holidays, by a few runs of the list rule.

    So the count stays the same whenever it is asked for. A plan on real days can have a day more or less.
    Work is planned in quarter hours, so a day counts as one at least. Work for more years than a calendar
    looks ahead, as by a rate that was mistyped, is counted hour after hour.
    """
    steps = steps_of_work(items)
    if not steps:
        return DayCount(0, {})
    calendar = plain_calendar(max(hours_per_day, LEAST_A_DAY))
    try:
        return _planned(steps, calendar)
    except NoWorkingHours:
        return _hour_after_hour(steps, calendar.longest_day())


def _planned(steps: Sequence[Step], calendar: WorkCalendar) -> DayCount:
    net = network(steps, calendar, A_MONDAY)
    found = improved_plan(net, RUNS_FOR_A_PRICE)
    worked: dict[int, int] = defaultdict(int)
    first: dict[str, int] = {}
    for step, start in zip(net.steps, found.starts, strict=True):
        index = start
        while index < start + step.quarters:
            _, stops = net.time.stretch_at(index)
            until = min(stops, start + step.quarters)
            worked[net.time.start_clock(index) // QUARTERS_A_DAY] += until - index
            index = until
        day = net.time.start_clock(start) // QUARTERS_A_DAY
        first[step.work_item] = min(day, first.get(step.work_item, day))
    order = {day: position for position, day in enumerate(sorted({*worked, *first.values()}))}
    whole = calendar.longest_day()
    left = sum(whole - quarters for day, quarters in worked.items() if day < max(worked))
    return DayCount(len(worked), {key: order[day] for key, day in first.items()}, Fraction(left, whole))


def _hour_after_hour(steps: Sequence[Step], quarters_a_day: int) -> DayCount:
    begins: dict[str, int] = {}
    done = 0
    for step in steps:
        begins.setdefault(step.work_item, done // quarters_a_day)
        done += step.quarters
    return DayCount(-(-done // quarters_a_day), begins)


def fewest_runs(needs: Iterable[tuple[int, int]]) -> list[int]:
    """Return on which days the fewest supply runs lie, from what must be bought: the day that needs it, and
    within how many working days it may be bought, that day among them.

    Days are counted from 0. The earliest need that the last run doesn't serve has a run on its day: for
    stretches on a line that is the fewest (greedy by their ends).
    """
    runs: list[int] = []
    for day, within in sorted(needs):
        if not runs or runs[-1] <= day - within:
            runs.append(day)
    return runs


def plain_calendar(hours_per_day: Fraction, holidays: frozenset[date] = frozenset()) -> WorkCalendar:
    """Return a calendar of five days a week from 8:00, each with so many hours."""
    quarters = max(min(int(hours_per_day * 4), LAST_QUARTER), 1)
    opens = MORNING if MORNING + quarters <= LAST_QUARTER else 0
    hours = OpenHours(
        moment_of(opens + QUARTERS_A_DAY).time(), moment_of(opens + quarters + QUARTERS_A_DAY).time()
    )
    return WorkCalendar((*(hours,) * FIVE_DAYS, *(None,) * TWO_DAYS), holidays=holidays)
