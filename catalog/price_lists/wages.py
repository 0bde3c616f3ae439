"""Published wages by occupation and area, as the Occupational Employment and Wage Statistics (OEWS) of the
U.S. Bureau of Labor Statistics print them: cells in, wages out. Pure.

Columns as the public data package `oews2020` describes those of the Bureau (rdrr.io/cran/oews2020):
AREA_TITLE, I_GROUP, OCC_CODE, OCC_TITLE, H_MEDIAN, H_PCT10, H_PCT90 and others, wages in dollars an hour. A
wage that isn't published is a sign ("*", "#") and is read as none.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation

from catalog.money.amounts import round_cents
from catalog.price_lists.any_file import Table

# Codes and titles of the Standard Occupational Classification, 2018.
OCCUPATIONS = {
    "47-2031": "Carpenters",
    "47-2042": "Floor Layers, Except Carpet, Wood, and Hard Tiles",
    "47-2044": "Tile and Stone Setters",
    "47-2061": "Construction Laborers",
    "47-2081": "Drywall and Ceiling Tile Installers",
    "47-2082": "Tapers",
    "47-2141": "Painters, Construction and Maintenance",
}
NEEDED = ("AREA_TITLE", "OCC_CODE", "H_MEDIAN")
MOST = 1000  # dollars an hour
LONGEST = 120  # letters of an area or an occupation
_SIGNS = ("", "*", "**", "#")  # not published, or above what is


class UnreadableWages(ValueError):
    """No wages can be read from a table; the message says in a plain sentence what would be right."""


@dataclass(frozen=True)
class PublishedWage:
    """What an hour of an occupation is paid in an area: the median, and between which wages four of five lie.

    In dollars, without what an employer pays on top; None where it isn't published.
    """

    area: str
    code: str
    title: str
    median: Decimal | None
    low: Decimal | None  # one in ten is paid less
    high: Decimal | None  # one in ten is paid more


def read_wages(table: Table) -> list[PublishedWage]:
    """Return the wages of OCCUPATIONS in a table with the rows of one area.

    Rows of single industries are left out where the table tells them apart. Raises UnreadableWages.
    """
    places = {heading.strip().upper(): place for place, heading in enumerate(table.headings)}
    if lacking := [name for name in NEEDED if name not in places]:
        raise UnreadableWages(
            f"The first line has no column {', '.join(lacking)}. Copy the rows with their headings."
        )

    def cell(cells: Sequence[str], name: str) -> str:
        place = places.get(name)
        return cells[place].strip() if place is not None and place < len(cells) else ""

    rows = [
        (number, cells)
        for number, cells in table.rows
        if cell(cells, "OCC_CODE") in OCCUPATIONS
        and cell(cells, "I_GROUP").casefold() in ("", "cross-industry")
    ]
    if not rows:
        raise UnreadableWages(f"None of the rows is of {', '.join(OCCUPATIONS)}. Keep the rows of those.")
    areas = list(dict.fromkeys(cell(cells, "AREA_TITLE") for _, cells in rows))
    if len(areas) > 1:
        raise UnreadableWages(
            f"The rows are of {len(areas)} areas, {areas[0]} and {areas[1]} among them: keep those of yours."
        )
    if any(len(cell(cells, name)) > LONGEST for _, cells in rows for name in ("AREA_TITLE", "OCC_TITLE")):
        raise UnreadableWages(f"A name in the rows has more than {LONGEST} letters: shorten it.")
    codes = [cell(cells, "OCC_CODE") for _, cells in rows]
    if twice := next((code for code in codes if codes.count(code) > 1), ""):
        raise UnreadableWages(f"{twice} stands in several rows: keep the one of all industries.")
    return [
        PublishedWage(
            areas[0],
            cell(cells, "OCC_CODE"),
            cell(cells, "OCC_TITLE") or OCCUPATIONS[cell(cells, "OCC_CODE")],
            *(_wage(cell(cells, name), number) for name in ("H_MEDIAN", "H_PCT10", "H_PCT90")),
        )
        for number, cells in rows
    ]


def _wage(text: str, line: int) -> Decimal | None:
    if text in _SIGNS:
        return None
    try:
        wage = Decimal(text.replace(",", "").removeprefix("$"))
        is_wage = 0 < wage < MOST
    except InvalidOperation:
        is_wage = False
    if not is_wage:
        raise UnreadableWages(f"Line {line}: “{text}” is no wage of an hour, such as 27.40.")
    return round_cents(wage)
