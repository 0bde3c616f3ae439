"""One job to plan as plain JSON data: steps with hours, waits in clock hours, holidays and hours a day."""

from collections.abc import Mapping
from datetime import date, datetime, time, timedelta
from fractions import Fraction
from typing import Any

from estimating.schedule.calendar import OpenHours, WorkCalendar
from estimating.schedule.plan import Plan
from estimating.schedule.planner import plan_steps
from estimating.schedule.steps import CannotPlan, Step, Wait, hours_of

OPENS = time(8)
WORKING_DAYS = 5


def plan_case(case: object) -> dict[str, Any]:
    """Return the best plan of a case: starts, makespan, lower bound, and whether it is proven.

    A case has `start` ("YYYY-MM-DDTHH:MM"), `tasks` by name, each with `hours`, `split` and `after` (pairs of
    a task and the hours to wait after it), and may have `holidays` and `hours_per_day`; days begin at 8:00,
    Monday to Friday. Raises CannotPlan with a sentence for anything else.
    """
    if not isinstance(case, Mapping):
        raise CannotPlan('The file must hold one case: {"start": ..., "tasks": {...}}.')
    tasks = case.get("tasks")
    if not isinstance(tasks, Mapping):
        raise CannotPlan("The case has no tasks.")
    steps = [_step(str(name), task) for name, task in tasks.items()]
    return in_plain_data(plan_steps(steps, _calendar(case), _start(case), "best"))


def in_plain_data(plan: Plan) -> dict[str, Any]:
    """Return the figures of a plan as JSON can keep them."""
    return {
        "starts": {key: f"{placed.start:%Y-%m-%dT%H:%M}" for key, placed in plan.placed.items()},
        "makespan_work_hours": float(hours_of(plan.makespan)),
        "lower_bound_work_hours": float(hours_of(plan.lower_bound)),
        "proven": plan.proven,
    }


def _start(case: Mapping[str, Any]) -> datetime:
    try:
        start = datetime.fromisoformat(str(case.get("start")))
    except ValueError as error:
        raise CannotPlan('"start" must be a day and time such as "2026-04-06T08:00".') from error
    if start.tzinfo is not None:
        raise CannotPlan('"start" is the firm\'s own time, without a time zone: "2026-04-06T08:00".')
    return start


def _calendar(case: Mapping[str, Any]) -> WorkCalendar:
    hours = Fraction(_quarters(case.get("hours_per_day", 8), '"hours_per_day"'), 4)
    if not 0 < hours < 16:
        raise CannotPlan('"hours_per_day" must be more than 0 and less than 16: the day begins at 8:00.')
    closes = (datetime.combine(date.min, OPENS) + timedelta(hours=float(hours))).time()
    holidays = case.get("holidays", [])
    try:
        days = frozenset(date.fromisoformat(day) for day in holidays)
    except (TypeError, ValueError) as error:
        raise CannotPlan('"holidays" must be days such as ["2026-05-25"].') from error
    week = (OpenHours(OPENS, closes),) * WORKING_DAYS + (None,) * (7 - WORKING_DAYS)
    return WorkCalendar(week, holidays=days)


def _step(name: str, task: object) -> Step:
    if not isinstance(task, Mapping) or "hours" not in task:
        raise CannotPlan(f'{name} has no "hours".')
    after, split = task.get("after", []), task.get("split", False)
    if not isinstance(split, bool):
        raise CannotPlan(f'"split" of {name} must be true or false.')
    waits = []
    for pair in after if isinstance(after, list) else [None]:
        if not isinstance(pair, list) or len(pair) != 2:
            raise CannotPlan(f'"after" of {name} must be pairs of a task and hours, such as [["prep", 4]].')
        waits.append(Wait(str(pair[0]), _quarters(pair[1], f"The wait of {name}")))
    return Step(
        name, name, _quarters(task["hours"], f"The hours of {name}"), splittable=split, after=tuple(waits)
    )


def _quarters(hours: object, what: str) -> int:
    """Return hours as quarter hours. Raises CannotPlan."""
    if isinstance(hours, bool) or not isinstance(hours, int | float) or not 0 <= hours < 100_000:
        raise CannotPlan(f"{what} must be a number of hours from 0.")
    quarters = Fraction(str(hours)) * 4
    if quarters.denominator != 1:
        raise CannotPlan(f"{what} must be whole quarter hours, such as 1.25: {hours:g} isn't.")
    return int(quarters)
