"""Issuing: a document takes its number and is kept as it is, for good.

The slow part, drawing the PDF, is done outside any transaction with the number that would be next. A short
transaction then takes the number, stores the document and records the event; where somebody else took that
number meanwhile, it is all drawn again with the next. So a number is never left out nor given twice, and
wherever the machine stops, either nothing happened or all of it.
"""

import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from functools import cached_property
from typing import Any

from django.db import transaction

from estimating.documents.clock import check_date
from estimating.documents.pdf import make_pdf
from estimating.events import states
from estimating.events.chain import canonical, digest
from estimating.models import Counter, Document, Estimate, Job, NotAllowed
from estimating.plain_text import money
from estimating.snapshots.differences import Revision

PREFIXES: Mapping[str, str] = {
    Document.Kind.INVOICE: "INV-",
    Document.Kind.CREDIT_NOTE: "CR-",
    Document.Kind.COMPLETION: "CC-",
    Document.Kind.WAIVER: "LW-",
}
FIRST_NUMBERS: Mapping[str, int] = {Document.Kind.ESTIMATE: 1001, Document.Kind.INVOICE: 1001}
ATTEMPTS = 40

# Within one process they queue here: two that drew the same number would throw one drawing away.
_one_at_a_time = threading.Lock()


class CannotIssue(ValueError):
    """The document can't be issued; `reasons` says why in plain sentences."""

    def __init__(self, *reasons: str) -> None:
        super().__init__(" ".join(reasons))
        self.reasons = reasons


class _NumberTaken(Exception):
    """Somebody else took the number that was drawn, or issued the same document."""


@dataclass(frozen=True)
class UnissuedDocument:
    """A document ready to be issued.

    `snapshot` is all that it shows but its number, `basis` what its sums are made of; `revision` is what it
    changes of the document that it supersedes.
    """

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

    @cached_property
    def key(self) -> str:
        """A digest of the content and of the document that it supersedes.

        It makes a document that is issued twice, by a double tap or from two tabs, one document.
        """
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


def in_a_sentence(document: Document) -> str:
    """Return the name of a document as it stands inside a sentence: estimate 1001."""
    return f"{document.get_kind_display().lower()} {document.printed_number}"


def issue(
    unissued: UnissuedDocument,
    at: datetime,
    then: Callable[[Document], None] | None = None,
    *,
    date_is_right: bool = False,
) -> Document:
    """Issue a document: number, snapshot, PDF and event, all or nothing.

    A document that was issued already comes back as it was issued then. `then` is called in the same
    transaction, for what belongs to the document; an exception there undoes all. Call outside any
    transaction. Raises DateInDoubt where the moment doesn't fit what was noted before, unless somebody said
    that the date is right; CannotIssue; PangoMissing and ForeignAddress of estimating.documents.pdf.
    """
    check_date(at, date_is_right)
    series = Document.series_of(unissued.kind, unissued.job)
    first = FIRST_NUMBERS.get(unissued.kind, 1)
    with _one_at_a_time:
        for _ in range(ATTEMPTS):
            if issued := Document.objects.filter(issue_key=unissued.key).first():
                return issued
            document = _draw(unissued, series, Counter.upcoming(series, first), at)
            try:
                _store(document, first, then)
            except _NumberTaken:
                continue
            return document
    raise CannotIssue("Others were issuing papers at the same moment. Try again.")


def _draw(unissued: UnissuedDocument, series: str, number: int, at: datetime) -> Document:
    """Return the document with its PDF, not saved yet."""
    prefix = PREFIXES.get(unissued.kind, "")
    title = f"{unissued.kind.label} {prefix}{number}: {unissued.snapshot['job']['name']}"
    numbered = {**unissued.snapshot, "number": f"{prefix}{number}", "title": title}
    pdf = make_pdf(numbered)
    snapshot, basis = canonical(numbered), canonical(unissued.basis)
    return Document(
        kind=unissued.kind,
        series=series,
        prefix=prefix,
        number=number,
        job=unissued.job,
        estimate=unissued.estimate,
        supersedes=unissued.supersedes,
        issue_key=unissued.key,
        snapshot=snapshot,
        snapshot_sha256=digest(snapshot),
        basis=basis,
        basis_sha256=digest(basis),
        pdf=pdf,
        pdf_sha256=digest(pdf),
        issued_at=at,
        dated=unissued.dated,
        valid_to=unissued.valid_to,
        total=unissued.total,
    )


def _store(document: Document, first: int, then: Callable[[Document], None] | None) -> None:
    """Take the number, insert the document and record its event, in one transaction.

    Raises _NumberTaken and CannotIssue; then nothing is stored.
    """
    facts = issue_facts(document)
    with transaction.atomic(durable=True):
        number = Counter.take(document.series, first)
        if number != document.number or Document.objects.filter(issue_key=document.issue_key).exists():
            raise _NumberTaken
        if document.kind == Document.Kind.ESTIMATE and document.supersedes != Document.objects.in_force(
            document.kind, document.job
        ):
            raise CannotIssue("Another estimate of this job was issued meanwhile. Read it first.")
        document.save(force_insert=True)
        document.record(states.ISSUED, document.issued_at, facts)
        if document.supersedes:
            _supersede(document.supersedes, document)
        if then:
            then(document)


def issue_facts(document: Document) -> dict[str, Any]:
    """Return the facts that the event of its issue records, so that the chain vouches for the document."""
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


def _supersede(earlier: Document, document: Document) -> None:
    """Record that a document takes the place of an earlier one. Raises CannotIssue where it can't."""
    try:
        earlier.record(states.SUPERSEDED, document.issued_at, {"by": document.number})
    except NotAllowed as error:
        raise CannotIssue(str(error)) from error
