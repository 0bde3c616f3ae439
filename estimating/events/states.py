"""The states of a document: which one its events lead to, and which events may come next."""

from collections.abc import Iterable, Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from catalog.money.amounts import format_price
from estimating.plain_text import day_in_words

ISSUED, SENT, OPENED = "issued", "sent", "opened"
ACCEPTED, DECLINED, QUESTION = "accepted", "declined", "question"
EXPIRED, WITHDRAWN, SUPERSEDED = "expired", "withdrawn", "superseded"
ANSWERED, UNLINKED, COPIED = "answered", "unlinked", "copied"
CANCELED = "canceled"
EXTENDED = "extended"
DATES = "dates"
CHOSEN = "chosen"

# Only for documents that the client signs: a bill is paid, or taken back by a credit note.
ANSWERS = frozenset({ACCEPTED, DECLINED, WITHDRAWN})

OPEN = frozenset({ISSUED, SENT, OPENED})
ANY = OPEN | {ACCEPTED, DECLINED, EXPIRED, WITHDRAWN, SUPERSEDED, CANCELED}

# From which states an event may come. An event leads to the state of its own name, but for those in
# _LEAVES_STATE: a client may read and ask again at any time, and what is settled stays settled.
MAY_FOLLOW = {
    ISSUED: frozenset({""}),
    SENT: ANY - {WITHDRAWN, SUPERSEDED},
    OPENED: ANY,
    QUESTION: ANY,
    ANSWERED: ANY,
    UNLINKED: ANY,
    COPIED: frozenset({ACCEPTED, CANCELED}),
    EXTENDED: OPEN,
    DATES: frozenset({ACCEPTED}),
    CHOSEN: frozenset({ACCEPTED}),
    ACCEPTED: OPEN,
    DECLINED: OPEN,
    EXPIRED: OPEN,
    WITHDRAWN: OPEN | {DECLINED, EXPIRED},
    SUPERSEDED: OPEN | {DECLINED, EXPIRED, WITHDRAWN, CANCELED},
    CANCELED: frozenset({ACCEPTED}),
}
_LEAVES_STATE = {SENT: ANY - {ISSUED}, OPENED: ANY - {ISSUED, SENT}} | dict.fromkeys(
    (QUESTION, ANSWERED, UNLINKED, COPIED, EXTENDED, DATES, CHOSEN), ANY
)


def may_follow(state: str, event: str) -> bool:
    """Return whether an event may come in a state."""
    return state in MAY_FOLLOW[event]


def state_after(events: Iterable[str]) -> str:
    """Return the state that events lead to, in their order; empty before the first."""
    state = ""
    for event in events:
        if state not in _LEAVES_STATE.get(event, ()):
            state = event
    return state


def question_waits(events: Iterable[str]) -> bool:
    """Return whether the client asked and nobody has answered since; `events` in their order."""
    messages = [event for event in events if event in (QUESTION, ANSWERED)]
    return bool(messages) and messages[-1] == QUESTION


def last_day(valid_to: date | None, events: Iterable[tuple[str, Mapping[str, Any]]]) -> date | None:
    """Return the last day to sign a document: as printed, or as its events last extended it."""
    for kind, data in events:
        if kind == EXTENDED:
            valid_to = date.fromisoformat(data["valid_to"])
    return valid_to


def state_as_of(state: str, valid_to: date | None, today: date) -> str:
    """Return the state as of a day: a document that nobody answered expires after its last day."""
    if state in OPEN and valid_to and valid_to < today:
        return EXPIRED
    return state


_STATE_WORDS = {
    ISSUED: "issued, not sent",
    SENT: "sent, not opened yet",
    OPENED: "opened by the client",
    ACCEPTED: "accepted",
    DECLINED: "declined",
    EXPIRED: "past its last day",
    WITHDRAWN: "withdrawn",
    SUPERSEDED: "replaced",
    CANCELED: "canceled by the client",
}
# What happened: without the detail, with the detail, and the key of the detail in the event's data.
_EVENT_WORDS = {
    ISSUED: ("issued", "issued for", "total"),
    SENT: ("sent", "sent to", "to"),
    OPENED: ("opened by the client", "opened by", "name"),
    ACCEPTED: ("accepted", "accepted by", "name"),
    DECLINED: ("declined", "declined:", "reason"),
    QUESTION: ("asked about", "asked about:", "text"),
    ANSWERED: ("answered", "answered:", "text"),
    UNLINKED: ("link withdrawn", "link withdrawn:", "for"),
    COPIED: ("signed copy drawn and kept", "signed copy drawn and kept", ""),
    EXPIRED: ("past its last day", "past its last day,", "valid_to"),
    EXTENDED: ("extended", "extended: good to", "valid_to"),
    DATES: ("days told to the client", "days told to the client: done by", "finish"),
    CHOSEN: ("something chosen by the client", "chosen by the client:", "chosen"),
    WITHDRAWN: ("withdrawn", "withdrawn:", "reason"),
    SUPERSEDED: ("replaced", "replaced by number", "by"),
    CANCELED: ("canceled", "canceled by", "name"),
}


def state_in_words(state: str) -> str:
    """Return a state as pages say it: "sent, not opened yet"."""
    return _STATE_WORDS[state]


def event_in_words(event: str, data: Mapping[str, Any]) -> str:
    """Return an event as the history says it after the name of the document: "issued for $1,234.50"."""
    bare, with_detail, key = _EVENT_WORDS[event]
    detail = data.get(key)
    if not detail or (key == "total" and data.get("kind") == "completion"):  # it comes to no sum
        return bare
    if data.get("by") == "receipt":
        with_detail = "signed copy sent to"
    if event == ACCEPTED and data.get("way") == "given":
        with_detail = "stands without the client's signature, given by"
    if data.get("by") == "reminder":
        with_detail = f"{data['step'].lower()} sent to"
    if key == "total":
        detail = format_price(Decimal(detail))
    elif key in ("valid_to", "finish"):
        detail = day_in_words(date.fromisoformat(detail))
    words = f"{with_detail} {detail}"
    return f"{words} ({data['reason']})" if event == DATES and data.get("reason") else words
