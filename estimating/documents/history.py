"""What pages list of issued documents: how each stands, and what happened to them."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any

from django.utils import timezone

from estimating.events.states import (
    ANSWERED,
    EXPIRED,
    EXTENDED,
    OPEN,
    QUESTION,
    event_in_words,
    state_after,
    state_in_words,
)
from estimating.models import Document

# What a higher app shows beside a paper of its kind: a context with the template, as `beside`, among it.
BESIDE: dict[str, Callable[[Document, date], dict[str, Any]]] = {}


@dataclass(frozen=True)
class Row:
    """A document with its state as of a day in words."""

    document: Document
    state: str


@dataclass(frozen=True)
class Happened:
    """An event in words: "Estimate 1001 issued for $1,234.50"."""

    document: Document
    at: datetime
    words: str


def rows(documents: Iterable[Document], today: date) -> list[Row]:
    return [Row(each, state_in_words(each.standing(today))) for each in documents]


def history(documents: Iterable[Document], today: date) -> list[Happened]:
    """All that happened to the documents to a day, newest first. That one's last day went by unanswered is
    among it, though nobody did anything. Their events should have been fetched."""
    happened = [each for document in documents for each in _happened(document, today)]
    happened.sort(key=lambda pair: (pair[1].at, pair[0]), reverse=True)
    return [each for _, each in happened]


def _happened(document: Document, today: date) -> Iterator[tuple[int, Happened]]:
    """What happened, each with its event's place; 0 where there is no event of it."""
    last, kinds = document.valid_to, []
    for event in document.events.all():
        if last and state_after(kinds) in OPEN and timezone.localdate(event.at) > last:
            yield 0, _went_by(document, last)
            last = None
        kinds.append(event.kind)
        data = event.read_data()
        if event.kind == EXTENDED:
            last = date.fromisoformat(data["valid_to"])
        yield event.place, Happened(document, event.at, f"{document} {event_in_words(event.kind, data)}")
    if last and state_after(kinds) in OPEN and today > last:
        yield 0, _went_by(document, last)


def _went_by(document: Document, last: date) -> Happened:
    at = timezone.make_aware(datetime.combine(last + timedelta(days=1), time.min))
    words = event_in_words(EXPIRED, {"valid_to": last.isoformat()})
    return Happened(document, at, f"{document} {words}")


@dataclass(frozen=True)
class Said:
    """A question of the client, or the firm's answer."""

    by_client: bool
    at: datetime
    text: str


def talk(document: Document) -> list[Said]:
    """What was asked about a document and answered, in its order."""
    events = document.events.filter(kind__in=(QUESTION, ANSWERED)).order_by("place")
    return [Said(each.kind == QUESTION, each.at, each.read_data()["text"]) for each in events]
