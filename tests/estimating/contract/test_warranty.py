from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimating.contract.warranty import last_day, promise, term_in_words


@pytest.mark.parametrize(
    ("begins", "months", "ends"),
    [
        (date(2026, 3, 10), 12, date(2027, 3, 10)),
        (date(2026, 1, 31), 1, date(2026, 2, 28)),
        (date(2024, 1, 31), 1, date(2024, 2, 29)),
        (date(2024, 2, 29), 12, date(2025, 2, 28)),
        (date(2026, 8, 31), 6, date(2027, 2, 28)),
        (date(2026, 12, 31), 2, date(2027, 2, 28)),
    ],
)
def test_a_month_ends_on_the_day_of_the_same_number_or_on_its_last(
    begins: date, months: int, ends: date
) -> None:
    assert last_day(begins, months) == ends


@given(st.dates(date(2000, 1, 1), date(2100, 12, 31)), st.integers(0, 240))
def test_a_longer_term_never_ends_earlier_and_a_later_day_never_sooner(begins: date, months: int) -> None:
    assert last_day(begins, months) < last_day(begins, months + 1)
    assert last_day(begins, months) <= last_day(begins + timedelta(days=1), months)


def test_the_terms_say_whole_years_as_years_and_nothing_for_no_months() -> None:
    assert (term_in_words(12), term_in_words(24), term_in_words(18), term_in_words(1)) == (
        "1 year",
        "2 years",
        "18 months",
        "1 month",
    )
    assert promise(0) == ([], {})
    assert promise(12)[1] == {"warranty_months": 12}
