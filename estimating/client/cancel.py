"""Canceling a signed document: nothing of it counts any more, nor what rests on it.

A cancellation is an event, from the client's page within the days to cancel or entered by the firm at any
time. A new estimate may then supersede a canceled one.
"""

from collections.abc import Collection, Iterable
from datetime import date, datetime
from typing import Any

from django.db import transaction
from django.db.models import QuerySet

from estimating.client.mail import put_down_about
from estimating.client.signing import Refused, Visit
from estimating.contract.cancellation_rule import refund_by
from estimating.events import states
from estimating.models import Acceptance, ChangeLine, ClientLink, Document, NotAllowed
from estimating.plain_text import day_in_words

ESTIMATE_CANCELED = "The estimate that it changes was canceled."
COUNTED_CHANGE_CANCELED = "A change that its sums count was canceled."


def why_not_cancel(document: Document, today: date) -> str:
    """Return why the client can't cancel on the page, in a plain sentence; empty where that is possible.

    A document that is canceled already is no reason: it stays canceled as it was the first time.
    """
    if document.state() == states.CANCELED:
        return ""
    last = document.cancel_by()
    if document.state() != states.ACCEPTED or last is None:
        return "There is nothing here to cancel."
    if today > last:
        return (
            f"The last day to cancel was {day_in_words(last)}. Please call: the two of you may still agree."
        )
    return ""


def right_to_cancel(document: Document, today: date) -> dict[str, Any]:
    """Return what pages say of the right to cancel a document.

    `cancel_by` is the last day of a signed document; `still_to` is that day while it isn't past and nothing
    canceled the document. `canceled_on` is the day of a cancellation, and `refund_by` the last day on which
    what was paid goes back.
    """
    last, canceled_on = document.cancel_by(), document.canceled_on()
    is_open = last is not None and today <= last and document.state() == states.ACCEPTED
    return {
        "cancel_by": last,
        "still_to": last if is_open else None,
        "canceled_on": canceled_on,
        "refund_by": refund_by(canceled_on) if canceled_on else None,
    }


def cancelable_changes(documents: Iterable[Document], today: date) -> list[dict[str, Any]]:
    """Return the signed changes that can still be canceled: their `document` with its right to cancel.

    Fetch the events of the documents before.
    """
    changes = (document for document in documents if document.kind == Document.Kind.CHANGE_ORDER)
    rights = ({"document": change, **right_to_cancel(change, today)} for change in changes)
    return [right for right in rights if right["still_to"]]


def reason_to_wait(documents: Iterable[Document], today: date) -> str:
    """Return what should wait because the client can still cancel it; empty where nothing should.

    `documents` are those of a job in force. Fetch their events before.
    """
    documents = list(documents)
    for document in documents:
        still_to = right_to_cancel(document, today)["still_to"]
        if document.kind == Document.Kind.ESTIMATE and still_to:
            return f"wait with work and orders: the client can cancel until {day_in_words(still_to)}"
    for right in cancelable_changes(documents, today):
        last = day_in_words(right["still_to"])
        return f"wait with {right['document']}: the client can cancel it until {last}"
    return ""


def cancel_document(visit: Visit, name: str) -> None:
    """Cancel a signed document on the client's page. Raises Refused once the last day is past."""
    document = visit.link.document
    if reason := why_not_cancel(document, visit.today):
        raise Refused(reason)
    facts = {"name": name, "way": Acceptance.Way.PAGE, **visit.origin}
    _cancel(document, visit.today, visit.at, facts, visit.link)


def enter_cancellation(
    document: Document, name: str, on: date, how: str, entered_by: str, at: datetime
) -> None:
    """Record a cancellation that reached the firm in another way.

    A notice counts by the day on which it was mailed or handed over, so it may be entered later; and one
    after the last day holds where the firm agrees or a state gives more days. Raises Refused where the
    document isn't signed.
    """
    if document.kind == Document.Kind.COMPLETION:
        raise Refused(f"{document} says what is done: it stays. What shows up later is a call-back.")
    if document.state() != states.ACCEPTED:
        raise Refused(f"{document} isn't signed, so there is nothing to cancel.")
    facts = {"name": name, "way": Acceptance.Way.PAPER, "how": how, "entered_by": entered_by}
    _cancel(document, on, at, facts)


def _cancel(
    document: Document, on: date, at: datetime, facts: dict[str, Any], link: ClientLink | None = None
) -> None:
    """Cancel a document and what rests on it, in one transaction; what is canceled already stays as it was.

    `facts` are those of its event, with the `name` of who canceled; where he did it by a link, both sides are
    mailed. Raises Refused.
    """
    try:
        with transaction.atomic():
            event = document.record(states.CANCELED, at, {**facts, "on": on.isoformat()})
            if link:
                put_down_about(event, link)
            if document.kind == Document.Kind.CHANGE_ORDER:
                _cancel_later_changes(document, at, facts["name"])
            else:
                _cancel_changes(document, at, facts["name"])
    except NotAllowed as error:
        state = states.state_after(document.events.order_by("place").values_list("kind", flat=True))
        if state != states.CANCELED:
            raise Refused(str(error)) from error


def _cancel_changes(estimate: Document, at: datetime, name: str) -> None:
    """Cancel the signed changes of a canceled estimate and withdraw the others.

    Changes that are being written lose the lines that settle something of it.
    """
    for change in _changes_of_job(estimate):
        if change.state() == states.ACCEPTED:
            _cancel_with(change, estimate, at, name)
        elif change.state() in states.OPEN:
            change.record(states.WITHDRAWN, at, {"reason": ESTIMATE_CANCELED})
    ChangeLine.objects.filter(change__job=estimate.job_id, document__isnull=False).delete()


def _cancel_later_changes(canceled: Document, at: datetime, name: str) -> None:
    """Cancel the signed changes that settle something of a canceled change, and of those in turn.

    Changes that wait for a signature and were issued since it was signed are withdrawn, as their sums count
    it; changes that are being written lose the lines that settle something of it.
    """
    signed_at, canceled_ids = Acceptance.objects.get(document=canceled).at, {canceled.pk}
    for change in _changes_of_job(canceled).exclude(pk=canceled.pk):
        if change.state() == states.ACCEPTED and _settles(change, canceled_ids):
            _cancel_with(change, canceled, at, name)
            canceled_ids.add(change.pk)
        elif change.state() in states.OPEN and change.issued_at >= signed_at:
            change.record(states.WITHDRAWN, at, {"reason": COUNTED_CHANGE_CANCELED})
    ChangeLine.objects.filter(document__in=canceled_ids).delete()


def _changes_of_job(document: Document) -> QuerySet[Document]:
    """Return the change orders of a document's job, the oldest first, with their events."""
    changes = Document.objects.filter(job=document.job_id, kind=Document.Kind.CHANGE_ORDER)
    return changes.prefetch_related("events").order_by("pk")


def _settles(change: Document, documents: Collection[int]) -> bool:
    """Tell whether a change settles a line of one of the documents with these primary keys."""
    return any(line["refers_document"] in documents for line in change.read_basis()["lines"])


def _cancel_with(change: Document, canceled: Document, at: datetime, name: str) -> None:
    change.record(states.CANCELED, at, {"name": name, "with": str(canceled)})
