"""The signed copy: a PDF of everything that the document shows, and of the record of its signature.

It is drawn after the signature is committed, and kept once. Where the mail doesn't carry it then, the firm
sends it from the document's page.
"""

from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from estimating.client.signature_record import record_in_words
from estimating.documents.pdf import make_pdf
from estimating.estimates.snapshots import pdf_file_name
from estimating.events import states
from estimating.events.chain import digest
from estimating.models import Acceptance, Document, SignedCopy
from estimating.plain_text import money


def signed_copy(acceptance: Acceptance, at: datetime) -> SignedCopy:
    """Return the signed copy, drawn on first use and then kept; an event vouches for its bytes.

    Call outside a transaction, as drawing is slow. Raises PangoMissing and ForeignAddress of
    estimating.documents.pdf.
    """
    if copy := SignedCopy.objects.filter(acceptance=acceptance).first():
        return copy
    document = acceptance.document
    pdf = make_pdf(signed_snapshot(acceptance))
    with transaction.atomic():
        Document.objects.select_for_update(no_key=True).get(pk=document.pk)
        copy, is_new = SignedCopy.objects.get_or_create(
            acceptance=acceptance, defaults={"pdf": pdf, "pdf_sha256": digest(pdf)}
        )
        if is_new:
            document.record(states.COPIED, at, {"signed_pdf_sha256": copy.pdf_sha256})
    return copy


def signed_copy_name(document: Document) -> str:
    """Return the name under which the signed copy of a document is saved."""
    return pdf_file_name(f"signed {document.kind} {document.number}", document.job)


def as_signed(snapshot: Mapping[str, Any], acceptance: Acceptance) -> dict[str, Any]:
    """Return what a document shows once it is signed: by whom, the options taken, and payments they moved."""
    record = acceptance.read_record()
    signing = {
        "way": acceptance.way,
        "name": acceptance.name,
        "signed_on": acceptance.signed_on.isoformat(),
        "total": money(acceptance.total.amount),
        "options": [option["place"] for option in record["options"]],
    }
    signed = {**snapshot, "signing": signing}
    if not record.get("payments"):
        return signed
    shown, amounts = snapshot["payments"], [row["amount"] for row in record["payments"]]
    rows = [{**row, "signed": amount} for row, amount in zip(shown["rows"], amounts, strict=True)]
    payments = {**shown, "rows": rows, "signed_total": record["before_tax"]}
    if begins := [Decimal(row["signed"]) for row in rows if row.get("begins")]:
        payments["to_begin"] = money(sum(begins, Decimal(0)))
    return {**signed, "payments": payments}


def signed_snapshot(acceptance: Acceptance) -> dict[str, Any]:
    """Return everything that the signed copy shows: the document's snapshot, and the record."""
    document = acceptance.document
    event, record = document.events.get(hash=acceptance.event_hash), acceptance.read_record()
    signed = as_signed(document.read_snapshot(), acceptance)
    return {
        **signed,
        "article": f"documents/_{document.kind}.html",
        "kind": "signed",
        "signing": {
            **signed["signing"],
            "cancel_by": record["document"].get("cancel_by", ""),
            "rows": record_in_words(record),
            "drawn": record.get("drawn", ""),
            "record_sha256": acceptance.record_sha256,
            "event": f"{event.place}",
            "event_hash": event.hash,
        },
    }
