"""Contracts, finished work and hours of jobs, read from the database for the rules of hours."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cached_property
from typing import Any

from django.db.models import Q, QuerySet, Sum

from catalog.measures.hours import spans_from_text
from catalog.phases import Phase
from estimating.contract.document_amounts import goes_by_the_hour
from estimating.contract.lines import SignedBasis, all_lines
from estimating.contract.work_lines import ContractWorkLine, contract_work_lines
from estimating.documents.billing_hooks import billing
from estimating.models import Acceptance, Job
from estimating.models.acceptance import signatures_of
from jobsite.hours.day import DayEntry
from jobsite.hours.finished import FinishedItem, Place, finished_items
from jobsite.hours.progress import JobHours, job_hours
from jobsite.hours.targets import SignedChange, Target, TargetGroup, target_groups
from jobsite.models import ForTheJob, HoursWorked, SpentOn
from reading.prepared import keys_of, prepared


@dataclass(frozen=True)
class SignedWork:
    """What was signed for a job: the bases, the estimate's first; the changes; the lines, marked as finished.

    All are empty before anything is signed.
    """

    bases: tuple[SignedBasis, ...] = ()
    changes: tuple[SignedChange, ...] = ()
    lines: tuple[ContractWorkLine, ...] = ()

    def groups(self) -> tuple[TargetGroup, ...]:
        """Return all that time can be put on."""
        return target_groups(self.lines, self.changes, Phase.choices, ForTheJob.choices)

    def label_of(self, row: SpentOn) -> str:
        """Name what a row of hours or the clock is on."""
        if row.for_job:
            return row.get_for_job_display()
        if row.phase:
            return row.get_phase_display()
        if not row.key:
            names = (change.name for change in self.changes if change.document == row.document_id)
            return next(names, "A change that isn't signed any more")
        return self._titles.get((row.document_id, row.key), "Work of an earlier estimate")

    @cached_property
    def _titles(self) -> dict[tuple[int | None, str], str]:
        return {
            (basis.document, line["key"]): line["title"]
            for basis in reversed(self.bases)
            for line in reversed(list(all_lines(basis.basis)))
        }


def read_signed(jobs: Iterable[Job]) -> dict[int, SignedWork]:
    """Return what was signed, by job, for those that have anything signed. Costs two queries."""
    jobs = list(jobs)
    signed: defaultdict[int, list[Acceptance]] = defaultdict(list)
    for row in signatures_of(keys_of(jobs)):
        signed[row.document.job_id].append(row)
    finished = billing().finished_work(jobs) if signed else {}
    return {job: _signed_work(of_job, finished) for job, of_job in signed.items()}


def _signed_work(rows: Sequence[Acceptance], finished: Mapping[Place, date]) -> SignedWork:
    rows = sorted(rows, key=lambda row: row.document.kind != "estimate")
    bases = tuple(row.signed_basis() for row in rows)
    changes = (
        SignedChange(row.document_id, _change_name(row), goes_by_the_hour(basis))
        for row, basis in zip(rows, bases, strict=True)
        if row.document.kind != "estimate"
    )
    return SignedWork(bases, tuple(changes), contract_work_lines(bases, finished))


def _change_name(row: Acceptance) -> str:
    change = getattr(row.document.estimate, "change", None)
    return f"{row.document}, {change.title}" if change else str(row.document)


def read_job(job: Job) -> SignedWork:
    """Return what was signed for one job; nothing before it is. Costs two queries."""
    return read_signed([job]).get(job.pk, SignedWork())


def read_hours_by_line(jobs: Iterable[Job]) -> dict[Place, Fraction]:
    """Return the hours entered on lines of signed work, by document and key. Costs a query.

    Hours of call-backs on a line count in it, but only beside hours of the work itself: a line on which
    nothing else was entered didn't take just those.
    """
    rows = HoursWorked.objects.filter(job__in=jobs, document__isnull=False).order_by()
    of_work = Sum("hours", filter=Q(call_back=None))
    sums = rows.values_list("document", "key").annotate(work=of_work, hours=Sum("hours"))
    return {(document, key): Fraction(Decimal(hours)) for document, key, work, hours in sums if work}


def read_finished_items(
    jobs: Sequence[Job], signed: Mapping[int, SignedWork] | None = None
) -> list[FinishedItem]:
    """Return the finished work items of jobs, each with what it was priced at and what it took.

    `signed` is what was signed for them, where that was read before. Costs two queries, however many jobs
    there are, and two more without it.
    """
    signed = read_signed(jobs) if signed is None else signed
    finished, taken = billing().finished_work(jobs), read_hours_by_line(jobs)
    return [
        item
        for job in jobs
        if job.pk in signed
        for item in finished_items(job.pk, signed[job.pk].lines, finished, taken)
    ]


def read_job_hours(job: Job, signed: SignedWork) -> JobHours:
    """Return the hours of a job by line, phase and the job itself. Costs a query."""
    return read_hours_of([job], {job.pk: signed})[job.pk]


@dataclass
class _Taken:
    """The hours of a job by what they are on."""

    lines: dict[Place, Fraction] = field(default_factory=dict)
    phases: dict[str, Fraction] = field(default_factory=dict)
    job: dict[str, Fraction] = field(default_factory=dict)


def read_hours_of(jobs: Sequence[Job], signed: Mapping[int, SignedWork]) -> dict[int, JobHours]:
    """Return the hours of jobs, by job. Costs a query, however many jobs there are."""
    taken: defaultdict[int, _Taken] = defaultdict(_Taken)
    late: defaultdict[int, Fraction] = defaultdict(Fraction)
    for job, document, key, phase, code, work, hours in _hours(keys_of(jobs)):
        exact = Fraction(Decimal(hours))
        if document and not work:
            late[job] += exact  # only call-backs: the line itself counts as it was priced
        elif document:
            taken[job].lines[document, key] = exact
        elif phase:
            taken[job].phases[phase] = exact
        else:
            taken[job].job[code] = exact
    for job, exact in late.items():
        on_job = taken[job].job
        on_job[ForTheJob.CALL_BACK] = on_job.get(ForTheJob.CALL_BACK, Fraction(0)) + exact
    return {job.pk: _job_hours(job, signed.get(job.pk, SignedWork()), taken[job.pk]) for job in jobs}


@prepared
def _hours(jobs: Collection[int]) -> QuerySet[HoursWorked, Any]:
    return (
        HoursWorked.objects.filter(job__in=jobs)
        .order_by()
        .values_list("job", "document", "key", "phase", "for_job")
        .annotate(work=Sum("hours", filter=Q(call_back=None)), hours=Sum("hours"))
    )


def _job_hours(job: Job, signed: SignedWork, taken: _Taken) -> JobHours:
    trips = (
        Fraction(line["hours"])
        for basis in signed.bases
        for line in basis.basis["lines"]
        if line["kind"] == "trips"
    )
    return job_hours(
        signed.lines,
        taken.lines,
        taken.phases,
        [(code, label, taken.job.get(code, Fraction(0))) for code, label in ForTheJob.choices],
        Phase.choices,
        sum(trips, Fraction(0)),
        job.closed,
    )


def read_day(on: date, signed: SignedWork, job: Job, besides: int = 0) -> list[DayEntry]:
    """Return what is kept of a day, of all jobs, but for one row. Costs a query."""
    rows = HoursWorked.objects.filter(on=on).exclude(pk=besides).select_related("job")
    return [
        DayEntry(
            signed.label_of(row) if row.job_id == job.pk else row.job.name,
            row.hours,
            spans_from_text(row.spans),
        )
        for row in rows
    ]


def targets_of(signed: SignedWork) -> dict[str, Target]:
    """Return all targets of a job by their tokens."""
    return {target.token: target for group in signed.groups() for target in group.targets}
