"""Whether what was signed still is what was signed: each record, copy and scan against its event."""

from collections.abc import Iterator
from datetime import date

from estimating.client.options import OptionLocked
from estimating.client.signing import sums_for
from estimating.database.tolerant import continue_after_unreadable, readable
from estimating.events import states
from estimating.events.chain import digest
from estimating.models import Acceptance, DocumentEvent, Scan, SignedCopy


def signature_faults() -> Iterator[str]:
    """Yield a plain sentence for each thing that isn't as it was signed.

    Reads all signed copies, one at a time.
    """
    accepted = readable(DocumentEvent.objects.filter(kind=states.ACCEPTED))
    events = {event.document_id: event for event in accepted}
    # Only the name of the document: a changed date would end a reading of whole rows.
    signed = Acceptance.objects.select_related("document").only(
        "document__kind", "document__prefix", "document__number"
    )
    for acceptance in readable(signed):
        event = events.pop(acceptance.document_id, None)
        for fault in continue_after_unreadable(_faults_of(acceptance.pk, event), "all of it"):
            yield f"The signature of {acceptance.document}: {fault}"
    for event in events.values():
        yield f"{event.document} was accepted by event {event.place}, but no signature is kept."


def _faults_of(pk: int, event: DocumentEvent | None) -> Iterator[str]:
    acceptance = Acceptance.objects.select_related("document").get(pk=pk)
    for check in (_record_faults(acceptance, event), _file_faults(acceptance)):
        yield from continue_after_unreadable(check, "part of it")


def _record_faults(acceptance: Acceptance, event: DocumentEvent | None) -> Iterator[str]:
    if digest(acceptance.record) != acceptance.record_sha256:
        yield "the record was changed; its SHA-256 differs."
        return
    if event is None or event.hash != acceptance.event_hash:
        yield "no event says that it was signed."
        return
    record, facts, total = acceptance.read_record(), event.read_data(), f"{acceptance.total.amount:.2f}"
    if facts["record_sha256"] != acceptance.record_sha256:
        yield "the record isn't the one of the event."
    if {record["name"], facts["name"]} != {acceptance.name} or {record["total"], facts["total"]} != {total}:
        yield "name or sum aren't those that were recorded."
    last_day = _last_day_before(acceptance)
    if last_day and acceptance.signed_on > last_day:
        yield f"it was signed on {acceptance.signed_on}, after the last day, {last_day}."
    positions = [option["place"] - 1 for option in record["options"]]
    try:
        sums = sums_for(acceptance.document, acceptance.signed_on, positions)
    except OptionLocked as error:
        yield str(error)
    else:
        if sums.total != acceptance.total.amount:
            yield f"the paper with the options taken comes to {sums.total}, not to {total}."
        if "payments" in record and record["payments"] != list(sums.payments):
            yield "the payments with the options taken aren't those of the paper."


def _last_day_before(acceptance: Acceptance) -> date | None:
    """Return the last day to sign as of the signature: an extension that came after it doesn't count."""
    document = acceptance.document
    before = []
    for event in document.events.order_by("place"):
        if event.kind == states.ACCEPTED:
            break
        before.append((event.kind, event.read_data()))
    return states.last_day(document.valid_to, before)


def _file_faults(acceptance: Acceptance) -> Iterator[str]:
    """Check the signed copy and the scan against the digests in event and record."""
    copy = SignedCopy.objects.filter(acceptance=acceptance).first()
    copied = DocumentEvent.objects.filter(document=acceptance.document_id, kind=states.COPIED).first()
    recorded = copied.read_data()["signed_pdf_sha256"] if copied else ""
    if copy and not copy.is_whole():
        yield "the signed copy was changed; its SHA-256 differs."
    if (copy.pdf_sha256 if copy else "") != recorded:
        yield "the signed copy isn't the one that an event vouches for."
    scan = Scan.objects.filter(acceptance=acceptance).first()
    if scan and not scan.is_whole():
        yield "the scan was changed; its SHA-256 differs."
    if (scan.sha256 if scan else "") != acceptance.read_record().get("scan", {}).get("sha256", ""):
        yield "the scan isn't the one of the record."
