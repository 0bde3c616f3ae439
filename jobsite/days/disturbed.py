"""Painted surface that a job disturbs together with other jobs at its address within 30 days."""

from collections.abc import Iterable, Mapping
from datetime import date, timedelta

from django.db.models import Max, Min

from catalog.models import Firm
from estimating.estimates.draft import read_draft
from estimating.models import Estimate, Job
from estimating.takeoff.disturbed import Disturbed, disturbed, in_words
from jobsite.days.plan import read_days
from jobsite.models import HoursWorked

WITHIN = timedelta(days=30)
Span = tuple[date, date]


def read_disturbed(job: Job, today: date) -> list[str]:
    """Return in sentences what a job with its changes disturbs by room, with that of other jobs in time.

    Without another job at the address, in the same words, it costs the drafts of the job alone; else the plan
    of days, too.
    """
    firm = Firm.current()
    found = _of_jobs([job], firm)
    near, unknown = [], []
    others = list(Job.objects.filter(address__iexact=job.address).exclude(pk=job.pk).order_by("pk"))
    if others:
        worked = _days_worked([job, *others])
        own = _span(job, worked, today)
        for other in others:
            span = _span(other, worked, today)
            if own is None or span is None:
                unknown.append(other.name)
            elif within(own, span):
                near.append(other)
    words = in_words(found + _of_jobs(near, firm), [other.name for other in near], firm.metric)
    if unknown:
        words.append(
            f"Not counted, as their days or those of this job aren't known: {', '.join(unknown)}, at this"
            " address, too."
        )
    return words


def within(one: Span, other: Span) -> bool:
    """Tell whether work of two jobs can fall within the same 30 days."""
    return max(one[0], other[0]) - min(one[1], other[1]) < WITHIN


def _of_jobs(jobs: Iterable[Job], firm: Firm) -> Disturbed:
    """Return what the work lists of jobs and of their changes disturb, as they stand now."""
    found = Disturbed()
    for job in jobs:
        estimates = Estimate.objects.filter(job=job).select_related("job")
        newest = estimates.filter(change=None)[:1]
        for estimate in (*newest, *estimates.exclude(change=None)):
            draft = read_draft(estimate, firm, "first")
            names = {key: plan.name for key, plan in draft.rooms.items()}
            found += disturbed(draft.take_off, names, draft.conventions.deduct)
    return found


def _days_worked(jobs: Iterable[Job]) -> dict[int, Span]:
    """Return the first and last day that was worked on jobs, of those with hours. Costs a query."""
    rows = HoursWorked.objects.filter(job__in=jobs).order_by().values("job")
    days = rows.annotate(first=Min("on"), last=Max("on")).values_list("job", "first", "last")
    return {job: (first, last) for job, first, last in days}


def _span(job: Job, worked: Mapping[int, Span], today: date) -> Span | None:
    """Return the first and last day of a job that are known: worked, planned, or agreed as its beginning."""
    plan = None if job.closed else read_days(today, job).plan
    planned = (plan.begins(job.pk), plan.finish(job.pk)) if plan else ()
    days = [day for day in (*worked.get(job.pk, ()), *planned, job.work_begins_on) if day]
    return (min(days), max(days)) if days else None
