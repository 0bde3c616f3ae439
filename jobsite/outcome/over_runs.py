"""Jobs that take or cost more than was priced, or are about to, in words: for Today and Days."""

from dataclasses import dataclass

from django.db.models import Exists, OuterRef, QuerySet

from estimating.models import Job
from jobsite.hours.read import read_hours_of, read_signed
from jobsite.models import HoursWorked, ReceiptKept
from jobsite.receipts.read import read_bought_of


@dataclass(frozen=True)
class OverRun:
    """A job with what of it is over, or about to be, in sentences: its hours, and what was bought for it."""

    job: Job
    hours: tuple[str, ...]
    bought: tuple[str, ...]


def read_over_runs(among: QuerySet[Job]) -> list[OverRun]:
    """Return the open jobs of these that are over, or about to be, where anything of them is signed.

    Costs a query, and five more where hours or receipts are kept, however many jobs there are.
    """
    kept = Exists(HoursWorked.objects.filter(job=OuterRef("pk"))) | Exists(
        ReceiptKept.objects.filter(job=OuterRef("pk"))
    )
    jobs = list(among.filter(kept, closed=False).order_by("pk"))
    signed = read_signed(jobs) if jobs else {}
    jobs = [job for job in jobs if job.pk in signed]
    if not jobs:
        return []
    hours, bought = read_hours_of(jobs, signed), read_bought_of(jobs, signed)
    found = (OverRun(job, hours[job.pk].warnings, bought[job.pk].warnings) for job in jobs)
    return [over for over in found if over.hours or over.bought]
