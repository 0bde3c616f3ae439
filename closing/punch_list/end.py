"""The end of a job: the certificate that is issued to be signed, and the day and warranty that it begins."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from catalog.models import Firm
from closing.punch_list.certificate import (
    CertificateHeader,
    SeenItem,
    certificate_basis,
    certificate_snapshot,
)
from closing.punch_list.items import why_not_over
from closing.punch_list.read import IS_OVER, PunchList, read_list
from estimating.contract import warranty
from estimating.documents.issue import CannotIssue, UnissuedDocument, issue
from estimating.estimates.snapshots import client_party, firm_party
from estimating.models import Acceptance, Document, Job

NOT_SIGNED = "Nothing is signed for this job: there is no contract that could be done."
CHANGED = "The punch list was changed since you opened this page. Read the certificate again."


@dataclass(frozen=True)
class JobEnd:
    """The signed end of a job: its day, who signed, and the last day of the warranty, None where none is
    promised."""

    document: int
    on: date
    name: str
    warranty_to: date | None

    def covers(self, day: date) -> bool:
        """Return whether the warranty covers a day."""
        return self.warranty_to is not None and self.on <= day <= self.warranty_to


def prepare_certificate(punch_list: PunchList, firm: Firm, today: date) -> UnissuedDocument:
    """Return the certificate of completion as it would be issued today. Raises CannotIssue."""
    job = punch_list.job
    if punch_list.end:
        raise CannotIssue(IS_OVER)
    signed = _signed_papers(job)
    if not signed:
        raise CannotIssue(NOT_SIGNED)
    if reasons := why_not_over(punch_list.items):
        raise CannotIssue(*reasons)
    seen = [
        SeenItem(row.item, row.row.room.name if row.row.room else "", row.row.noted_on)
        for row in punch_list.rows
    ]
    head = CertificateHeader(
        firm=firm_party(firm),
        client=client_party(job.client),
        job=job.name,
        address=job.address,
        dated=today,
        paper_size=firm.paper_size,
        contract=[str(paper.document) for paper in signed],
        warranty_months=warranty.months_signed(signed[0].document.read_basis()),
    )
    earlier = punch_list.certificate
    return UnissuedDocument(
        kind=Document.Kind.COMPLETION,
        job=job,
        snapshot=certificate_snapshot(head, seen, punch_list.held),
        basis=certificate_basis(seen),
        dated=today,
        total=Decimal("0.00"),
        supersedes=earlier,
    )


def issue_certificate(
    unissued: UnissuedDocument, firm: Firm, at: datetime, *, date_is_right: bool = False
) -> Document:
    """Issue a certificate, if the punch list is still the one that it shows. Call outside any transaction.

    Raises CannotIssue, and DateInDoubt and PangoMissing of `estimating.documents`.
    """

    def still_so(document: Document) -> None:
        now = prepare_certificate(read_list(document.job, lock=True), firm, unissued.dated)
        if now.basis != unissued.basis or _shown(now) != _shown(unissued):
            raise CannotIssue(CHANGED)

    return issue(unissued, at, still_so, date_is_right=date_is_right)


def _shown(unissued: UnissuedDocument) -> object:
    return unissued.snapshot["left"], unissued.snapshot["done"], unissued.snapshot["apart"]


def _signed_papers(job: Job) -> list[Acceptance]:
    """Return the signatures of a job's contract, the estimate's first."""
    rows = Acceptance.objects.binding(job).select_related("document").defer("document__pdf")
    signed = list(rows.order_by("signed_on", "pk"))
    signed.sort(key=lambda row: row.document.kind != Document.Kind.ESTIMATE)
    return signed if signed and signed[0].document.kind == Document.Kind.ESTIMATE else []


def read_ends(jobs: Iterable[Job]) -> dict[int, JobEnd]:
    """Return the signed ends of jobs, by job. Costs a query."""
    rows = Acceptance.objects.ends().filter(document__job__in=jobs).select_related("document")
    return {row.document.job_id: _end(row) for row in rows.defer("document__pdf", "document__basis")}


def _end(row: Acceptance) -> JobEnd:
    months = row.document.read_snapshot()["warranty_months"]
    to = warranty.last_day(row.signed_on, months) if months else None
    return JobEnd(row.document_id, row.signed_on, row.name, to)
