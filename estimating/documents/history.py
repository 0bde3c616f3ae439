"""What pages list of issued documents: the state of each, what happened to them, what was asked."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from django.utils import timezone

from estimating.events.states import (
    ANSWERED,
    EXPIRED,
    EXTENDED,
    OPEN,
    QUESTION,
    event_in_words,
    question_waits,
    state_after,
    state_in_words,
)
from estimating.models import Document


@dataclass(frozen=True)
class DocumentRow:
    """A document with its state as of a day in words."""

    document: Document
    state: str


@dataclass(frozen=True)
class HistoryEntry:
    """An event in words: "Estimate 1001 issued for $1,234.50"."""

    document: Document
    at: datetime
    words: str


@dataclass(frozen=True)
class Message:
    """A question of the client, or the firm's answer."""

    by_client: bool
    at: datetime
    text: str


def document_rows(documents: Iterable[Document], today: date) -> list[DocumentRow]:
    """Return the rows of a list of documents, in its order. Prefetch their events."""
    return [DocumentRow(document, _state(document, today)) for document in documents]


def _state(document: Document, today: date) -> str:
    words = state_in_words(document.state_as_of(today))
    return f"{words}; a question waits" if question_waits(document.event_kinds()) else words


def history(documents: Iterable[Document], today: date) -> list[HistoryEntry]:
    """Return all that happened to the documents up to a day, newest first.

    It says too that a document's last day went by unanswered, though nobody did anything then. Prefetch the
    events of the documents.
    """
    entries = [entry for document in documents for entry in _entries(document, today)]
    entries.sort(key=lambda pair: (pair[1].at, pair[0]), reverse=True)
    return [entry for _, entry in entries]


def _entries(document: Document, today: date) -> Iterator[tuple[int, HistoryEntry]]:
    """Yield each entry with the place of its event in the chain; 0 where there is no event of it."""
    last_day = document.valid_to
    kinds: list[str] = []
    for event in document.events.all():
        if last_day and state_after(kinds) in OPEN and timezone.localdate(event.at) > last_day:
            yield 0, _expiry(document, last_day)
            last_day = None
        kinds.append(event.kind)
        data = event.read_data()
        if event.kind == EXTENDED:
            last_day = date.fromisoformat(data["valid_to"])
        words = f"{document} {event_in_words(event.kind, data)}"
        yield event.place, HistoryEntry(document, event.at, words)
    if last_day and state_after(kinds) in OPEN and today > last_day:
        yield 0, _expiry(document, last_day)


def _expiry(document: Document, last_day: date) -> HistoryEntry:
    """Return the entry that a document's last day is past, dated at the midnight after that day."""
    at = timezone.make_aware(datetime.combine(last_day + timedelta(days=1), time.min))
    words = event_in_words(EXPIRED, {"valid_to": last_day.isoformat()})
    return HistoryEntry(document, at, f"{document} {words}")


def conversation(document: Document) -> list[Message]:
    """Return what the client asked about a document and the firm answered, in its order.

    Costs a query.
    """
    events = document.events.filter(kind__in=(QUESTION, ANSWERED)).order_by("place")
    return [Message(event.kind == QUESTION, event.at, event.read_data()["text"]) for event in events]
