"""What the page of a document shows of its client: links, signature, questions and the right to cancel."""

from datetime import date, datetime
from typing import Any

from estimating.client.cancel import right_to_cancel
from estimating.client.mail import receipts_sent
from estimating.client.outbox import on_the_way
from estimating.client.signing import why_closed
from estimating.contract.cancellation_rule import cancel_by
from estimating.documents.history import conversation
from estimating.events import states
from estimating.models import Acceptance, Document


def client_status(document: Document, now: datetime, today: date) -> dict[str, Any]:
    """Return the context of the client's part on the page of a document."""
    return {
        "today": today,
        "signed": Acceptance.objects.filter(document=document).first(),
        "receipts": receipts_sent(document),
        "unsent": on_the_way(document),
        "links": document.links.with_state(now),
        "conversation": conversation(document),
        "waits": states.question_waits(document.event_kinds()),
        "closed": why_closed(document, today),
        "expired": document.state_as_of(today) == states.EXPIRED,
        "canceled": document.was_canceled(),
        "right": right_to_cancel(document, today),
        "signed_today": cancel_by(today),
        **_change_context(document),
    }


def _change_context(document: Document) -> dict[str, Any]:
    """Return the change that a change order was issued from, and whether it can still be edited."""
    if document.kind != Document.Kind.CHANGE_ORDER:
        return {}
    assert document.estimate is not None  # a change order is issued from the estimate of its change
    estimates = Acceptance.objects.binding(document.job).filter(document__kind=Document.Kind.ESTIMATE)
    return {"change": document.estimate.change, "contract_stands": estimates.exists()}
