"""Published wages are read from the rows of one area; figures are invented, columns as published.

Columns: the public data package oews2020 (rdrr.io/cran/oews2020), which describes those of the Bureau.
"""

from decimal import Decimal

import pytest

from catalog.price_lists.any_file import read_table
from catalog.price_lists.wages import PublishedWage, UnreadableWages, read_wages

HEAD = "AREA\tAREA_TITLE\tNAICS\tI_GROUP\tOCC_CODE\tOCC_TITLE\tH_MEAN\tH_PCT10\tH_MEDIAN\tH_PCT90"
TILE = "99\tFennimore Falls\t000000\tcross-industry\t47-2044\tTile and Stone Setters\t26.1\t17.5\t25\t38.25"
PAINT = "99\tFennimore Falls\t000000\tcross-industry\t47-2141\tPainters\t*\t*\t*\t#"
OF_ONE_INDUSTRY = TILE.replace("cross-industry", "sector").replace("\t25\t", "\t99\t")
OTHER_AREA = PAINT.replace("Fennimore Falls", "Cooper County")


def read(*rows: str, head: str = HEAD) -> list[PublishedWage]:
    return read_wages(read_table("\n".join((head, *rows)).encode()))


def test_wages_of_the_firms_occupations_are_read_and_a_sign_is_no_wage() -> None:
    lawyer = TILE.replace("47-2044", "23-1011")
    tile, paint = read(lawyer, OF_ONE_INDUSTRY, TILE, PAINT)
    assert tile == PublishedWage(
        "Fennimore Falls",
        "47-2044",
        "Tile and Stone Setters",
        Decimal("25.00"),
        Decimal("17.50"),
        Decimal("38.25"),
    )
    assert (paint.median, paint.low, paint.high) == (None, None, None)


def test_columns_may_stand_in_any_order() -> None:
    (wage,) = read("25,47-2044,Fennimore Falls", head="h_median,occ_code,area_title")
    assert (wage.title, wage.median, wage.low) == ("Tile and Stone Setters", Decimal("25.00"), None)


@pytest.mark.parametrize(
    ("rows", "head", "sentence"),
    [
        ([TILE], HEAD.replace("H_MEDIAN", "MEDIAN"), "has no column H_MEDIAN"),
        ([TILE.replace("47-2044", "23-1011")], HEAD, "None of the rows is of 47-2031"),
        ([TILE, OTHER_AREA], HEAD, "The rows are of 2 areas, Fennimore Falls and Cooper County among them"),
        ([TILE, TILE], HEAD, "47-2044 stands in several rows"),
        ([TILE.replace("\t25\t", "\tmuch\t")], HEAD, "Line 2: “much” is no wage"),
        ([TILE.replace("\t25\t", "\tNaN\t")], HEAD, "Line 2: “NaN” is no wage"),
        ([TILE.replace("\t25\t", "\t52000\t")], HEAD, "Line 2: “52000” is no wage"),
        ([TILE.replace("Fennimore Falls", "F" * 121)], HEAD, "has more than 120 letters"),
    ],
)
def test_what_cannot_be_read_is_said(rows: list[str], head: str, sentence: str) -> None:
    with pytest.raises(UnreadableWages, match=sentence):
        read(*rows, head=head)
