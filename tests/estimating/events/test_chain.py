"""The chain of events, and how a document stands by them."""

import hashlib
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, timezone
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimating.events.chain import FIRST_PREVIOUS, Link, breaks, canonical, hash_of
from estimating.events.states import (
    ANY,
    MAY_FOLLOW,
    event_in_words,
    may_follow,
    state_after,
    state_as_of,
    state_in_words,
)

AT = datetime(2026, 11, 24, 21, 30, tzinfo=UTC)
events = st.lists(st.sampled_from(sorted(MAY_FOLLOW)), max_size=12)


def chain(length: int) -> list[Link]:
    links: list[Link] = []
    for place in range(1, length + 1):
        data = canonical({"to": f"client {place}"})
        previous = links[-1].hash if links else FIRST_PREVIOUS
        link = Link(place, 7, "sent", AT, data, previous)
        links.append(replace(link, hash=hash_of(link)))
    return links


def test_a_hash_can_be_worked_out_by_hand() -> None:
    record = (
        '{"at":"2026-11-24T21:30:00.000000+00:00","data":{"to":"client 1"},'
        '"document":7,"kind":"sent","place":1}'
    )
    expected = hashlib.sha256(b"0" * 64 + record.encode()).hexdigest()
    assert chain(1)[0].hash == expected


def test_the_time_zone_in_which_a_moment_is_given_makes_no_difference() -> None:
    (link,) = chain(1)
    elsewhere = replace(link, at=AT.astimezone(timezone(timedelta(hours=-6))))
    assert hash_of(elsewhere) == link.hash


@given(st.dictionaries(st.text(st.characters(codec="utf-8")), st.text(st.characters(codec="utf-8"))))
def test_canonical_text_does_not_depend_on_the_order_of_keys(data: dict[str, str]) -> None:
    assert canonical(dict(reversed(data.items()))) == canonical(data)


def test_a_whole_chain_has_no_breaks() -> None:
    assert list(breaks(chain(5))) == []


@given(
    place=st.integers(0, 4),
    change=st.sampled_from(
        [
            {"kind": "opened"},
            {"data": '{"to":"somebody else"}'},
            {"data": "no JSON"},
            {"data": '{"to" :"client 1"}'},
            {"document": 8},
            {"at": AT + timedelta(microseconds=1)},
            {"hash": "f" * 64},
        ]
    ),
)
def test_a_link_that_was_changed_is_named(place: int, change: dict[str, Any]) -> None:
    links = chain(5)
    links[place] = replace(links[place], **change)
    found = list(breaks(links))
    assert found[0].startswith(f"Event {place + 1} (")
    assert "isn't what was recorded" in found[0]


def test_a_link_that_was_left_out_is_named() -> None:
    links = chain(5)
    del links[2]
    assert next(breaks(links)) == "Event 3 is missing: after it comes event 4."


def test_a_link_that_was_rebuilt_no_longer_leads_to_the_next() -> None:
    links = chain(3)
    changed = replace(links[1], data='{"to":"somebody else"}')
    links[1] = replace(changed, hash=hash_of(changed))
    assert list(breaks(links)) == ["Event 3 (sent) doesn't follow from the event before it."]


@pytest.mark.parametrize(
    ("happened", "state"),
    [
        ([], ""),
        (["issued"], "issued"),
        (["issued", "sent", "opened"], "opened"),
        (["issued", "sent", "opened", "sent"], "opened"),
        (["issued", "sent", "accepted", "opened", "question", "sent"], "accepted"),
        (["issued", "sent", "declined", "opened"], "declined"),
        (["issued", "question"], "issued"),
        (["issued", "sent", "expired", "superseded", "opened"], "superseded"),
    ],
)
def test_events_lead_to_a_state(happened: list[str], state: str) -> None:
    assert state_after(happened) == state


@pytest.mark.parametrize("event", ["accepted", "declined"])
def test_a_document_is_answered_once(event: str) -> None:
    assert may_follow("opened", event)
    closed = ("accepted", "declined", "expired", "withdrawn", "superseded")
    assert not any(may_follow(state, event) for state in closed)


def test_only_an_accepted_document_is_never_superseded() -> None:
    assert {state for state in ANY if not may_follow(state, "superseded")} == {"accepted", "superseded"}


@given(events)
def test_once_accepted_a_document_stays_so_unless_it_is_canceled(later: list[str]) -> None:
    happened = ["issued", "accepted"]
    for event in later:
        if may_follow(state_after(happened), event):
            happened.append(event)
    stands = ("canceled", "superseded") if "canceled" in happened else ("accepted",)
    assert state_after(happened) in stands


@pytest.mark.parametrize(
    ("state", "day", "shown"),
    [
        ("sent", date(2026, 12, 24), "sent"),
        ("sent", date(2026, 12, 25), "expired"),
        ("accepted", date(2026, 12, 25), "accepted"),
    ],
)
def test_what_nobody_answered_expires_after_its_last_day(state: str, day: date, shown: str) -> None:
    assert state_as_of(state, date(2026, 12, 24), day) == shown


def test_a_paper_without_a_last_day_does_not_expire() -> None:
    assert state_as_of("issued", None, date(2099, 1, 1)) == "issued"


@given(events)
def test_every_state_and_event_has_words(happened: list[str]) -> None:
    assert all(event_in_words(event, {}) for event in happened)
    assert state_in_words(state_after(["issued", *happened]))


@pytest.mark.parametrize(
    ("event", "data", "words"),
    [
        ("issued", {"total": "1234.50"}, "issued for $1,234.50"),
        ("sent", {"to": "okonjo@example.com"}, "sent to okonjo@example.com"),
        ("opened", {}, "opened by the client"),
        ("declined", {"reason": "too dear"}, "declined: too dear"),
        ("superseded", {"by": 1002}, "replaced by number 1002"),
    ],
)
def test_the_history_says_what_happened(event: str, data: dict[str, object], words: str) -> None:
    assert event_in_words(event, data) == words
