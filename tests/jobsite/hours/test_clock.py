"""What a clock that ran makes."""

from datetime import datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest

from catalog.measures.hours import Span
from jobsite.hours.clock import ClockTime

HERE = ZoneInfo("America/Chicago")
EIGHT = datetime(2026, 11, 24, 8, 5, tzinfo=HERE)


def test_a_clock_books_its_minutes_and_the_times_of_the_day() -> None:
    worked = ClockTime(EIGHT, EIGHT + timedelta(hours=3, minutes=40, seconds=50)).worked()
    assert worked is not None
    assert (worked.hours, worked.spans) == (Decimal("3.67"), (Span(485, 705),))


def test_less_than_a_minute_is_nothing() -> None:
    assert ClockTime(EIGHT, EIGHT + timedelta(seconds=59)).worked() is None


@pytest.mark.parametrize("ran", [timedelta(hours=10, minutes=1), timedelta(hours=14), timedelta(days=3)])
def test_a_clock_that_was_forgotten_books_nothing_in_silence(ran: timedelta) -> None:
    time = ClockTime(EIGHT, EIGHT + ran)
    assert time.was_forgotten
    with pytest.raises(ValueError, match="ask"):
        time.worked()


def test_a_clock_that_runs_past_midnight_is_asked_about_however_short_it_ran() -> None:
    late = EIGHT.replace(hour=23, minute=50)
    assert ClockTime(late, late + timedelta(minutes=20)).was_forgotten


def test_what_went_by_is_counted_where_the_clocks_are_changed() -> None:
    utc = ZoneInfo("UTC")
    before = datetime(2026, 11, 1, 5, 30, tzinfo=utc).astimezone(HERE)  # 12:30 AM; at 2:00 it is 1:00 again
    after = datetime(2026, 11, 1, 8, 30, tzinfo=utc).astimezone(HERE)
    assert ClockTime(before, after).minutes == 180
