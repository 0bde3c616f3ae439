"""What the page of a job's days shows."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from catalog.money.amounts import format_price
from estimating.documents.billing_hooks import billing
from estimating.documents.milestone_work import MilestoneWork
from estimating.models import Job
from jobsite.days.done import done_days
from jobsite.days.inputs import Inputs, awaited, off_days
from jobsite.days.outside import act_by, earliest, event_in_words, needed_on
from jobsite.days.plan import Days
from jobsite.days.planned import DaysPlan, PlannedStep, monday_of
from jobsite.days.weeks import Note, Week, lay_out_weeks
from jobsite.days.words import clock
from jobsite.models import OutsideEvent, ToldDates

WEEKS_SHOWN = 3


@dataclass(frozen=True)
class JobEnd:
    """When a job ends as it stands, and when its client was told that it would."""

    job: Job
    finish: date | None
    spread: tuple[date, date] | None
    told: ToldDates | None
    is_own: bool
    is_signed: bool

    @property
    def differs(self) -> bool:
        """Whether the client was told another day, or none yet."""
        return self.finish is not None and (self.told is None or self.told.finish != self.finish)

    @property
    def is_later(self) -> bool:
        """Whether it ends later than the client was told."""
        return bool(self.told and self.finish and self.finish > self.told.finish)


@dataclass(frozen=True)
class EventRow:
    """Something from outside with what is to be done about it."""

    event: OutsideEvent
    words: str
    is_late: bool


@dataclass(frozen=True)
class DaysPage:
    """The page: weeks, ends of the jobs, what comes from outside, and what can't hold."""

    weeks: tuple[Week, ...]
    ends: tuple[JobEnd, ...]
    events: tuple[EventRow, ...]
    decisions: tuple[tuple[str, str], ...]
    faults: tuple[str, ...]
    problems: tuple[str, ...]
    week_hours: Decimal
    jobs: int
    proven: bool
    to_solve: bool
    first: date
    earlier: date | None
    later: date
    begins: date | None
    working_days: int
    has_work: bool
    others: tuple[str, ...]
    has_changes: bool
    has_drying: bool
    day_of: tuple[int, int] | None
    is_next: bool

    @property
    def begins_later(self) -> bool:
        """Whether the job begins after the weeks that are shown."""
        return self.begins is not None and self.begins >= self.later


def days_page(found: Days, job: Job, first: date | None, today: date) -> DaysPage:
    """Return the page of a job from a week on. Costs two queries beside those of billing."""
    plan = found.plan
    monday = monday_of(first) if first else first_week(found.inputs)
    last = monday + timedelta(days=7 * WEEKS_SHOWN)
    told = found.inputs.told
    rows = list(OutsideEvent.objects.filter(job__in=found.inputs.jobs))
    notes = notes_by_day(found, job, rows, today)
    done = done_days(found, job)
    oldest = min((first_week(found.inputs), *map(monday_of, done.words)))
    weeks = lay_out_weeks(
        plan.in_order(),
        job.pk,
        monday,
        WEEKS_SHOWN,
        today,
        off_days(found.inputs, monday, last),
        notes,
        found.names(),
        worked_weekdays(found.inputs),
        done.words,
    )
    own = plan.of_job(job.pk)
    shown = [entry for week in weeks for day in week.days for entry in day.parts]
    return DaysPage(
        weeks=weeks,
        ends=tuple(_ends(found, job, told)),
        events=tuple(_event_rows(plan, [row for row in rows if row.job_id == job.pk], today)),
        decisions=tuple((entry.title, entry.in_words(today)) for entry in found.decisions(job.pk)),
        faults=plan.faults.get(job.pk, ()),
        problems=found.inputs.steps[job.pk].problems if job.pk in found.inputs.steps else (),
        week_hours=found.inputs.week.week_hours(),
        jobs=len({step.job for step in plan.steps}),
        proven=job.pk in plan.proven,
        to_solve=found.next_to_solve(job) is not None,
        first=monday,
        earlier=monday - timedelta(days=7 * WEEKS_SHOWN) if monday > oldest else None,
        later=monday + timedelta(days=7 * WEEKS_SHOWN),
        begins=plan.begins(job.pk),
        working_days=plan.working_days(job.pk),
        has_work=bool(own),
        others=tuple(dict.fromkeys(entry.job for entry in shown if entry.job)),
        has_changes=any(entry.tone == "change" for entry in shown),
        has_drying=any(day.drying for week in weeks for day in week.days),
        is_next=monday == first_week(found.inputs),
        day_of=done.day_of(today, frozenset(part.day for step in own for part in step.parts)),
    )


def first_week(inputs: Inputs) -> date:
    """Return the Monday of the week that is shown first: the next one where this one is over."""
    left = {day for day in worked_weekdays(inputs) if day >= inputs.today.weekday()}
    return monday_of(inputs.today) + timedelta(days=0 if left else 7)


def worked_weekdays(inputs: Inputs) -> frozenset[int]:
    """Return the weekdays that have hours, Monday as 0."""
    return frozenset(day for day, hours in enumerate(inputs.week.hours_by_weekday()) if hours)


def notes_by_day(found: Days, job: Job, rows: Sequence[OutsideEvent], today: date) -> dict[date, list[Note]]:
    """Return what comes, must be decided or ordered, and can be billed, by day. Costs billing's queries."""
    notes: dict[date, list[Note]] = defaultdict(list)
    names = found.names()
    for row in rows:
        prefix = "" if row.job_id == job.pk else f"{names[row.job_id]}: "
        event = awaited(row)
        comes = row.on if row.on and row.on >= today else earliest(event, today)
        if comes and not row.done and row.kind != OutsideEvent.Kind.DECISION:
            at = f" {clock(row.at)}" if row.at else ""
            notes[comes].append(Note(f"{prefix}{row.title}{at}", "event", row.needs_client))
        by = act_by(event, needed_on(event, found.plan.steps))
        if by and not row.done:
            verb = "client decides" if row.kind == OutsideEvent.Kind.DECISION else "order"
            notes[max(by, today)].append(Note(f"{prefix}{verb}: {row.title}", "deadline"))
    for decision in found.decisions(job.pk):
        if decision.day and decision.day >= today:
            notes[decision.day].append(Note(f"client decides: {decision.title}", "deadline"))
    if found.is_signed(job):
        for milestone in billing().milestones_by_work(job):
            day = billable_from(milestone, found.plan.of_job(job.pk))
            if day:
                words = f"{milestone.name} can be billed, {format_price(milestone.amount)}"
                notes[day].append(Note(words, "money"))
    return notes


def billable_from(milestone: MilestoneWork, steps: Iterable[PlannedStep]) -> date | None:
    """Return the day on which the last of a milestone's work is done; None where that isn't planned."""
    ends = [step.ends.date() for step in steps if step.place in milestone.places]
    return max(ends, default=None)


def _ends(found: Days, job: Job, told: Mapping[int, ToldDates]) -> Iterable[JobEnd]:
    jobs = sorted(found.inputs.jobs, key=lambda other: other.pk != job.pk)
    for other in jobs:
        finish = found.plan.finish(other.pk)
        if finish is None and other.pk != job.pk:
            continue
        yield JobEnd(
            other,
            finish,
            found.plan.ranges.get(other.pk),
            told.get(other.pk),
            other.pk == job.pk,
            other.pk in found.inputs.signed,
        )


def _event_rows(plan: DaysPlan, rows: Iterable[OutsideEvent], today: date) -> Iterable[EventRow]:
    for row in rows:
        event = awaited(row)
        needed = needed_on(event, plan.steps)
        by = act_by(event, needed)
        yield EventRow(row, event_in_words(event, needed, today), bool(by and by < today))
