"""A supplier's file in any order of columns, or pasted lines."""

import io
from decimal import Decimal

import pytest
from openpyxl import Workbook

from catalog.money.price_change import question_about
from catalog.money.price_index import PriceIndex
from catalog.price_lists.any_file import (
    guess_columns,
    offered_prices,
    read_table,
    unit_question,
)
from catalog.price_lists.csv_file import UnreadablePriceList

CSV = b"""SKU,Your price,Description,UOM
B-12,18.50,"Drywall, 1/2 in",sheet
,,,
B-13,x,Tape,roll
B-12,19,Twice,ea
"""


def test_columns_are_found_in_any_order_by_their_headings() -> None:
    table = read_table(CSV)
    assert guess_columns(table.headings) == {"code": 0, "price": 1, "words": 2, "unit": 3}


def test_each_line_is_read_and_what_is_wrong_with_one_is_said_of_it_alone() -> None:
    table = read_table(CSV)
    first, tape, twice = offered_prices(table, guess_columns(table.headings))
    assert (first.line, first.words, first.price, first.problem) == (
        2,
        "Drywall, 1/2 in",
        Decimal("18.50"),
        "",
    )
    assert "isn't a price" in tape.problem
    assert twice.problem == "Line 2 has the same item."


def test_a_workbook_reads_as_the_same_cells() -> None:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(["Price", "Item"])
    sheet.append([18.5, "Drywall"])
    kept = io.BytesIO()
    book.save(kept)
    table = read_table(kept.getvalue())
    (row,) = offered_prices(table, guess_columns(table.headings) | {"words": 1})
    assert (row.words, row.price) == ("Drywall", Decimal("18.50"))


def test_lines_pasted_with_tabs_are_read() -> None:
    table = read_table(b"Product\tPrice\nGrout, 25 lb\t$21.40\n")
    (row,) = offered_prices(table, guess_columns(table.headings))
    assert (row.words, row.price) == ("Grout, 25 lb", Decimal("21.40"))


@pytest.mark.parametrize("data", [b"", b"one line", b"PK\x03\x04 broken", b"a\0b\nc"])
def test_what_cant_be_read_is_refused_with_a_sentence(data: bytes) -> None:
    with pytest.raises(UnreadablePriceList, match=r"\w{4}.*\."):
        read_table(data)


@pytest.mark.parametrize(
    ("old", "new", "asked"),
    [
        ("30", "40", ""),
        ("30", "40.01", "$40.01 is 33% more than $30.00"),
        ("30", "20", ""),
        ("30", "19.99", "33% less"),
    ],
)
def test_a_change_of_more_than_a_third_is_asked_about(old: str, new: str, asked: str) -> None:
    question = question_about(Decimal(old), Decimal(new))
    assert asked in question
    assert bool(question) is bool(asked)


@pytest.mark.parametrize(
    ("unit", "package", "asks"),
    [
        ("sheet", "sheet", False),
        ("gal", "gallon", False),
        ("EA", "pail, 4.5 gal", False),
        ("case", "one", True),
    ],
)
def test_a_unit_that_the_package_does_not_have_is_asked_about(unit: str, package: str, asks: bool) -> None:
    assert bool(unit_question(unit, package)) is asks


def test_an_index_moves_a_price_by_what_it_has_done_and_says_so() -> None:
    index = PriceIndex("WPU1371", Decimal("310.2"), "Nov 2025", Decimal("333.4"), "Oct 2026")
    # 18.50 x 333.4 / 310.2 = 19.8836
    assert index.moved(Decimal("18.50")) == Decimal("19.88")
    assert index.in_words() == "WPU1371: 310.2 in Nov 2025, 333.4 in Oct 2026"
