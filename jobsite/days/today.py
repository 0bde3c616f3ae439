"""What is done today, and what is needed for it, for the top of the Today page."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import QuerySet

from estimating.models import Acceptance, Job
from jobsite.days.done import days_of_jobs
from jobsite.days.inputs import awaited, off_days
from jobsite.days.outside import DECISION, act_by, earliest, needed_on
from jobsite.days.plan import Days, read_days
from jobsite.days.planned import Part, PlannedStep, on_days
from jobsite.days.weeks import drying_in_words
from jobsite.days.words import clock, day_near
from jobsite.models import OutsideEvent
from reading.prepared import prepared

SOON = 7  # days ahead that what is due is told


@dataclass(frozen=True)
class TodaysStep:
    """A step's part of today with the job that it is of."""

    step: PlannedStep
    part: Part
    job: Job


@dataclass(frozen=True)
class Today:
    """The work of a day with what is needed for it.

    `next_day` is the day that is shown where nothing is planned today. `closed` are surfaces that dry.
    `day_of` says how far each job is that is worked on then.
    """

    day: date
    today: date
    steps: tuple[TodaysStep, ...]
    day_of: tuple[str, ...]
    off: str
    closed: tuple[str, ...]
    home: tuple[str, ...]
    comes: tuple[str, ...]
    order: tuple[str, ...]

    @property
    def is_today(self) -> bool:
        return self.day == self.today


def read_today(today: date) -> Today | None:
    """Return what is done today, or on the next day on which something is; None where nothing is planned.

    Costs a query, and where a job is signed those of the plan and two more.
    """
    if not _any_signed():
        return None
    found = read_days(today)
    days = sorted({part.day for step in found.plan.steps for part in step.parts if part.day >= today})
    if not days:
        return None
    day = days[0]
    jobs = {job.pk: job for job in found.inputs.jobs}
    names = found.names()
    rows = _awaited(jobs)
    closing = [step for step in found.plan.steps if step.dries_until and step.ends.date() == day]
    return Today(
        day=day,
        today=today,
        steps=tuple(
            TodaysStep(step, part, jobs[step.job]) for step, part in on_days(found.plan.steps, day, day)
        ),
        day_of=tuple(_day_of(found, jobs, names, day)),
        off=off_days(found.inputs, today, today + timedelta(days=1)).get(today, ""),
        closed=tuple(f"{names[step.job]}: {drying_in_words(step)}" for step in closing),
        home=tuple(_coming(rows, names, day, today, home=True)),
        comes=tuple(_coming(rows, names, day, today, home=False)),
        order=tuple(_to_order(found, rows, names, today)),
    )


@prepared
def _any_signed() -> QuerySet[Acceptance, int]:
    signed = Acceptance.objects.filter(document__job__in=Job.objects.open_keys())
    return signed.order_by().values_list("pk", flat=True)[:1]


@prepared
def _awaited(jobs: Collection[int]) -> QuerySet[OutsideEvent]:
    return OutsideEvent.objects.filter(job__in=jobs, done=False)


def _day_of(found: Days, jobs: Mapping[int, Job], names: Mapping[int, str], day: date) -> Iterable[str]:
    for job, (number, days) in days_of_jobs(found, jobs.values(), day).items():
        yield f"{names[job]}: day {number} of {days}"


def _coming(
    rows: Iterable[OutsideEvent], names: dict[int, str], day: date, today: date, *, home: bool
) -> Iterable[str]:
    for row in rows:
        if row.needs_client == home and row.kind != DECISION and earliest(awaited(row), today) == day:
            at = f", {clock(row.at)}" if row.at else ""
            yield f"{names[row.job_id]}: {row.title}{at}"


def _to_order(found: Days, rows: Iterable[OutsideEvent], names: dict[int, str], today: date) -> Iterable[str]:
    """Yield what must be ordered or decided within a week."""
    due = []
    for row in rows:
        if by := act_by(awaited(row), needed_on(awaited(row), found.plan.steps)):
            verb = "the client decides" if row.kind == DECISION else "order"
            due.append((max(by, today), f"{names[row.job_id]}: {verb} {row.title}"))
    for job in found.inputs.jobs:
        for decision in found.decisions(job.pk):
            if decision.day and decision.day >= today:
                due.append((decision.day, f"{names[job.pk]}: the client decides {decision.title}"))
    for day, words in sorted(due):
        if day == today:
            yield f"{words} today at the latest"
        elif day <= today + timedelta(days=SOON):
            yield f"{words} by {day_near(day, today)}"
