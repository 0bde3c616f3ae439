"""Plans of one worker: proven cases, waits, surfaces, pins, and what can't be kept."""

from datetime import date, datetime, time
from typing import Any

import pytest

from estimating.schedule.calendar import NoWorkingHours, WorkCalendar, federal_holidays, week_of
from estimating.schedule.case import plan_case
from estimating.schedule.steps import CannotPlan, Pin, Step, Wait
from tests.estimating.schedule.random_jobs import EIGHT, worked_cases
from tests.estimating.schedule.validator import planned

CALENDAR = WorkCalendar(EIGHT)
MONDAY = datetime.fromisoformat("2026-04-06T08:00")
TAPE = Step("tape", "Tape", 8, splittable=False)
FILL = Step("fill", "Fill", 4, splittable=False, after=(Wait("tape", 64),))


def at(text: str) -> datetime:
    return datetime.fromisoformat(text)


@pytest.mark.parametrize("case", worked_cases(), ids=lambda case: str(case["name"]))
def test_the_worked_cases_are_optimal_and_proven(case: dict[str, Any]) -> None:
    found = plan_case(case)
    expected = case["expected"]
    assert found["makespan_work_hours"] == expected["min_makespan_work_hours"]
    assert found["lower_bound_work_hours"] == expected["lower_bound_work_hours"]
    assert found["proven"] is True
    assert found["starts"].keys() == case["tasks"].keys()


def test_what_dries_overnight_is_gone_on_with_the_next_morning() -> None:
    plan = planned([TAPE, FILL], CALENDAR, MONDAY)
    fill = plan.placed["fill"]
    assert fill.start == at("2026-04-07T08:00")
    assert fill.reason.words == "waits for Tape to dry or set, until Tue 7 Apr, 2:00 AM"
    assert (plan.makespan, plan.proven, plan.working_days) == (36, True, 2)


def test_a_weekend_dries_and_a_holiday_too() -> None:
    friday = at("2026-05-22T12:00")
    calendar = WorkCalendar(EIGHT, holidays=federal_holidays(2026, 2026))
    plan = planned([TAPE, FILL], calendar, friday)
    assert plan.placed["fill"].start == at("2026-05-26T08:00")  # Memorial Day is the 25th


def test_the_year_ends_over_a_wait() -> None:
    calendar = WorkCalendar(EIGHT, holidays=federal_holidays(2026, 2027))
    plan = planned([TAPE, FILL], calendar, at("2026-12-31T14:00"))
    assert plan.placed["fill"].start == at("2027-01-04T08:00")


def test_a_night_in_which_the_clocks_go_forward_dries_an_hour_less() -> None:
    week = week_of(time(8), (8,) * 7)
    steps = [Step("coat", "Coat", 32, splittable=False), Step("next", "Next", 4, after=(Wait("coat", 64),))]
    saturday = at("2026-03-07T08:00")  # clocks go forward at 2:00 on Sunday
    assert planned(steps, WorkCalendar(week), saturday).placed["next"].start == at("2026-03-08T08:00")
    zone = WorkCalendar(week, zone="America/Chicago")
    assert planned(steps, zone, saturday).placed["next"].start == at("2026-03-08T09:00")
    fall = planned(steps, zone, at("2026-10-31T08:00"))  # and back on 1 November: an hour more
    assert fall.placed["next"].start == at("2026-11-01T08:00")


def test_nothing_walks_on_a_floor_that_sets() -> None:
    grout = Step("grout", "Grout", 4, splittable=False, closes=frozenset({"floor:1"}), dries=96)
    grout = Step(**{**grout.__dict__, "uses": frozenset({"floor:1"})})
    here = Step("here", "Lights here", 8, uses=frozenset({"floor:1"}))
    there = Step("there", "Lights there", 8, uses=frozenset({"floor:2"}))
    plan = planned([grout, here, there], CALENDAR, MONDAY, "best")
    assert plan.makespan == 20  # the lights in the room before it is grouted
    first = Step(**{**grout.__dict__, "pin": Pin(MONDAY.date(), time(8))})
    plan = planned([first, here, there], CALENDAR, MONDAY, "best")
    assert plan.placed["here"].start == at("2026-04-07T09:00")
    assert plan.placed["here"].reason.kind == "surface"


def test_a_finished_step_takes_no_work_and_still_dries() -> None:
    done = Step(**{**TAPE.__dict__, "done": at("2026-04-06T12:00")})
    plan = planned([done, FILL], CALENDAR, at("2026-04-06T13:00"))
    assert plan.placed["fill"].start == at("2026-04-07T08:00")
    assert "tape" not in plan.placed


def test_a_pin_is_kept_where_it_can_be() -> None:
    pinned = Step(**{**FILL.__dict__, "pin": Pin(date(2026, 4, 9), time(13))})
    plan = planned([TAPE, pinned, Step("other", "Other", 60)], CALENDAR, MONDAY)
    assert plan.placed["fill"].start == at("2026-04-09T13:00")
    assert plan.unkept == ()


@pytest.mark.parametrize(
    ("pin", "words"),
    [
        (Pin(date(2026, 4, 6)), "Fill can't go on Mon 6 Apr: Tape must dry or set until Tue 7 Apr, 2:00 AM."),
        (Pin(date(2026, 4, 2)), "Fill can't go on Thu 2 Apr: that day is past."),
        (Pin(date(2026, 4, 11)), "Fill can't go on Sat 11 Apr: you don't work then."),
        (
            Pin(date(2026, 4, 8), time(15, 30)),
            "Fill can't go on Wed 8 Apr, 3:30 PM: it is done in one go and doesn't fit into what is left of"
            " that day.",
        ),
    ],
)
def test_a_pin_that_cannot_hold_is_told_with_the_reason(pin: Pin, words: str) -> None:
    plan = planned([TAPE, Step(**{**FILL.__dict__, "pin": pin})], CALENDAR, MONDAY)
    assert [unkept.words for unkept in plan.unkept] == [words]
    assert plan.placed["fill"].start == at("2026-04-07T08:00")


def test_a_promise_that_cannot_be_kept_is_shown() -> None:
    plan = planned([TAPE, FILL], CALENDAR, MONDAY, promised=date(2026, 4, 6))
    assert [unkept.words for unkept in plan.unkept] == [
        "It can't be done by Mon 6 Apr: no plan ends before Tue 7 Apr."
    ]
    assert planned([TAPE, FILL], CALENDAR, MONDAY, promised=date(2026, 4, 7)).unkept == ()


def test_steps_that_wait_for_each_other_are_named() -> None:
    circle = [Step("a", "Tile", 4, after=(Wait("b"),)), Step("b", "Grout", 4, after=(Wait("a"),))]
    with pytest.raises(CannotPlan, match="wait for each other, so none can begin: Tile > Grout > Tile"):
        planned(circle, CALENDAR, MONDAY)


def test_days_without_hours_are_passed_over_and_a_week_without_any_is_told() -> None:
    wednesdays = WorkCalendar(week_of(time(8), (0, 0, 8, 0, 0, 0, 0)))
    assert planned([TAPE], wednesdays, MONDAY).placed["tape"].start == at("2026-04-08T08:00")
    with pytest.raises(NoWorkingHours, match="set the firm's hours"):
        planned([TAPE], WorkCalendar((None,) * 7), MONDAY)


def test_a_lead_of_400_days_is_waited_for() -> None:
    late = Step("set", "Set cabinets", 16, not_before=at("2027-05-11T00:00"))
    plan = planned([TAPE, late], CALENDAR, MONDAY, "best")
    assert plan.placed["set"].start == at("2027-05-11T08:00")
    assert plan.placed["set"].reason.words == "not before Tue 11 May, 12:00 AM"


def test_a_job_without_work_has_no_finish() -> None:
    plan = planned([], CALENDAR, MONDAY, "best")
    assert (plan.finish, plan.makespan, plan.proven, plan.working_days) == (None, 0, True, 0)


def test_a_coat_longer_than_a_day_goes_over_two_and_says_so() -> None:
    plan = planned([Step("coat", "Coat", 40, splittable=False)], CALENDAR, MONDAY)
    assert [unkept.kind for unkept in plan.unkept] == ["too_long"]
    assert plan.working_days == 2


def test_a_step_says_how_far_it_can_be_moved() -> None:
    plan = planned([TAPE, FILL, Step("other", "Other", 4)], CALENDAR, MONDAY)
    assert plan.placed["other"].latest.date() > plan.placed["other"].start.date()
    assert plan.placed["tape"].latest == at("2026-04-06T14:00")  # dry on Tuesday at 8:00, as it must be
