"""A signed paper as one file that anybody can check without us: see verify_signed.py beside this file."""

import base64
import json

from estimating.events import states
from estimating.events.chain import canonical, record_of
from estimating.models import Acceptance, DocumentEvent, Scan, SignedCopy

FORMAT = "signed paper 1"


def write(acceptance: Acceptance, copy: SignedCopy) -> str:
    """Canonical JSON: what the paper shows, both PDFs, the record, a scan, and the events that vouch for
    them. The same signature always gives the same bytes."""
    document = acceptance.document
    kinds = (states.ISSUED, states.ACCEPTED, states.COPIED)
    events = document.events.filter(kind__in=kinds).order_by("place")
    scan = Scan.objects.filter(acceptance=acceptance).first()
    return canonical(
        {
            "format": FORMAT,
            "snapshot": document.snapshot,
            "issued_pdf": _letters(document.pdf),
            "signed_pdf": _letters(copy.pdf),
            "record": acceptance.record,
            "scan": _letters(scan.content) if scan else "",
            "events": [_event(each) for each in events],
        }
    )


def _event(event: DocumentEvent) -> dict[str, object]:
    link = event.link()
    return {**json.loads(record_of(link)), "previous_hash": link.previous_hash, "hash": link.hash}


def _letters(content: bytes | memoryview) -> str:
    return base64.b64encode(bytes(content)).decode("ascii")
