"""Issuing: a paper takes its number and is kept as it is, for good.

The slow part, drawing the PDF, is done outside any transaction with the number that would be next. A short
transaction then takes the number, keeps the paper and records the event; where somebody else took that
number meanwhile, it is all drawn again with the next. So a number is never left out nor given twice, and
wherever the machine stops, either nothing happened or all of it.
"""

import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from catalog.models import Firm
from estimating.contract.cancellation_rule import ADDRESS_MISSING
from estimating.documents.billing_hooks import PaymentsUnfit, estimate_payments
from estimating.documents.pdf import make_pdf
from estimating.estimates.draft import Draft
from estimating.estimates.snapshots import decide_by_dates, estimate_on_paper
from estimating.events import states
from estimating.events.chain import canonical, digest
from estimating.models import Counter, Document, Estimate, Job, NotAllowed
from estimating.plain_text import day_in_words, money
from estimating.snapshots.differences import Revision, compare, line_by_line
from estimating.snapshots.estimate import what_is_missing
from estimating.snapshots.price_basis import estimate_basis

FIRST_NUMBERS = {Document.Kind.ESTIMATE: 1001, Document.Kind.INVOICE: 1001}
ATTEMPTS = 40

# Within one process they queue here: two that drew the same number would throw one drawing away.
_one_at_a_time = threading.Lock()


class CannotIssue(ValueError):
    """The paper can't be issued; `reasons` says why in plain sentences."""

    def __init__(self, *reasons: str) -> None:
        super().__init__(" ".join(reasons))
        self.reasons = reasons


class _NumberTaken(Exception):
    """Somebody else took the number that was drawn, or issued the same paper."""


@dataclass(frozen=True)
class Unissued:
    """A paper ready to be issued. `snapshot` is all that it shows but its number, `basis` what stands
    behind its sums; `revision` is what it changes of the document that it supersedes."""

    kind: Document.Kind
    job: Job
    snapshot: Mapping[str, Any]
    basis: Mapping[str, Any]
    dated: date
    total: Decimal
    valid_to: date | None = None
    estimate: Estimate | None = None
    supersedes: Document | None = None
    revision: Revision | None = None

    @property
    def key(self) -> str:
        """One key for one paper at one point of the job's story, so that a paper issued twice, by a
        double tap or from two tabs, is one document."""
        return digest(
            canonical(
                {
                    "job": self.job.pk,
                    "supersedes": self.supersedes.pk if self.supersedes else None,
                    "snapshot": self.snapshot,
                    "basis": self.basis,
                }
            )
        )


def unissued_estimate(estimate: Estimate, firm: Firm, draft: Draft) -> Unissued:
    """The estimate as it would be issued now, against the one in force for the job.

    Raises CannotIssue where the draft has no work, or work that can't be taken off, or where its plan of
    payments can't stand.
    """
    if missing := what_is_missing(draft):
        raise CannotIssue(*missing)
    basis = estimate_basis(draft, decide_by_dates(estimate))
    try:
        payments = estimate_payments(estimate.job, basis)
    except PaymentsUnfit as error:
        raise CannotIssue(str(error)) from error
    snapshot = {**estimate_on_paper(estimate, firm, draft), **payments}
    earlier = Document.objects.in_force(Document.Kind.ESTIMATE, estimate.job)
    revision = compare(earlier.read_snapshot(), snapshot) if earlier else None
    if revision:
        changes = revision.on_paper(f"{earlier.number}", earlier.dated.isoformat())
        snapshot = {**snapshot, "revision": changes}
    return Unissued(
        kind=Document.Kind.ESTIMATE,
        job=estimate.job,
        snapshot=snapshot,
        basis=basis,
        dated=estimate.dated,
        total=draft.priced.total,
        valid_to=estimate.valid_to,
        estimate=estimate,
        supersedes=earlier,
        revision=revision,
    )


def changes_for_firm(
    earlier: Document | None, snapshot: Mapping[str, Any], basis: Mapping[str, Any]
) -> Revision | None:
    """What a paper changes of an earlier one, line by line, even where the client sees fewer prices."""
    if earlier is None or earlier.kind != Document.Kind.ESTIMATE:
        return None
    before = line_by_line(earlier.read_snapshot(), earlier.read_basis())
    return compare(before, line_by_line(snapshot, basis))


def objections(paper: Unissued, today: date) -> tuple[str, ...]:
    """Why an estimate can't be issued as it stands, in plain sentences; empty when it can."""
    if paper.valid_to and paper.valid_to < today:
        return (
            f"It is valid to {day_in_words(paper.valid_to)}, which is past. "
            "Give it a new date on the Price page.",
        )
    notice = paper.snapshot.get("cancellation")
    if notice and not notice["address"]:
        return (ADDRESS_MISSING,)
    if not paper.supersedes:
        return ()
    state = paper.supersedes.state()
    if state == states.ACCEPTED:
        return (f"{paper.supersedes} is accepted. What changes now goes on a change order.",)
    if not paper.revision and state in states.OPEN:
        return (f"Nothing has changed since {in_a_sentence(paper.supersedes)} was issued.",)
    return ()


def in_a_sentence(document: Document) -> str:
    """ "estimate 1001" """
    return f"{document.get_kind_display().lower()} {document.number}"


def issue(paper: Unissued, at: datetime, then: Callable[[Document], None] | None = None) -> Document:
    """Issue a paper: number, snapshot, PDF and event, all or nothing.

    A paper that was issued already comes back as it was issued then. `then` is called in the same
    transaction, for what belongs to the document; an exception there undoes all. Call outside any
    transaction. Raises CannotIssue, and PangoMissing and ForeignAddress of estimating.paper.
    """
    series = Document.series_of(paper.kind, paper.job)
    first = FIRST_NUMBERS.get(paper.kind, 1)
    with _one_at_a_time:
        for _ in range(ATTEMPTS):
            if issued := Document.objects.filter(issue_key=paper.key).first():
                return issued
            document = _drawn(paper, series, Counter.upcoming(series, first), at)
            try:
                _keep(document, first, then)
            except _NumberTaken:
                continue
            return document
    raise CannotIssue("Others were issuing papers at the same moment. Try again.")


def _drawn(paper: Unissued, series: str, number: int, at: datetime) -> Document:
    """The document with its PDF, not saved yet."""
    title = f"{paper.kind.label} {number}: {paper.snapshot['job']['name']}"
    shown = {**paper.snapshot, "number": f"{number}", "title": title}
    snapshot, basis, pdf = canonical(shown), canonical(paper.basis), make_pdf(shown)
    return Document(
        kind=paper.kind,
        series=series,
        number=number,
        job=paper.job,
        estimate=paper.estimate,
        supersedes=paper.supersedes,
        issue_key=paper.key,
        snapshot=snapshot,
        snapshot_sha256=digest(snapshot),
        basis=basis,
        basis_sha256=digest(basis),
        pdf=pdf,
        pdf_sha256=digest(pdf),
        issued_at=at,
        dated=paper.dated,
        valid_to=paper.valid_to,
        total=paper.total,
    )


def _keep(document: Document, first: int, then: Callable[[Document], None] | None) -> None:
    with transaction.atomic(durable=True):
        taken = Counter.take(document.series, first)
        if taken != document.number or Document.objects.filter(issue_key=document.issue_key).exists():
            raise _NumberTaken
        if document.kind == Document.Kind.ESTIMATE and _in_force(document) != document.supersedes:
            raise CannotIssue("Another estimate of this job was issued meanwhile. Read it first.")
        document.save(force_insert=True)
        _record_issue(document)
        if then:
            then(document)


def _in_force(document: Document) -> Document | None:
    return Document.objects.in_force(document.kind, document.job)


def issue_facts(document: Document) -> dict[str, Any]:
    """What the event of its issue says of a document, so that the chain vouches for the paper too."""
    return {
        "kind": document.kind,
        "number": document.number,
        "job": document.job_id,
        "supersedes": document.supersedes_id,
        "dated": document.dated.isoformat(),
        "valid_to": document.valid_to.isoformat() if document.valid_to else None,
        "total": money(document.total.amount),
        "snapshot_sha256": document.snapshot_sha256,
        "basis_sha256": document.basis_sha256,
        "pdf_sha256": document.pdf_sha256,
    }


def _record_issue(document: Document) -> None:
    document.record(states.ISSUED, document.issued_at, issue_facts(document))
    if document.supersedes:
        try:
            document.supersedes.record(states.SUPERSEDED, document.issued_at, {"by": document.number})
        except NotAllowed as error:
            raise CannotIssue(str(error)) from error
