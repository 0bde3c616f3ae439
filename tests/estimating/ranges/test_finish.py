"""The day on which a plan ends, as a range."""

from dataclasses import replace
from datetime import date, datetime
from fractions import Fraction

from estimating.ranges.finish import FinishRange, finish_range
from estimating.schedule.calendar import WorkCalendar
from estimating.schedule.steps import HoursRange, Step
from tests.estimating.schedule.random_jobs import EIGHT
from tests.estimating.schedule.validator import planned

CALENDAR = WorkCalendar(EIGHT)
MONDAY = datetime.fromisoformat("2026-04-06T08:00")
# 40 h likely, 30 and 80 at best and worst: mean 50 h, sd sqrt((900+1600+6400-1200-2400-3200)/18) = 10.80;
# 50 h are 6.25 days of 8 h, 50 + 0.84162 * 10.80 = 59.09 h are 7.4 days
FORTY = HoursRange(Fraction(30), Fraction(40), Fraction(80))


def range_of(*steps: Step) -> FinishRange | None:
    return finish_range(steps, CALENDAR, MONDAY, planned(steps, CALENDAR, MONDAY), together=0)


def test_the_range_of_a_finish_by_hand() -> None:
    step = Step("a", "A", 160, hours=FORTY)
    assert range_of(step) == FinishRange(date(2026, 4, 14), date(2026, 4, 15))


def test_the_steps_of_one_work_item_go_well_or_badly_together() -> None:
    half = HoursRange(Fraction(15), Fraction(20), Fraction(40))
    steps = (Step("a", "A", 80, "w", hours=half), Step("b", "B", 80, "w", hours=half))
    assert range_of(*steps) == range_of(Step("a", "A", 160, hours=FORTY))


def test_the_range_is_of_the_hours_that_are_left() -> None:
    step = Step("a", "A", 32, hours=FORTY)  # 8 of 40 hours: 10 h at the mean, 11.8 h four times out of five
    assert range_of(step) == FinishRange(date(2026, 4, 7), date(2026, 4, 7))


def test_what_is_done_has_no_range() -> None:
    assert range_of(replace(Step("a", "A", 8), done=MONDAY)) is None
