"""Waits after wrong passwords."""

from datetime import timedelta

import pytest

from access.waits import wait_after, wait_in_words


@pytest.mark.parametrize(
    ("count", "seconds"), [(0, 0), (4, 0), (5, 15), (6, 30), (10, 480), (11, 900), (12, 900), (100_000, 900)]
)
def test_waits_double_up_to_a_quarter_of_an_hour(count: int, seconds: int) -> None:
    assert wait_after(count) == timedelta(seconds=seconds)


@pytest.mark.parametrize(
    ("wait", "words"),
    [
        (timedelta(milliseconds=1), "1 second"),
        (timedelta(seconds=14, milliseconds=2), "15 seconds"),
        (timedelta(seconds=89), "89 seconds"),
        (timedelta(seconds=89, milliseconds=1), "2 minutes"),
        (timedelta(minutes=15), "15 minutes"),
    ],
)
def test_a_wait_is_said_in_whole_seconds_or_minutes(wait: timedelta, words: str) -> None:
    assert wait_in_words(wait) == words
