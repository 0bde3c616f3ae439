"""What was done on days that are past: hours that were kept, and work that was finished."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import QuerySet
from django.utils import timezone

from catalog.phases import Phase
from estimating.models import Job
from jobsite.days.plan import Days
from jobsite.days.words import hours
from jobsite.models import ForTheJob, HoursWorked
from reading.prepared import keys_of, prepared

PHASES, OF_JOB = dict(Phase.choices), dict(ForTheJob.choices)
BEFORE_THE_WORK = (ForTheJob.QUOTING, ForTheJob.WARRANTY, ForTheJob.CALL_BACK)


@dataclass(frozen=True)
class DoneDays:
    """What was done by day, and the days on which the job was worked on."""

    words: dict[date, Sequence[str]]
    worked: frozenset[date]

    def day_of(self, today: date, planned: frozenset[date]) -> tuple[int, int] | None:
        """Return which working day of the job today is, and of how many; None where none is today."""
        days = sorted({day for day in self.worked if day <= today} | {day for day in planned if day >= today})
        return (days.index(today) + 1, len(days)) if today in days else None


def days_of_jobs(found: Days, jobs: Iterable[Job], on: date) -> dict[int, tuple[int, int]]:
    """Return of each job worked on today, or the next day planned, which of its days that is, of how many.

    Costs a query, however many jobs there are.
    """
    hours_kept: dict[int, set[date]] = defaultdict(set)
    for pk, day in _days_worked(keys_of(found.inputs.jobs)):
        hours_kept[pk].add(day)
    counted = {}
    for job in jobs:
        worked = frozenset(hours_kept[job.pk] | _days_of_ticks(found, job))
        planned = frozenset(part.day for step in found.plan.of_job(job.pk) for part in step.parts)
        if place := DoneDays({}, worked).day_of(on, planned):
            counted[job.pk] = place
    return counted


@prepared
def _days_worked(jobs: Collection[int]) -> QuerySet[HoursWorked, tuple[int, date]]:
    rows = HoursWorked.objects.filter(job__in=jobs).exclude(for_job__in=BEFORE_THE_WORK)
    return rows.values_list("job", "on").distinct()


def _days_of_ticks(found: Days, job: Job) -> set[date]:
    """Return the days on which work or steps of a job were noted as done."""
    steps = found.inputs.steps.get(job.pk)
    places = {facts.place for facts in steps.facts.values()} if steps else set()
    work = {day for place, day in found.inputs.finished.items() if place in places}
    noted = {
        timezone.localdate(row.noted_at)
        for (of_job, _), row in found.inputs.progress.items()
        if of_job == job.pk and not row.hours_left
    }
    return work | noted


def done_days(found: Days, job: Job) -> DoneDays:
    """Return what was done of a job. Costs a query."""
    steps = found.inputs.steps.get(job.pk)
    titles = {facts.place: facts.title for facts in steps.facts.values()} if steps else {}
    kept: dict[tuple[date, str], Decimal] = defaultdict(Decimal)
    worked = _days_of_ticks(found, job)
    columns = "on", "hours", "document", "key", "says", "phase", "for_job"  # whole rows cost far more time
    rows = HoursWorked.objects.filter(job=job).values_list(*columns)
    for on, count, document, key, says, phase, for_job in rows:
        title = titles.get((document or 0, key)) or says or PHASES.get(phase) or OF_JOB.get(for_job)
        kept[on, title or "A change"] += count
        if for_job not in BEFORE_THE_WORK:
            worked.add(on)
    words: dict[date, list[str]] = defaultdict(list)
    for (day, title), count in kept.items():
        words[day].append(f"{title}, {hours(count)}")
    finished: dict[date, list[str]] = defaultdict(list)
    for place, day in found.inputs.finished.items():
        if place in titles:
            finished[day].append(titles[place])
    for day, names in finished.items():
        words[day].append(f"Finished: {'; '.join(names)}")
    for step in steps.steps if steps else ():
        progress = found.inputs.progress.get((job.pk, step.key))
        if progress is not None and not progress.hours_left:
            words[timezone.localdate(progress.noted_at)].append(f"{step.name}: done")
    return DoneDays({day: tuple(lines) for day, lines in words.items()}, frozenset(worked))
