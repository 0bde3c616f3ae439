"""Jobs that take or cost more than was priced, or are about to, in words: for Today and Days."""

from dataclasses import dataclass

from django.db.models import Exists, OuterRef, QuerySet

from estimating.models import Job
from jobsite.hours.read import read_hours_of, read_signed
from jobsite.models import HoursWorked, ReceiptKept
from jobsite.receipts.read import read_bought_of
from reading.prepared import prepared


@dataclass(frozen=True)
class OverRun:
    """A job with what of it is over, or about to be, in sentences: its hours, and what was bought for it."""

    job: Job
    hours: tuple[str, ...]
    bought: tuple[str, ...]


def read_over_runs(only: Job | None = None) -> list[OverRun]:
    """Return the open jobs that are over, or about to be, where anything of them is signed; or only of one.

    Costs a query, and five more where hours or receipts are kept, however many jobs there are.
    """
    jobs = _open_with_records_of(only.pk) if only else _open_with_records()
    signed = read_signed(jobs) if jobs else {}
    jobs = [job for job in jobs if job.pk in signed]
    if not jobs:
        return []
    hours, bought = read_hours_of(jobs, signed), read_bought_of(jobs, signed)
    found = (OverRun(job, hours[job.pk].warnings, bought[job.pk].warnings) for job in jobs)
    return [over for over in found if over.hours or over.bought]


@prepared
def _open_with_records() -> QuerySet[Job]:
    """Return the open jobs with hours or receipts."""
    kept = Exists(HoursWorked.objects.filter(job=OuterRef("pk"))) | Exists(
        ReceiptKept.objects.filter(job=OuterRef("pk"))
    )
    return Job.objects.filter(kept, closed=False).order_by("pk")


@prepared
def _open_with_records_of(job: int) -> QuerySet[Job]:
    kept = Exists(HoursWorked.objects.filter(job=job)) | Exists(ReceiptKept.objects.filter(job=job))
    return Job.objects.filter(kept, pk=job, closed=False)
