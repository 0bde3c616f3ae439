"""What pages list of issued documents: how each stands, and what happened to them."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from estimating.document_states import ANSWERED, QUESTION, event_in_words, state_in_words
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


def history(documents: Iterable[Document]) -> list[Happened]:
    """All that happened to the documents, newest first. Their events should have been fetched."""
    events = [(event, each) for each in documents for event in each.events.all()]
    events.sort(key=lambda pair: pair[0].place, reverse=True)
    return [
        Happened(each, event.at, f"{each} {event_in_words(event.kind, event.read_data())}")
        for event, each in events
    ]


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
