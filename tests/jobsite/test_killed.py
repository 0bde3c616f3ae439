"""A clock, and a photo on its way, in a server that is killed."""

from collections.abc import Callable
from typing import Any

import pytest

pytestmark = pytest.mark.django_db(transaction=True)


def test_a_kill_loses_no_clock_that_was_started_and_no_hours_that_were_stopped(
    in_processes: Callable[[str, str], Any],
) -> None:
    """At each step of stopping either the clock still runs or its hours are kept: never both, never none."""
    left = in_processes("tests.jobsite.clock_process", "kill")
    assert left["survived_start"]
    assert left["running"] == [1, 0]
    assert left["left"] == ["[0, 1]", "[1, 0]"]


def test_a_kill_while_a_photo_comes_in_loses_nothing_that_was_acknowledged(
    in_processes: Callable[[str, str], Any],
) -> None:
    """At each step the receipt is kept with its photo or not at all, and what is sent again is kept once."""
    left = in_processes("tests.jobsite.clock_process", "photo")
    assert left["survived"] == left["again"] == [1, 1]
    assert left["left"] == ["[0, 0]", "[1, 1]"]
    assert left["steps"] > 3
