"""Contracts, finished work and hours of jobs, read from the database for the rules of hours."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from decimal import Decimal
from fractions import Fraction

from django.db.models import Sum

from estimating.contract.lines import SignedBasis
from estimating.contract.work_lines import contract_work_lines
from estimating.documents.billing_hooks import billing
from estimating.models import Acceptance, Job
from jobsite.hours.finished import FinishedItem, Place, finished_items
from jobsite.models import HoursWorked


def read_signed(jobs: Iterable[Job]) -> dict[int, list[SignedBasis]]:
    """Return the bases of what was signed, by job, the estimate first. Costs a query."""
    rows = (
        Acceptance.objects.uncanceled()
        .filter(document__job__in=jobs)
        .select_related("document")
        .defer("document__pdf", "document__snapshot")
        .order_by("document__kind", "document__number")
    )
    signed: defaultdict[int, list[Acceptance]] = defaultdict(list)
    for row in rows:
        signed[row.document.job_id].append(row)
    return {
        job: [row.signed_basis() for row in sorted(rows, key=lambda row: row.document.kind != "estimate")]
        for job, rows in signed.items()
    }


def read_hours_by_line(jobs: Iterable[Job]) -> dict[Place, Fraction]:
    """Return the hours entered on lines of signed work, by document and key. Costs a query."""
    rows = HoursWorked.objects.filter(job__in=jobs, document__isnull=False).order_by()
    sums = rows.values_list("document", "key").annotate(hours=Sum("hours"))
    return {(document, key): Fraction(Decimal(hours)) for document, key, hours in sums}


def read_finished_items(jobs: Sequence[Job]) -> list[FinishedItem]:
    """Return the finished work items of jobs, each with what it was priced at and what it took.

    Costs three queries, however many jobs there are.
    """
    signed, finished = read_signed(jobs), billing().finished_work(jobs)
    taken = read_hours_by_line(jobs)
    return [
        item
        for job in jobs
        for item in finished_items(
            job.pk, contract_work_lines(signed.get(job.pk, ()), finished), finished, taken
        )
    ]
