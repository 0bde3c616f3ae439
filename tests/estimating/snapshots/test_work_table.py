"""The table of an estimate, from snapshots of every kind, and from those that were issued before it."""

from decimal import Decimal
from typing import Any

import pytest

from estimating.snapshots.estimate import estimate_snapshot
from estimating.snapshots.short_cautions import short_cautions
from estimating.snapshots.work_table import phase_sums, work_table
from tests.estimating.plain_kitchen import kitchen, kitchen_words

NEW_KEYS = ("scope_by", "summary", "letter", "on_site", "plan")


def snapshot(**words: Any) -> dict[str, Any]:
    return estimate_snapshot(kitchen_words(**words), kitchen())


def as_before(snapshot: dict[str, Any]) -> dict[str, Any]:
    """The same without the keys that came with the table."""
    prices = [{key: value for key, value in row.items() if key != "phase"} for row in snapshot["prices"]]
    return {key: value for key, value in snapshot.items() if key not in NEW_KEYS} | {"prices": prices}


def shown(snapshot: dict[str, Any]) -> Decimal:
    return sum(
        (Decimal(row.price) for group in work_table(snapshot) for row in group.rows if row.price), Decimal()
    )


@pytest.mark.parametrize("scope_by", ["work", "room"])
def test_every_price_stands_once_and_all_sum_to_the_subtotal(scope_by: str) -> None:
    plain = snapshot(detail="line", scope_by=scope_by)
    subtotal = sum(Decimal(row["price"]) for row in plain["prices"])
    assert shown(plain) == shown(as_before(plain)) == subtotal
    assert sum(price for _, price in phase_sums(plain)) == subtotal


def test_phases_have_their_sums_also_on_papers_from_before() -> None:
    for plain in (snapshot(detail="line"), as_before(snapshot(detail="line"))):
        assert all(
            Decimal(group.price) == sum(Decimal(row.price) for row in group.rows)
            for group in work_table(plain)
        )


def test_by_phase_only_phases_are_priced() -> None:
    plain = snapshot(detail="phase")
    groups = work_table(plain)
    assert [(group.heading, group.price) for group in groups] == [
        (row["label"], row["price"]) for row in plain["prices"]
    ]
    assert not any(row.price for group in groups for row in group.rows)


def test_a_lump_sum_tells_no_phase_and_no_line() -> None:
    plain = snapshot(detail="total")
    *work, whole = work_table(plain)
    assert whole.price == plain["prices"][-1]["price"]
    assert not any(group.price or any(row.price for row in group.rows) for group in work)
    assert phase_sums(plain) == []


def test_cautions_with_one_ending_say_it_once_and_name_lines_by_number() -> None:
    cautions = [
        {"text": "Gas is shut off; local code and licensed practice decide.", "work": "Hang and Tape"},
        {"text": "Power is off; local code and licensed practice decide.", "work": "Tape"},
    ]
    work = [{"number": "3", "title": "Hang"}, {"number": "7", "title": "Tape"}]
    short = short_cautions({"cautions": cautions, "scope": [{"work": work}]})
    assert [(row.text, row.lines) for row in short.rows] == [
        ("Gas is shut off.", "lines 3, 7"),
        ("Power is off.", "line 7"),
    ]
    assert short.shared == "Local code and licensed practice decide in all of these."
