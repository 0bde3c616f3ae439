"""Whether what was issued still is what it was: every digest, number, sum and link is computed again."""

import json
from collections.abc import Iterable, Iterator, Mapping
from decimal import Decimal
from itertools import groupby
from typing import Any

from django.db import connection
from django.utils import timezone

from catalog.money.amounts import format_price
from estimating.database.damage import damaged_pages, unreadable_rows
from estimating.database.tolerant import continue_after_unreadable, readable
from estimating.documents import write_protection
from estimating.documents.billing_hooks import billing
from estimating.documents.issue import FIRST_NUMBERS, issue_facts
from estimating.events import states
from estimating.events.chain import breaks, digest
from estimating.events.clock import dates_that_run_backward
from estimating.models import Counter, Document, DocumentEvent
from estimating.models.document import EVENTS
from estimating.plain_text import money
from estimating.verification.signatures import signature_faults
from estimating.verification.unit_prices import limit_faults, unit_price_faults


def faults() -> Iterator[str]:
    """Yield a plain sentence for each thing that can't be read or isn't as it was issued.

    Reads all PDFs, one at a time. Call in a transaction.
    """
    yield from damaged_pages()
    yield from unreadable_rows()
    yield from continue_after_unreadable(_trigger_faults(), "The write protection")
    yield from continue_after_unreadable(_document_faults(), "A document")
    yield from continue_after_unreadable(_number_faults(), "A number")
    yield from continue_after_unreadable(_chain_faults(), "An event")
    yield from continue_after_unreadable(signature_faults(), "A signature")
    yield from continue_after_unreadable(limit_faults(), "A limit")
    yield from continue_after_unreadable(billing().kept_faults(), "A kept sum")


def _trigger_faults() -> Iterator[str]:
    yield from (f"The trigger {name} is missing." for name in write_protection.missing_triggers(connection))


def _document_faults() -> Iterator[str]:
    issued = readable(DocumentEvent.objects.filter(kind=states.ISSUED))
    facts = {event.document_id: event.data for event in issued}
    # Only the name: a changed date would end a reading of whole rows.
    named = readable(Document.objects.only("kind", "prefix", "number", "job"))
    names = {document.pk: f"{document}{_of_job(document)}" for document in named}
    for pk in sorted(names.keys() | facts.keys()):
        for fault in continue_after_unreadable(_faults_of(pk, facts), "all of it"):
            yield f"{names.get(pk) or _name_by_event(facts[pk])}: {fault}"


def _name_by_event(facts: str) -> str:
    """Return the name of a document that can't be read, by the event of its issue."""
    issued = _read(facts) or {}
    return f"{issued.get('kind', 'document').replace('_', ' ').capitalize()} {issued.get('number', '?')}"


def _faults_of(pk: int, facts: Mapping[int, str]) -> Iterator[str]:
    document = Document.objects.defer(None).get(pk=pk)
    for check in (_digest_faults(document), _fact_faults(document, facts), _sum_faults(document)):
        yield from continue_after_unreadable(check, "part of it")


def _of_job(document: Document) -> str:
    return f" of job {document.job_id}" if document.kind == Document.Kind.CHANGE_ORDER else ""


def _digest_faults(document: Document) -> Iterator[str]:
    if digest(document.snapshot) != document.snapshot_sha256:
        yield "what it shows was changed; the SHA-256 of the snapshot differs."
    if digest(document.basis) != document.basis_sha256:
        yield "what stands behind its sums was changed; the SHA-256 of the basis differs."
    if not document.pdf_is_whole():
        yield "the PDF was changed; its SHA-256 differs."


def _fact_faults(document: Document, facts: Mapping[int, str]) -> Iterator[str]:
    if document.pk not in facts:
        yield "no event says that it was issued."
    elif _read(facts[document.pk]) != issue_facts(document):
        yield "its number, job, dates, total or digests aren't those recorded when it was issued."


def _sum_faults(document: Document) -> Iterator[str]:
    snapshot = _read(document.snapshot)
    if not isinstance(snapshot, dict):
        yield "what it shows can't be read."
        return
    if snapshot.get("number") != document.printed_number:
        yield f"the paper says number {snapshot.get('number')}."
    printed = snapshot.get("amount" if document.kind == Document.Kind.WAIVER else "total")
    if printed != money(document.total.amount):
        yield f"it is kept at {format_price(document.total.amount)}, the paper says {printed}."
    basis = _read(document.basis)
    if isinstance(basis, dict):
        yield from unit_price_faults(document, snapshot, basis)
    yield from billing().document_faults(document, snapshot)
    summed = document.kind in (Document.Kind.ESTIMATE, Document.Kind.CHANGE_ORDER)
    if summed and _total(snapshot) != document.total.amount:
        yield f"the printed rows come to {_total(snapshot)}, not to its total."
    if document.kind == Document.Kind.ESTIMATE and snapshot.get("payments"):
        before_tax = _before_tax(snapshot)
        if (planned := _sum(snapshot["payments"]["rows"], "amount")) != before_tax:
            yield f"its payment schedule comes to {planned}, not to {before_tax}."


def _total(snapshot: Mapping[str, Any]) -> Decimal:
    """Return the sum of the printed rows and the tax."""
    return _before_tax(snapshot) + Decimal(snapshot["tax"]["amount"] if snapshot["tax"] else 0)


def _before_tax(snapshot: Mapping[str, Any]) -> Decimal:
    """Return the sum of the printed rows of the price."""
    return _sum(snapshot["prices"], "price")


def _sum(rows: Iterable[Mapping[str, str]], key: str) -> Decimal:
    return sum((Decimal(row[key]) for row in rows), Decimal(0))


def _read(text: str) -> Any:
    """Return the value of a JSON text; None where it isn't JSON."""
    try:
        return json.loads(text)
    except ValueError:
        return None


def _number_faults() -> Iterator[str]:
    """Look for gaps in each series of numbers, and for documents missing at its end."""
    noted = dict(Counter.objects.exclude(pk=EVENTS).values_list("series", "last"))
    numbered = Document.objects.order_by("series", "number").values_list("series", "number", "kind")
    for series, group in groupby(numbered, key=lambda row: row[0]):
        rows = list(group)
        last, newest = noted.pop(series, 0), rows[-1][1]
        expected = FIRST_NUMBERS.get(rows[0][2], 1)
        for number in (*(number for _, number, _ in rows), last + 1):
            if number > expected:
                yield f"{series}: missing from {expected} to {number - 1}."
            expected = max(expected, number + 1)
        if last < newest:
            yield f"{series}: the last number taken is noted as {last}; the newest there is {newest}."
    yield from (f"{series}: all its documents are missing." for series in noted)


def notes() -> Iterator[str]:
    """Yield what is worth knowing of what was issued, though nothing of it was changed. As `faults`."""
    events = sorted(readable(DocumentEvent.objects.all()), key=lambda event: event.place)
    yield from dates_that_run_backward((event.place, timezone.localdate(event.at)) for event in events)


def _chain_faults() -> Iterator[str]:
    """Check the chain of events link by link, and that its last event is there."""
    events = sorted(readable(DocumentEvent.objects.all()), key=lambda event: event.place)
    yield from breaks(event.link() for event in events)
    noted = Counter.objects.filter(pk=EVENTS).values_list("last", flat=True).first() or 0
    newest = events[-1] if events else None
    if noted != (newest.place if newest else 0):
        yield f"The last event is noted as {noted}; the newest there is {newest.place if newest else 0}."
