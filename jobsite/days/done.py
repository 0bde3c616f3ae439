"""What was done on days that are past: hours that were kept, and work that was finished."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from estimating.models import Job
from jobsite.days.plan import Days
from jobsite.days.words import hours
from jobsite.models import ForTheJob, HoursWorked

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


def done_days(found: Days, job: Job) -> DoneDays:
    """Return what was done of a job. Costs a query."""
    steps = found.inputs.steps.get(job.pk)
    titles = {facts.place: facts.title for facts in steps.facts.values()} if steps else {}
    kept: dict[tuple[date, str], Decimal] = defaultdict(Decimal)
    worked = set()
    for row in HoursWorked.objects.filter(job=job):
        title = titles.get((row.document_id or 0, row.key)) or row.says
        kept[row.on, title or row.get_phase_display() or row.get_for_job_display() or "A change"] += row.hours
        if row.for_job not in BEFORE_THE_WORK:
            worked.add(row.on)
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
            words[progress.noted_at.date()].append(f"{step.name}: done")
    return DoneDays({day: tuple(lines) for day, lines in words.items()}, frozenset(worked))
