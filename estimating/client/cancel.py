"""The client cancels what was signed: nothing of it counts any more, and what rests on it falls with it."""

from collections.abc import Collection, Iterable
from datetime import date, datetime
from typing import Any

from django.db import transaction
from django.db.models import QuerySet

from estimating.client.signing import Refused, Visit
from estimating.contract.cancellation_rule import refund_by
from estimating.events import states
from estimating.models import Acceptance, ChangeLine, Document, NotAllowed
from estimating.plain_text import day_in_words

FELL = "The estimate that it changes was canceled."
COUNTED = "A change that its sums count was canceled."


def why_not(document: Document, today: date) -> str:
    """Why the client can't cancel on his page, in a plain sentence; empty while he can. Canceled already is
    no reason: it stays as it was the first time."""
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
    """What pages say of it: to which day a signed document can be canceled, `still_to` while that isn't
    past and nothing canceled it; or on which day the client did, and by when what was paid goes back."""
    last, canceled_on = document.cancel_by(), document.canceled_on()
    open_still = last is not None and today <= last and document.state() == states.ACCEPTED
    return {
        "cancel_by": last,
        "still_to": last if open_still else None,
        "canceled_on": canceled_on,
        "refund_by": refund_by(canceled_on) if canceled_on else None,
    }


def changes_to_wait_with(documents: Iterable[Document], today: date) -> list[dict[str, Any]]:
    """Signed changes that can still be canceled, each with its last day, `still_to`. Fetch events before."""
    changes = (each for each in documents if each.kind == Document.Kind.CHANGE_ORDER)
    rights = ({"document": each, **right_to_cancel(each, today)} for each in changes)
    return [each for each in rights if each["still_to"]]


def what_waits(documents: Iterable[Document], today: date) -> str:
    """What should wait because the client can still cancel it, of a job's papers in force; empty where
    nothing does. Fetch events before."""
    documents = list(documents)
    for each in documents:
        still_to = right_to_cancel(each, today)["still_to"]
        if each.kind == Document.Kind.ESTIMATE and still_to:
            return f"wait with work and orders: the client can cancel until {day_in_words(still_to)}"
    for each in changes_to_wait_with(documents, today):
        change, last = each["document"], day_in_words(each["still_to"])
        return f"wait with {change}: the client can cancel it until {last}"
    return ""


def cancel(visit: Visit, name: str) -> None:
    """Cancel on the client's page. Raises Refused once the last day is past."""
    document = visit.link.document
    if reason := why_not(document, visit.today):
        raise Refused(reason)
    said = {"name": name, "way": "page", "address": visit.address, "agent": visit.agent[:400]}
    _cancel(document, visit.today, visit.at, said)


def enter_cancellation(
    document: Document, name: str, on: date, how: str, entered_by: str, at: datetime
) -> None:
    """Keep a cancellation that reached the firm otherwise. Raises Refused where nothing signed stands.

    A notice counts by the day on which it was mailed or handed over, so it may be entered later; and one
    after the last day holds where the firm agrees or a state gives more days.
    """
    if document.state() != states.ACCEPTED:
        raise Refused(f"{document} isn't signed, so there is nothing to cancel.")
    _cancel(document, on, at, {"name": name, "way": "paper", "how": how, "entered_by": entered_by})


def _cancel(document: Document, on: date, at: datetime, said: dict[str, Any]) -> None:
    """One transaction; canceled already, it stays canceled as it was."""
    try:
        with transaction.atomic():
            document.record(states.CANCELED, at, {**said, "on": on.isoformat()})
            if document.kind == Document.Kind.CHANGE_ORDER:
                _let_later_fall(document, at, said["name"])
            else:
                _let_changes_fall(document, at, said["name"])
    except NotAllowed as error:
        state = states.state_after(document.events.order_by("place").values_list("kind", flat=True))
        if state != states.CANCELED:
            raise Refused(str(error)) from error


def _let_changes_fall(document: Document, at: datetime, name: str) -> None:
    """Signed changes are canceled with the estimate that they change, others withdrawn; drafts lose the
    lines that settle something of it."""
    for change in _changes_of(document):
        if change.state() == states.ACCEPTED:
            _fall(change, document, at, name)
        elif change.state() in states.OPEN:
            change.record(states.WITHDRAWN, at, {"reason": FELL})
    ChangeLine.objects.filter(change__job=document.job_id, document__isnull=False).delete()


def _let_later_fall(document: Document, at: datetime, name: str) -> None:
    """Signed changes that settle something of a canceled change are canceled with it; those that wait and
    were issued since it was signed are withdrawn, as their sums count it; drafts lose such lines."""
    signed_at, fallen = Acceptance.objects.get(document=document).at, {document.pk}
    for change in _changes_of(document).exclude(pk=document.pk):
        if change.state() == states.ACCEPTED and _settles(change, fallen):
            _fall(change, document, at, name)
            fallen.add(change.pk)
        elif change.state() in states.OPEN and change.issued_at >= signed_at:
            change.record(states.WITHDRAWN, at, {"reason": COUNTED})
    ChangeLine.objects.filter(document__in=fallen).delete()


def _changes_of(document: Document) -> QuerySet[Document]:
    changes = Document.objects.filter(job=document.job_id, kind=Document.Kind.CHANGE_ORDER)
    return changes.prefetch_related("events").order_by("pk")


def _settles(change: Document, papers: Collection[int]) -> bool:
    return any(line["refers_document"] in papers for line in change.read_basis()["lines"])


def _fall(change: Document, document: Document, at: datetime, name: str) -> None:
    change.record(states.CANCELED, at, {"name": name, "with": str(document)})
