"""A date that doesn't fit what was noted before is asked about."""

from datetime import date

import pytest

from estimating.events.clock import date_in_doubt, dates_that_run_backward

LAST = date(2026, 11, 3)


@pytest.mark.parametrize("today", [LAST, date(2026, 11, 4), date(2027, 11, 3)])
def test_a_day_up_to_a_year_after_the_last_event_fits(today: date) -> None:
    assert date_in_doubt(today, LAST, today) == ""


@pytest.mark.parametrize(
    ("today", "said"), [(date(2025, 11, 3), "Mon 3 Nov 2025"), (date(2026, 11, 2), "Mon 2 Nov 2026")]
)
def test_a_day_before_the_last_event_is_asked_about(today: date, said: str) -> None:
    assert date_in_doubt(today, LAST, today) == (
        "The last thing noted of your papers is of Tue 3 Nov 2026; "
        f"this machine says it is {said}. Is that right?"
    )


def test_a_day_more_than_a_year_after_the_last_event_is_asked_about() -> None:
    assert "says it is Thu 4 Nov 2027. Is that right?" in date_in_doubt(date(2027, 11, 4), LAST, None)


@pytest.mark.parametrize("today", [date(2025, 11, 2), date(2027, 11, 4)])
def test_before_any_paper_a_day_more_than_a_year_from_the_last_sign_in_is_asked_about(today: date) -> None:
    assert date_in_doubt(today, None, LAST).startswith("You last signed in on Tue 3 Nov 2026; this machine")


def test_a_first_paper_before_any_sign_in_is_not_asked_about() -> None:
    assert date_in_doubt(LAST, None, None) == ""


def test_dates_that_run_backward_are_told_with_both_their_events() -> None:
    days = [(1, date(2026, 11, 1)), (2, LAST), (3, date(2025, 11, 3)), (4, LAST), (5, LAST)]
    assert list(dates_that_run_backward(days)) == [
        "Event 3 is dated Mon 3 Nov 2025, before event 2 of Tue 3 Nov 2026: "
        "the machine's clock was wrong at one of them."
    ]
