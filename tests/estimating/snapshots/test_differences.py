"""What a revised estimate says that it changes."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from catalog.money.markup import Markup
from estimating.estimates.draft import Draft
from estimating.snapshots.differences import ListedItem, RepricedItem, Revision, compare, with_line_prices
from estimating.snapshots.estimate import estimate_snapshot
from estimating.snapshots.price_basis import estimate_basis
from estimating.takeoff.work import Work
from tests.estimating.plain_kitchen import kitchen, kitchen_words, kitchen_work

WASH = Work("wash", "Wash the windows", "close", extra_hours=Fraction(1))


def snapshot_of(draft: Draft | None = None, **words: Any) -> dict[str, Any]:
    return estimate_snapshot(kitchen_words(**words), draft or kitchen())


def without(key: str) -> tuple[Work, ...]:
    return tuple(work for work in kitchen_work() if work.key != key)


def changed(key: str, **values: Any) -> tuple[Work, ...]:
    return tuple(replace(work, **values) if work.key == key else work for work in kitchen_work())


def labels(items: Iterable[ListedItem]) -> list[str]:
    return [item.label for item in items]


def test_the_same_paper_changes_nothing() -> None:
    assert not compare(snapshot_of(), snapshot_of())


def test_added_work_is_named_with_its_price() -> None:
    revision = compare(snapshot_of(), snapshot_of(kitchen((*kitchen_work(), WASH))))
    # an hour at 70.00 with a margin of 12.5 %
    assert [(item.label, item.price) for item in revision.added] == [("Wash the windows", "80.00")]
    assert (revision.dropped, revision.repriced, revision.reworded) == ((), (), ())
    assert Decimal(revision.total_after) - Decimal(revision.total_before) == Decimal("80.00")


def test_dropped_work_is_named_with_the_price_it_had() -> None:
    revision = compare(snapshot_of(), snapshot_of(kitchen(without("clean"))))
    assert [(item.label, item.price) for item in revision.dropped] == [
        ("Clean up every day and at the end", "640.00")
    ]
    assert labels(revision.added) == []


def test_work_that_comes_to_more_is_repriced() -> None:
    revision = compare(snapshot_of(), snapshot_of(kitchen(changed("clean", extra_hours=Fraction(10)))))
    assert revision.repriced == (RepricedItem("Clean up every day and at the end", "640.00", "800.00"),)


def test_numbers_that_move_up_are_no_change_of_the_work_after() -> None:
    revision = compare(snapshot_of(), snapshot_of(kitchen(without("protect"))))
    assert labels(revision.dropped) == ["Protect floors and put up a dust barrier"]
    assert revision.reworded == ()


def test_of_two_works_with_one_name_one_can_go() -> None:
    twice = (*kitchen_work(), WASH, replace(WASH, key="wash again"))
    revision = compare(snapshot_of(kitchen(twice)), snapshot_of(kitchen(twice[:-1])))
    assert labels(revision.dropped) == ["Wash the windows"]


@pytest.mark.parametrize("detail", ["total", "phase"])
def test_no_price_of_a_single_work_gets_out_where_the_client_sees_none(detail: str) -> None:
    revision = compare(
        snapshot_of(detail=detail), snapshot_of(kitchen((*kitchen_work(), WASH)), detail=detail)
    )
    assert [(item.label, item.price) for item in revision.added] == [("Wash the windows", "")]
    assert len(revision.repriced) == 1


def test_a_phase_that_is_new_has_nothing_before() -> None:
    rough = Work("joist", "Sister a joist", "rough", extra_hours=Fraction(2))
    revision = compare(
        snapshot_of(detail="phase"), snapshot_of(kitchen((*kitchen_work(), rough)), detail="phase")
    )
    less_of_a_visit = RepricedItem("Clean-up and punch", "1205.60", "1183.20")  # 2 h of 7 fill 0.28 of a day
    assert revision.repriced == (less_of_a_visit, RepricedItem("Rough carpentry", "", "160.00"))


def test_the_firm_sees_every_line_where_the_client_sees_the_total() -> None:
    old, new = kitchen(), kitchen(changed("clean", extra_hours=Fraction(10)))
    revision = compare(
        with_line_prices(snapshot_of(old, detail="total"), estimate_basis(old)),
        with_line_prices(snapshot_of(new, detail="total"), estimate_basis(new)),
    )
    assert revision.repriced == (RepricedItem("Clean up every day and at the end", "640.00", "800.00"),)


def test_the_lines_of_the_firm_are_those_that_the_client_could_see() -> None:
    seen = [{name: row[name] for name in ("number", "label", "price")} for row in snapshot_of()["prices"]]
    assert with_line_prices(snapshot_of(detail="total"), estimate_basis(kitchen()))["prices"] == seen


def test_an_option_that_becomes_work_is_dropped_and_added() -> None:
    revision = compare(snapshot_of(), snapshot_of(kitchen(changed("skim", is_option=False))))
    assert labels(revision.dropped) == ["Option: Skim walls A and B smooth, Level 5"]
    assert labels(revision.added) == ["Skim walls A and B smooth, Level 5"]


def test_sales_tax_that_moves_is_repriced() -> None:
    old = kitchen(tax_policy="everything", tax_rate=Fraction("0.05"))
    new = kitchen(tax_policy="everything", tax_rate=Fraction("0.06"))
    assert [item.label for item in compare(snapshot_of(old), snapshot_of(new)).repriced] == ["Sales tax"]


@pytest.mark.parametrize(
    ("words", "named"),
    [
        ({"terms": "All of it at the end."}, "Terms"),
        ({"exclusions": "Permits"}, "Not included"),
        ({"left_as_is": "The window"}, "Existing to remain"),
        ({"assumptions": "Water is off."}, "Assumptions"),
        ({"valid_to": date(2026, 12, 31)}, "Names, addresses or dates"),
        ({"detail": "total"}, "How prices are shown"),
    ],
)
def test_words_that_read_otherwise_are_named(words: dict[str, Any], named: str) -> None:
    revision = compare(snapshot_of(), snapshot_of(**words))
    assert revision.reworded == (named,)
    assert (revision.added, revision.dropped, revision.repriced) == ((), (), ())


def test_work_described_otherwise_is_named() -> None:
    revision = compare(snapshot_of(), snapshot_of(kitchen(changed("clean", scope="Broom clean."))))
    assert revision.reworded == ("Clean up every day and at the end",)


def test_on_paper_many_new_prices_are_counted_and_not_listed() -> None:
    dearer = kitchen(labor=Markup(Decimal(20), "margin"))
    revision = compare(snapshot_of(), snapshot_of(dearer))
    shown = revision.snapshot("1001", "2026-11-24")
    assert shown["repriced"] == []
    assert shown["repriced_count"] == f"{len(revision.repriced)}"


def test_on_paper_a_few_new_prices_are_listed() -> None:
    revision = Revision((), (), (RepricedItem("Paint", "10.00", "12.00"),), (), "10.00", "12.00")
    shown = revision.snapshot("1001", "2026-11-24")
    assert shown["repriced"] == [{"label": "Paint", "before": "10.00", "after": "12.00"}]
    assert shown["repriced_count"] == ""
