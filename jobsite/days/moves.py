"""Moving a step by hand, and what is told where it can't lie as it was set."""

from datetime import date, datetime, timedelta
from decimal import Decimal

from estimating.models import Job
from estimating.schedule.calendar import WorkCalendar
from jobsite.days.inputs import Inputs
from jobsite.days.plan import Days, read_days
from jobsite.days.planned import PlannedStep
from jobsite.days.words import day_near
from jobsite.models import JobDays, StepDate, StepProgress

MOST_DAYS_LOOKED_AT = 400


class CannotMove(ValueError):
    """A step that can't go there; the message says why in a plain sentence."""


def move_step(found: Days, job: Job, step: PlannedStep, move: str, day: date | None) -> str:
    """Set the day of a step by hand, or free it; return a sentence about where it lies now.

    "earlier" puts it on the working day before, "later" not before the one after. Raises CannotMove where
    there is no such day.
    """
    today = found.inputs.today
    if move == "free":
        StepDate.objects.filter(job=job, step=step.key).delete()
    else:
        kind, on = _wish(found.inputs, step, move, day)
        StepDate.objects.update_or_create(job=job, step=step.key, defaults={"kind": kind, "day": on})
    moved = read_days(today, job)
    return where_now(moved, job, step, today)


def _wish(inputs: Inputs, step: PlannedStep, move: str, day: date | None) -> tuple[str, date]:
    if move == "earlier":
        on = _working_day(inputs, step.begins.date(), -1)
        if on is None or on < inputs.today:
            raise CannotMove(f"{step.title} begins as early as a day can be: there is no working day before.")
        return StepDate.Kind.ON, on
    if move == "later":
        on = _working_day(inputs, step.begins.date(), 1)
        if on is None:
            raise CannotMove("No working day is left after that: set your hours.")
        return StepDate.Kind.NOT_BEFORE, on
    assert day is not None  # as the form asks for it
    return move, day


def _working_day(inputs: Inputs, day: date, by: int) -> date | None:
    """Return the next day before or after a day that has hours; None where there is none near."""
    calendar: WorkCalendar = inputs.calendar()
    for _ in range(MOST_DAYS_LOOKED_AT):
        day += timedelta(days=by)
        if calendar.hours_on(day) is not None:
            return day
    return None


def where_now(found: Days, job: Job, step: PlannedStep, today: date) -> str:
    """Say where a step lies, and when the job ends."""
    placed, finish = found.plan.step(job.pk, step.key), found.plan.finish(job.pk)
    if placed is None or finish is None:
        return f"{step.title} is set."
    begins = day_near(placed.begins.date(), today)
    return f"{step.title} begins {begins}. The job ends {day_near(finish, today)}."


def note_progress(job: Job, step: PlannedStep, hours_left: Decimal, at: datetime) -> None:
    """Keep how many hours of a step are left; 0 once it is done."""
    StepProgress.objects.update_or_create(
        job=job, step=step.key, defaults={"hours_left": hours_left, "noted_at": at}
    )


def move_job(order: list[int], job: int, *, up: bool) -> None:
    """Put a job one place up or down among the open jobs."""
    if job not in order:
        return
    place = order.index(job)
    other = place + (-1 if up else 1)
    if 0 <= other < len(order):
        order[place], order[other] = order[other], order[place]
    for position, pk in enumerate(order):
        JobDays.objects.update_or_create(job_id=pk, defaults={"position": position})
