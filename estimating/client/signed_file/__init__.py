"""The signed file: a signed document as one JSON file that anybody can check without us.

`write` makes it from a signature and its signed copy. `verify_signed.py` beside this module is the program
that checks it: clients download it and run it alone, so it imports the standard library only.
"""

import base64
import json

from estimating.events import states
from estimating.events.chain import canonical, record_of
from estimating.models import Acceptance, DocumentEvent, Scan, SignedCopy

FORMAT = "signed paper 1"


def write(acceptance: Acceptance, copy: SignedCopy) -> str:
    """Return the signed file as canonical JSON; the same signature always gives the same bytes,
    unless it is canceled.

    It holds the snapshot, both PDFs, the record, a scan, the events that vouch for them, and a cancellation.
    """
    document = acceptance.document
    kinds = (states.ISSUED, states.ACCEPTED, states.COPIED, states.CANCELED)
    events = document.events.filter(kind__in=kinds).order_by("place")
    scan = Scan.objects.filter(acceptance=acceptance).first()
    return canonical(
        {
            "format": FORMAT,
            "snapshot": document.snapshot,
            "issued_pdf": _base64(document.pdf),
            "signed_pdf": _base64(copy.pdf),
            "record": acceptance.record,
            "scan": _base64(scan.content) if scan else "",
            "events": [_event(event) for event in events],
        }
    )


def _event(event: DocumentEvent) -> dict[str, object]:
    link = event.link()
    return {**json.loads(record_of(link)), "previous_hash": link.previous_hash, "hash": link.hash}


def _base64(content: bytes | memoryview) -> str:
    return base64.b64encode(bytes(content)).decode("ascii")
