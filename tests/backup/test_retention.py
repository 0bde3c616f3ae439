"""Nightly backups are thinned: 7 days, 5 weeks, 12 months and 10 years are kept, each by its newest."""

from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from backup.retention import days_to_keep

TODAY = date(2026, 11, 28)  # a Saturday


def nights(count: int) -> list[date]:
    return [TODAY - timedelta(days=night) for night in range(count)]


def test_every_night_for_three_years() -> None:
    kept = sorted(days_to_keep(nights(1100)), reverse=True)
    assert kept[:7] == nights(7)  # Saturday back to Sunday: with it begin the weeks
    assert kept[7:11] == [date(2026, 11, 15), date(2026, 11, 8), date(2026, 11, 1), date(2026, 10, 31)]
    assert date(2025, 12, 31) in kept
    assert date(2024, 12, 31) in kept
    assert date(2023, 12, 31) in kept
    assert len([day for day in kept if day.year == 2026]) == 7 + 3 + 10


@given(st.sets(st.integers(0, 5000), min_size=1).map(lambda ages: {TODAY - timedelta(days=a) for a in ages}))
def test_the_newest_always_stays_and_they_are_never_more_than_34(days: set[date]) -> None:
    kept = days_to_keep(days)
    assert max(days) in kept
    assert kept <= days
    assert len(kept) <= 34


@given(st.integers(8, 900))
def test_thinning_every_night_keeps_what_thinning_once_would(count: int) -> None:
    there: set[date] = set()
    for night in reversed(nights(count)):
        there = days_to_keep(there | {night})
    assert max(there) == TODAY
    assert set(nights(7)) <= there
