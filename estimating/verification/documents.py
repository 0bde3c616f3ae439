"""Whether what was issued still is what it was: every digest, number, sum and link worked out again."""

import json
from collections.abc import Callable, Iterable, Iterator, Mapping
from decimal import Decimal
from itertools import groupby
from typing import Any

from django.db import connection

from catalog.money.amounts import format_price
from estimating.documents import write_protection
from estimating.documents.issue import FIRST_NUMBERS, issue_facts
from estimating.events import states
from estimating.events.chain import breaks, digest
from estimating.models import Counter, Document, DocumentEvent
from estimating.models.document import EVENTS
from estimating.plain_text import money
from estimating.verification.signatures import signature_faults
from estimating.verification.tolerant import as_far_as_readable
from estimating.verification.unit_prices import limit_faults, signed_price_faults

# What a higher app checks of the papers of its kinds: the document with what it shows; yields sentences.
FURTHER: dict[str, Callable[[Document, dict[str, Any]], Iterator[str]]] = {}


def faults() -> Iterator[str]:
    """One plain sentence for each thing that isn't as it was issued. Reads all PDFs, one at a time."""
    yield from (f"The trigger {name} is missing." for name in write_protection.missing(connection))
    yield from as_far_as_readable(_document_faults(), "A document")
    yield from as_far_as_readable(_number_faults(), "A number")
    yield from as_far_as_readable(_chain_faults(), "An event")
    yield from as_far_as_readable(signature_faults(), "A signature")
    yield from limit_faults()


def _document_faults() -> Iterator[str]:
    issued = DocumentEvent.objects.filter(kind=states.ISSUED)
    facts = {event.document_id: event.data for event in issued}
    # Only the name: a changed date would end a reading of whole rows.
    for named in Document.objects.only("kind", "number", "job").order_by("pk"):
        for fault in as_far_as_readable(_faults_of(named.pk, facts), "all of it"):
            yield f"{named}{_of_job(named)}: {fault}"


def _faults_of(pk: int, facts: Mapping[int, str]) -> Iterator[str]:
    document = Document.objects.defer(None).get(pk=pk)
    for check in (_digest_faults(document), _fact_faults(document, facts), _sum_faults(document)):
        yield from as_far_as_readable(check, "part of it")


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
    paper = _read(document.snapshot)
    if not isinstance(paper, dict):
        yield "what it shows can't be read."
        return
    if paper.get("number") != f"{document.number}":
        yield f"the paper says number {paper.get('number')}."
    if paper.get("total") != money(document.total.amount):
        yield f"it is kept at {format_price(document.total.amount)}, the paper says {paper.get('total')}."
    basis = _read(document.basis)
    if isinstance(basis, dict):
        yield from signed_price_faults(document, paper, basis)
    if document.kind in FURTHER:
        yield from FURTHER[document.kind](document, paper)
    summed = document.kind in (Document.Kind.ESTIMATE, Document.Kind.CHANGE_ORDER)
    if summed and _printed_sum(paper) != document.total.amount:
        yield f"the printed rows come to {_printed_sum(paper)}, not to its total."
    if document.kind == Document.Kind.ESTIMATE and paper.get("payments"):
        before_tax = _printed_rows(paper)
        if (planned := _rows(paper["payments"]["rows"], "amount")) != before_tax:
            yield f"its plan of payments comes to {planned}, not to {before_tax}."


def _printed_sum(paper: Mapping[str, Any]) -> Decimal:
    return _printed_rows(paper) + Decimal(paper["tax"]["amount"] if paper["tax"] else 0)


def _printed_rows(paper: Mapping[str, Any]) -> Decimal:
    return _rows(paper["prices"], "price")


def _rows(rows: Iterable[Mapping[str, str]], name: str) -> Decimal:
    return sum((Decimal(row[name]) for row in rows), Decimal(0))


def _read(text: str) -> Any:
    try:
        return json.loads(text)
    except ValueError:
        return None


def _number_faults() -> Iterator[str]:
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


def _chain_faults() -> Iterator[str]:
    events = DocumentEvent.objects.order_by("place")
    yield from breaks(event.link() for event in events.iterator())
    noted = Counter.objects.filter(pk=EVENTS).values_list("last", flat=True).first() or 0
    newest = events.last()
    if noted != (newest.place if newest else 0):
        yield f"The last event is noted as {noted}; the newest there is {newest.place if newest else 0}."
