"""Hours as they are typed."""

from decimal import Decimal

import pytest

from catalog.measures.hours import (
    Span,
    UnreadableHours,
    parse_time_worked,
    spans_as_text,
    spans_from_text,
)


@pytest.mark.parametrize(
    ("typed", "hours"),
    [
        ("3", "3"),
        ("3.5", "3.5"),
        ("3 1/2", "3.5"),
        ("3-1/2", "3.5"),
        ("1/4", ".25"),
        ("3:30", "3.5"),
        ("1:20", "1.33"),
        ("2h", "2"),
        ("3 h 30 min", "3.5"),
        ("90 min", "1.5"),
    ],
)
def test_hours_are_read_as_they_are_said(typed: str, hours: str) -> None:
    assert parse_time_worked(typed).hours == Decimal(hours)


@pytest.mark.parametrize(
    ("typed", "kept", "hours"),
    [
        ("8-12, 12:30-4", "08:00-12:00 12:30-16:00", "7.5"),
        ("7:30 to 4pm", "07:30-16:00", "8.5"),
        ("1-5", "13:00-17:00", "4"),
        ("8-12, 1-5, 7-9", "08:00-12:00 13:00-17:00 19:00-21:00", "10"),
        ("5am-7am", "05:00-07:00", "2"),
        ("05:30-08:00", "05:30-08:00", "2.5"),
        ("10pm-12am", "22:00-24:00", "2"),
        ("13:15-14", "13:15-14:00", ".75"),
        ("8am to 12 and 12:30 to 4", "08:00-12:00 12:30-16:00", "7.5"),
    ],
)
def test_times_of_a_day_are_read_as_a_working_day(typed: str, kept: str, hours: str) -> None:
    worked = parse_time_worked(typed)
    assert (spans_as_text(worked.spans), worked.hours) == (kept, Decimal(hours))
    assert spans_from_text(kept) == worked.spans


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        ("a morning", "isn't hours"),
        ("3:75", "59 minutes"),
        ("3/0", "isn't a fraction"),
        ("0", "more than nothing"),
        ("-2", "more than nothing"),
        ("nan", "isn't hours"),
        ("1e999999", "isn't hours"),
        ("10pm-2am", "under each day"),
        ("8-12, 10am-11", "in front of it"),
        ("8-12, lunch", "isn't from one time to another"),
        ("8-25", "isn't from one time"),
        ("99-100", "isn't hours"),
    ],
)
def test_what_cannot_be_read_says_what_would_be_right(typed: str, message: str) -> None:
    with pytest.raises(UnreadableHours, match=message):
        parse_time_worked(typed)


def test_what_was_read_is_said_again() -> None:
    assert parse_time_worked("8-12, 12:30-4").in_words() == (
        "8:00 AM to 12:00 PM and 12:30 PM to 4:00 PM: 7.5 hours"
    )
    assert parse_time_worked("1").in_words() == "1 hour"


def test_times_overlap_where_a_minute_is_in_both() -> None:
    assert Span(480, 720).overlaps(Span(700, 800))
    assert not Span(480, 720).overlaps(Span(720, 800))
