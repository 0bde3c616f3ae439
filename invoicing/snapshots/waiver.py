"""The snapshot of a lien waiver: all that it prints, as values that JSON can keep.

The keys are frozen with every issued document and must stay as they are.
"""

import re
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from catalog.money.amounts import format_price
from estimating.plain_text import day_in_words, inside_sentence, money, nonblank_lines
from estimating.snapshots.wording import DocumentParty
from invoicing.billing.lien_waiver import WaiverKind, fill_places, waiver_words


@dataclass(frozen=True)
class Waiver:
    """A waiver: who gives it to whom, with which payment, for work through which day.

    `text` and `citation` are the form that the firm's state prescribes; without them our own words stand.
    `signed_by` is the name typed in place of a signature; empty where it is signed by hand.
    """

    kind: WaiverKind
    firm: DocumentParty
    client: DocumentParty
    job: str
    address: str
    paper_size: str
    invoice: str
    amount: Decimal
    through: date
    dated: date
    exceptions: str = ""
    text: str = ""
    citation: str = ""
    signed_by: str = ""


def waiver_snapshot(waiver: Waiver) -> dict[str, Any]:
    """Return what the paper of a waiver shows, without its number."""
    address = nonblank_lines(waiver.address)
    values = {
        "firm": waiver.firm.name,
        "client": waiver.client.name,
        "job": waiver.job,
        "address": ", ".join(address),
        "amount": format_price(waiver.amount),
        "invoice": inside_sentence(waiver.invoice),
        "through": day_in_words(waiver.through),
        "exceptions": waiver.exceptions.strip().rstrip("."),
    }
    words = (
        _paragraphs(fill_places(waiver.text, values)) if waiver.text else waiver_words(waiver.kind, values)
    )
    return {
        "kind": "waiver",
        "paper": waiver.paper_size,
        "title": f"{waiver.kind.label}: {waiver.job}",
        "firm": waiver.firm.for_snapshot(),
        "client": waiver.client.for_snapshot(),
        "job": {"name": waiver.job, "address": address},
        "dated": waiver.dated.isoformat(),
        "waiver": waiver.kind.value,
        "label": waiver.kind.label,
        "conditional": waiver.kind.is_conditional,
        "final": waiver.kind.is_final,
        "invoice": waiver.invoice,
        "amount": money(waiver.amount),
        "through": waiver.through.isoformat(),
        "words": words,
        "citation": waiver.citation,
        "signed_by": waiver.signed_by,
    }


def _paragraphs(text: str) -> list[str]:
    return [" ".join(part.split()) for part in re.split(r"\n\s*\n", text) if part.strip()]
