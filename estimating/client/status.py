"""How a document is with its client, for the page of the document."""

from datetime import date, datetime
from typing import Any

from estimating.client.cancel import right_to_cancel
from estimating.client.mail import receipts_sent
from estimating.client.signing import why_closed
from estimating.contract.cancellation_rule import cancel_by
from estimating.documents.history import talk
from estimating.events import states
from estimating.models import Acceptance, Document


def with_client(document: Document, now: datetime, today: date) -> dict[str, Any]:
    """Its links, signature, receipts, and what was asked and answered."""
    return {
        "now": now,
        "today": today,
        "signed": Acceptance.objects.filter(document=document).first(),
        "receipts": receipts_sent(document),
        "links": document.links.all(),
        "talk": talk(document),
        "waits": states.question_waits(document.happened()),
        "closed": why_closed(document, today),
        "expired": document.standing(today) == states.EXPIRED,
        "canceled": document.was_canceled(),
        "right": right_to_cancel(document, today),
        "signed_today": cancel_by(today),
        **_of_change(document),
    }


def _of_change(document: Document) -> dict[str, Any]:
    """The change that a change order was issued from, and whether it can still be edited."""
    if document.kind != Document.Kind.CHANGE_ORDER:
        return {}
    estimates = Acceptance.objects.binding(document.job).filter(document__kind=Document.Kind.ESTIMATE)
    return {"change": document.estimate.change, "contract_stands": estimates.exists()}
