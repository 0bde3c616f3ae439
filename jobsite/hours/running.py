"""The clock that runs: started, switched, stopped, with every step in the database."""

from datetime import datetime

from django.db.models import QuerySet
from django.utils import timezone

from catalog.measures.hours import TimeWorked, spans_as_text
from estimating.models import Job
from jobsite.hours.clock import ClockTime
from jobsite.hours.targets import Target
from jobsite.models import HoursWorked, RunningClock
from reading.prepared import first_of, prepared

THE_CLOCK = 1


def read_clock() -> RunningClock | None:
    """Return the clock that runs, with its job; None where none does. Costs a query."""
    return first_of(_clocks())


@prepared
def _clocks() -> QuerySet[RunningClock]:
    return RunningClock.objects.select_related("job__client").filter(pk=THE_CLOCK)


def time_of(clock: RunningClock, now: datetime) -> ClockTime:
    """Return how long a clock ran, by the clock on the wall of the firm."""
    return ClockTime(timezone.localtime(clock.started_at), timezone.localtime(now))


def start_clock(job: Job, target: Target, now: datetime) -> RunningClock:
    """Start the clock. Stop the one that runs before: the database has room for one."""
    return RunningClock.objects.create(
        pk=THE_CLOCK,
        job=job,
        document_id=target.document,
        key=target.key,
        phase=target.phase,
        for_job=target.for_job,
        started_at=now,
    )


def stop_clock(clock: RunningClock, worked: TimeWorked | None) -> HoursWorked | None:
    """Stop a clock and keep what was worked, on the day on which it was started; nothing for None."""
    clock.delete()
    if worked is None:
        return None
    return HoursWorked.objects.create(
        job=clock.job,
        document_id=clock.document_id,
        key=clock.key,
        phase=clock.phase,
        for_job=clock.for_job,
        says=clock.says,
        on=timezone.localtime(clock.started_at).date(),
        hours=worked.hours,
        spans=spans_as_text(worked.spans),
    )
