"""The days of 40 CFR 745.84 and 745.86, as the agency's answers and the rule's text give them."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobsite.permits.lead import LeadDays, kept_until, lead_faults, record_due
from jobsite.permits.lead_papers import CHECKS

BEGINS = date(2026, 3, 2)
DAYS = st.dates(date(2020, 1, 1), date(2040, 12, 31))


def fault(given: date | None, mailed: bool = False, begins: date | None = BEGINS) -> str:
    return " ".join(lead_faults(LeadDays(begins, given, mailed)))


@pytest.mark.parametrize("before", [0, 1, 60])
def test_a_pamphlet_handed_over_up_to_60_days_before_is_in_time(before: int) -> None:
    assert fault(BEGINS - timedelta(days=before)) == ""


def test_61_days_before_is_too_early_and_the_first_right_day_is_named() -> None:
    said = fault(BEGINS - timedelta(days=61))
    assert "61 days" in said
    assert "Thu 1 Jan 2026 or later" in said


def test_after_the_work_began_is_too_late() -> None:
    assert "it has to come first" in fault(BEGINS + timedelta(days=1))


def test_after_the_work_ended_is_too_late_whatever_day_was_planned() -> None:
    ended = BEGINS - timedelta(days=9)
    for begins in (BEGINS, None):
        said = " ".join(lead_faults(LeadDays(begins, BEGINS - timedelta(days=2), ended_on=ended)))
        assert "it has to come first" in said


@pytest.mark.parametrize(("before", "in_time"), [(7, True), (6, False)])
def test_mailed_it_goes_7_days_before(before: int, in_time: bool) -> None:
    said = fault(BEGINS - timedelta(days=before), mailed=True)
    assert (said == "") == in_time
    assert in_time or "begins on Tue 3 Mar 2026 at the earliest" in said


def test_a_pamphlet_not_given_is_asked_for_by_the_day_of_the_work() -> None:
    assert "by Mon 2 Mar 2026" in fault(None)
    assert fault(None, begins=None) == ""


@given(DAYS)
def test_the_record_comes_30_days_after_the_end_at_the_latest(ended: date) -> None:
    assert record_due(ended) == ended + timedelta(days=30)


@given(DAYS)
def test_records_are_kept_three_years_and_not_a_day_less(ended: date) -> None:
    until = kept_until(ended)
    assert until.year == ended.year + 3
    assert (until.month, until.day) == (
        (3, 1) if (ended.month, ended.day) == (2, 29) else (ended.month, ended.day)
    )


def test_each_check_has_one_code() -> None:
    codes = [code for checks in CHECKS.values() for code, _ in checks]
    assert len(codes) == len(set(codes)) > 10
