"""A diary by days."""

from datetime import date
from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from jobsite.diary.pages import Entry, by_days

MON, TUE = date(2026, 3, 2), date(2026, 3, 3)


def test_days_come_newest_first_and_their_entries_in_the_order_of_writing() -> None:
    days = by_days([Entry(2, MON, "After"), Entry(3, TUE, "Next day"), Entry(1, MON, "Before")])
    assert [(day.on, [entry.says for entry in day.entries]) for day in days] == [
        (TUE, ["Next day"]),
        (MON, ["Before", "After"]),
    ]


def test_a_day_says_what_is_known_of_it_anyway_and_no_other_day_is_made_of_that() -> None:
    (day,) = by_days(
        [Entry(1, MON, "Tile")],
        hours=[(MON, Decimal("6.50")), (TUE, Decimal(7))],
        events=[(MON, "Dumpster"), (MON, "Rough wiring (Passed)"), (TUE, "Counter")],
    )
    assert day.known == ["6.5 h worked", "Dumpster and Rough wiring (Passed)"]


@given(st.lists(st.dates(date(2026, 1, 1), date(2026, 1, 9))))
def test_no_entry_is_lost(days: list[date]) -> None:
    entries = [Entry(key, on, "") for key, on in enumerate(days)]
    shown = by_days(entries)
    assert sorted(entry.key for day in shown for entry in day.entries) == list(range(len(days)))
    assert len({day.on for day in shown}) == len(shown)
