"""All that the plan of days is worked out from, read from the database."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.conf import settings
from django.db.models import QuerySet
from holidays import country_holidays

from catalog.models import Firm
from estimating.documents.billing_hooks import billing
from estimating.events.chain import canonical, digest
from estimating.models import Acceptance, Document, Job
from estimating.models.document import with_events
from estimating.schedule.calendar import OpenHours, WorkCalendar, federal_holidays, week_of
from estimating.schedule.steps import Pin, Step
from jobsite.days.job_steps import steps_of_draft, steps_of_signed_jobs
from jobsite.days.kept_steps import JobSteps
from jobsite.days.outside import Awaited, earliest
from jobsite.days.words import short_day
from jobsite.models import Absence, JobDays, OutsideEvent, StepDate, StepProgress, ToldDates, WorkWeek
from reading.prepared import prepared

PLANNED_AS = "3"  # raise it where the same inputs give another plan than before
SIGNED = 0  # the scope of the plan of all signed jobs
YEARS_AHEAD = 3


@dataclass(frozen=True)
class Inputs:
    """What a plan is worked out from.

    `jobs` are those that are planned, in the order in which they are set; `scope` is SIGNED or the job that
    isn't signed yet. `dates` and `progress` are by job and step.
    """

    today: date
    scope: int
    week: WorkWeek
    absences: tuple[Absence, ...]
    jobs: tuple[Job, ...]
    steps: Mapping[int, JobSteps]
    dates: Mapping[tuple[int, str], StepDate] = field(default_factory=dict)
    progress: Mapping[tuple[int, str], StepProgress] = field(default_factory=dict)
    events: tuple[Awaited, ...] = ()
    finished: Mapping[tuple[int, str], date] = field(default_factory=dict)
    signed: Mapping[int, Document] = field(default_factory=dict)
    told: Mapping[int, ToldDates] = field(default_factory=dict)
    visit_hours: Decimal = Decimal(0)
    together: float = 0.3  # how far the hours of a job run over together
    ended: frozenset[int] = frozenset()  # documents all of whose work is done
    cancelable_to: Mapping[int, date] = field(default_factory=dict)  # by document

    def digest(self) -> str:
        """Return the digest of all that a plan depends on, the day included."""
        facts: list[Any] = [
            PLANNED_AS,
            self.today.isoformat(),
            settings.TIME_ZONE,
            repr(self.week.hours_by_weekday()),
            self.week.begins.isoformat(),
            self.week.keeps_holidays,
            [[row.first.isoformat(), row.last.isoformat(), row.part] for row in self.absences],
            [self.steps[job.pk].as_text for job in self.jobs],
            [[*place, row.kind, _day(row.day)] for place, row in sorted(self.dates.items())],
            [
                [*place, f"{row.hours_left}", row.noted_at.isoformat()]
                for place, row in sorted(self.progress.items())
            ],
            [repr(event) for event in self.events],
            [list(place) for place in sorted(self.finished)],
            [[job, told.finish.isoformat()] for job, told in sorted(self.told.items())],
            f"{self.visit_hours} {self.together}",
            [[job.pk, _day(job.work_begins_on)] for job in self.jobs],
            sorted(self.ended),
            [[document, last.isoformat()] for document, last in sorted(self.cancelable_to.items())],
        ]
        return digest(canonical(facts))

    def calendar(self) -> WorkCalendar:
        """Return the hours in which the firm works, for the rules of planning."""
        years = (self.today.year - 1, self.today.year + YEARS_AHEAD)
        days, blocked = _absent(self.absences, self.week)
        return WorkCalendar(
            week=week_of(self.week.begins, [Fraction(hours) for hours in self.week.hours_by_weekday()]),
            days_off=days,
            holidays=federal_holidays(*years) if self.week.keeps_holidays else frozenset(),
            blocked=blocked,
            zone=settings.TIME_ZONE,
        )

    def steps_to_plan(self, job: Job) -> tuple[Step, ...]:
        """Return the steps of a job, with what was set by hand, what they wait for, and what is done."""
        events = [event for event in self.events if event.job == job.pk]
        return tuple(
            self._as_it_stands(job.pk, step, job.work_begins_on, events) for step in self.steps[job.pk].steps
        )

    def promised(self, job: Job) -> date | None:
        """Return the day on which the client was told last that the job would end."""
        told = self.told.get(job.pk)
        return told.finish if told else None

    def is_finished(self, job: int, step: Step) -> bool:
        """Tell whether a step is done: noted so, or its whole line of the contract is ticked."""
        progress = self.progress.get((job, step.key))
        facts = self.steps[job].facts.get(step.work_item)
        return bool(
            (progress is not None and not progress.hours_left)
            or (facts and (facts.place in self.finished or facts.document in self.ended))
        )

    def _as_it_stands(self, job: int, step: Step, begins: date | None, events: Sequence[Awaited]) -> Step:
        progress = self.progress.get((job, step.key))
        if self.is_finished(job, step):
            done = progress.noted_at.replace(tzinfo=None) if progress else _morning(self.today)
            return replace(step, done=min(done, _morning(self.today)))
        if progress is not None:
            step = replace(step, quarters=max(int(progress.hours_left * 4), 1))
        held = [(begins, "work on this job begins then")] if begins else []
        facts = self.steps[job].facts.get(step.work_item)
        if facts and (last := self.cancelable_to.get(facts.document)):
            held.append((last + timedelta(days=1), f"the client can cancel until {short_day(last)}"))
        for event in events:
            waits = facts and event.holds_back in (
                f"phase:{facts.phase}",
                f"line:{facts.document}:{facts.line}",
            )
            comes = earliest(event, self.today) if waits else None
            if comes:
                held.append((comes, event.title))
        by_hand = self.dates.get((job, step.key))
        if by_hand and by_hand.kind == StepDate.Kind.NOT_BEFORE:
            held.append((by_hand.day, "set by hand"))
        elif by_hand:
            step = replace(step, pin=Pin(by_hand.day))
        if not held:
            return step
        day, reason = max(held, key=lambda entry: entry[0])
        return replace(step, not_before=datetime.combine(day, self.week.begins), not_before_reason=reason)


def read_inputs(today: date, draft_job: Job | None = None) -> Inputs:
    """Read what the plan of all signed jobs that are open is worked out from.

    A job that isn't signed is planned after them where it is asked for. The number of queries doesn't grow
    with jobs and steps, once the steps of each are kept. Without a job to plan, it costs four.
    """
    firm = Firm.current()
    signatures = _signatures()
    with_events([row.document for row in signatures])
    signed = {
        row.document.job_id: row.document for row in signatures if row.document.kind == Document.Kind.ESTIMATE
    }
    signatures = [row for row in signatures if row.document.job_id in signed]
    signatures.sort(key=lambda row: row.document.kind != Document.Kind.ESTIMATE)
    jobs = {document.job_id: document.job for document in signed.values()}
    steps = steps_of_signed_jobs(signatures, firm) if signatures else {}
    scope = SIGNED
    if draft_job is not None and draft_job.pk not in jobs:
        jobs[draft_job.pk], steps[draft_job.pk] = draft_job, steps_of_draft(draft_job, firm)
        scope = draft_job.pk
    inputs = Inputs(
        today=today,
        scope=scope,
        week=WorkWeek.current(),
        absences=tuple(Absence.objects.filter(last__gte=today - timedelta(days=7))),
        jobs=(),
        steps={},
        visit_hours=firm.visit_hours,
        together=float(firm.hours_together_percent / 100),
    )
    if not jobs:
        return inputs
    job_days = {row.job_id: row for row in _job_days(jobs)}
    ended = billing().work_ended(jobs.values())
    return replace(
        inputs,
        jobs=tuple(sorted(jobs.values(), key=lambda job: _place(job, job_days.get(job.pk), job.pk == scope))),
        steps=steps,
        dates={(row.job_id, row.step): row for row in _step_dates(jobs)},
        progress={(row.job_id, row.step): row for row in _step_progress(jobs)},
        events=tuple(awaited(row) for row in _outside_events(jobs)),
        finished=billing().finished_work(jobs.values()),
        signed=signed,
        told={row.job_id: row for row in _told_dates(jobs)},
        ended=frozenset(
            row.document_id
            for row in signatures
            if (last := ended.get(row.document.job_id)) and row.signed_on <= last
        ),
        cancelable_to={
            row.document_id: last
            for row in signatures
            if (last := row.document.cancel_by()) is not None and last >= today
        },
    )


@prepared
def _signatures() -> QuerySet[Acceptance]:
    return (
        Acceptance.objects.uncanceled()
        .filter(document__job__in=Job.objects.open_keys(), document__kind__in=("estimate", "change_order"))
        .select_related("document__job__client", "document__estimate__change")
        .defer("document__pdf", "document__snapshot", "document__basis", "record")
        .order_by("document__kind", "document__number")
    )


@prepared
def _job_days(jobs: Collection[int]) -> QuerySet[JobDays]:
    return JobDays.objects.filter(job__in=jobs)


@prepared
def _step_dates(jobs: Collection[int]) -> QuerySet[StepDate]:
    return StepDate.objects.filter(job__in=jobs)


@prepared
def _step_progress(jobs: Collection[int]) -> QuerySet[StepProgress]:
    return StepProgress.objects.filter(job__in=jobs)


@prepared
def _outside_events(jobs: Collection[int]) -> QuerySet[OutsideEvent]:
    return OutsideEvent.objects.filter(job__in=jobs)


@prepared
def _told_dates(jobs: Collection[int]) -> QuerySet[ToldDates]:
    return ToldDates.objects.filter(job__in=jobs).order_by("told_at", "pk")


def awaited(row: OutsideEvent) -> Awaited:
    """Return an event for the rules."""
    return Awaited(
        key=row.pk,
        job=row.job_id,
        kind=row.kind,
        title=row.title,
        on=row.on,
        lead_days=row.lead_days,
        ordered_on=row.ordered_on,
        holds_back=row.holds_back,
        done=row.done,
    )


def off_days(inputs: Inputs, first: date, last: date) -> dict[date, str]:
    """Return why no work is done on days from one to another, beside weekdays without hours."""
    off: dict[date, str] = {}
    if inputs.week.keeps_holidays:
        names = country_holidays("US", years=range(first.year, last.year + 1))
        off = {day: f"Holiday: {name}" for day, name in names.items() if first <= day <= last}
    for row in inputs.absences:
        for day in days_of(row):
            if first <= day <= last:
                part = "" if row.part == Absence.Part.DAY else f", {row.get_part_display().lower()}"
                off[day] = f"{row}{part}"
    return off


def days_of(row: Absence) -> list[date]:
    """Return the days of an absence."""
    return [row.first + timedelta(days=count) for count in range((row.last - row.first).days + 1)]


def opening_hours(week: WorkWeek, day: date) -> OpenHours | None:
    """Return the hours of a weekday."""
    return week_of(week.begins, [Fraction(hours) for hours in week.hours_by_weekday()])[day.weekday()]


def _absent(
    absences: Iterable[Absence], week: WorkWeek
) -> tuple[frozenset[date], tuple[tuple[datetime, datetime], ...]]:
    """Return whole days off, and the times that are blocked in others."""
    whole: set[date] = set()
    blocked: list[tuple[datetime, datetime]] = []
    for row in absences:
        for day in days_of(row):
            hours = opening_hours(week, day)
            if row.part == Absence.Part.DAY or hours is None:
                whole.add(day)
                continue
            noon = datetime.combine(day, time(12))
            opens, closes = datetime.combine(day, hours.opens), datetime.combine(day, hours.closes)
            morning = row.part == Absence.Part.MORNING
            begin, end = (opens, min(noon, closes)) if morning else (max(noon, opens), closes)
            if begin < end:
                blocked.append((begin, end))
    return frozenset(whole), tuple(blocked)


def _place(job: Job, row: JobDays | None, is_draft: bool) -> tuple[bool, int, date, int]:
    """Return what jobs are sorted by: as set by hand, else as they were asked for; a draft comes last."""
    return is_draft, row.position if row else 0, job.requested_on, job.pk


def _morning(day: date) -> datetime:
    return datetime.combine(day, time())


def _day(day: date | None) -> str:
    return day.isoformat() if day else ""
