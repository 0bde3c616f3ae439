"""A supplier's price file or a pasted list, in any order of columns: cells in, priced rows out. Pure.

Which column is which is guessed from the headings, chosen by him, and remembered by the headings.
"""

import csv
import io
import re
import zipfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from openpyxl import load_workbook
from openpyxl.utils.exceptions import InvalidFileException

from catalog.money.amounts import parse_price
from catalog.price_lists.csv_file import MOST_BYTES, UnreadablePriceList

MOST_ROWS = 5_000
MOST_COLUMNS = 40
LONGEST_CELL = 200
# What a column may be, in words, and the words in a heading that tell it.
ROLES: Mapping[str, tuple[str, str]] = {
    "code": ("Item number", r"sku|item ?(no|num|#|code)|^item$|part|code|number"),
    "words": ("What it is", r"desc|product|material|name|what"),
    "price": ("Price", r"price|cost|net|your|each|amount"),
    "unit": ("Sold by", r"unit|uom|u/m|sold|pack"),
}
NEEDED = ("words", "price")


@dataclass(frozen=True)
class Table:
    """The cells of a file: its headings, and the rows under them with the line of each."""

    headings: tuple[str, ...]
    rows: tuple[tuple[int, tuple[str, ...]], ...]

    @property
    def signature(self) -> str:
        """The headings as they are remembered."""
        return "|".join(heading.casefold() for heading in self.headings)


@dataclass(frozen=True)
class OfferedPrice:
    """A line of the file as it was read; `problem` says why it has no price."""

    line: int
    code: str
    words: str
    unit: str
    price: Decimal | None
    problem: str = ""

    @property
    def key(self) -> str:
        """What the line is remembered by: its number, else its words."""
        return (self.code or self.words).casefold()


def read_table(data: bytes) -> Table:
    """Return the cells of a CSV or XLSX file or of pasted text.

    Raises UnreadablePriceList with a sentence that says what to do.
    """
    if len(data) > MOST_BYTES:
        raise UnreadablePriceList("This file is larger than 2 MB. Split it and import one part at a time.")
    lines = _of_workbook(data) if data[:2] == b"PK" else _of_text(data)
    filled = [(number, row) for number, row in enumerate(lines, 1) if any(row)]
    if len(filled) < 2:
        raise UnreadablePriceList(
            "There is nothing to read: the first line names the columns, prices follow."
        )
    if len(filled) > MOST_ROWS:
        raise UnreadablePriceList(f"That is more than {MOST_ROWS:,} rows. Split it and import one part.")
    width = min(max(len(row) for _, row in filled), MOST_COLUMNS)
    cut = [(number, tuple((*row, *[""] * width)[:width])) for number, row in filled]
    headings = tuple(cell or f"column {place}" for place, cell in enumerate(cut[0][1], 1))
    return Table(headings, tuple(cut[1:]))


def _of_workbook(data: bytes) -> list[tuple[str, ...]]:
    try:
        sheet = load_workbook(io.BytesIO(data), read_only=True, data_only=True).active
        if sheet is None:
            raise UnreadablePriceList("This workbook has no sheet.")
        rows = sheet.iter_rows(max_row=MOST_ROWS + 1, max_col=MOST_COLUMNS, values_only=True)
        return [tuple(_tidy("" if cell is None else str(cell)) for cell in row) for row in rows]
    except (InvalidFileException, zipfile.BadZipFile, KeyError, ValueError, OSError) as error:
        raise UnreadablePriceList(
            "This workbook can't be read. In the spreadsheet choose Save as, then XLSX or CSV UTF-8."
        ) from error


def _of_text(data: bytes) -> list[tuple[str, ...]]:
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = data.decode("cp1252", errors="replace")
    if "\0" in text:
        raise UnreadablePriceList("This file isn't text. Choose a CSV or an XLSX file.")
    lines = text.splitlines()
    head = next((line for line in lines if line.strip()), "")
    separator = max("\t;,|", key=head.count)
    try:
        return [
            tuple(_tidy(cell) for cell in next(csv.reader([line], delimiter=separator), [])) for line in lines
        ]
    except csv.Error as error:
        raise UnreadablePriceList(f"This text can't be read: {error}.") from error


def _tidy(cell: str) -> str:
    return " ".join(cell.split())[:LONGEST_CELL]


def guess_columns(headings: Sequence[str]) -> dict[str, int]:
    """Return which column is likely what, by the words of the headings; each column once."""
    found: dict[str, int] = {}
    for role, (_, words) in ROLES.items():
        for place, heading in enumerate(headings):
            if place not in found.values() and re.search(words, heading, re.IGNORECASE):
                found[role] = place
                break
    return found


def offered_prices(table: Table, columns: Mapping[str, int]) -> list[OfferedPrice]:
    """Return the lines of a table by the columns chosen; a line twice in the file says so."""
    seen: dict[str, int] = {}
    offered = []
    for number, cells in table.rows:
        text = {role: cells[place] for role, place in columns.items() if place < len(cells)}
        price, problem = None, ""
        try:
            price = parse_price(text.get("price", ""))
        except ValueError as error:
            problem = str(error)
        row = OfferedPrice(
            number, text.get("code", ""), text.get("words", ""), text.get("unit", ""), price, problem
        )
        if not row.problem and row.key in seen:
            row = OfferedPrice(
                number, row.code, row.words, row.unit, price, f"Line {seen[row.key]} has the same item."
            )
        seen.setdefault(row.key, number)
        offered.append(row)
    return offered


def unit_question(unit: str, package: str) -> str:
    """Return a question where the file sells by something that the package's name doesn't have."""
    said = re.findall(r"[a-z]+", unit.casefold())
    known = package.casefold()
    if not said or any(word in known or word.rstrip("s") in known for word in said):
        return ""
    if set(said) & {"each", "ea", "pc", "piece", "unit"}:
        return ""
    return f"The file sells it by the {unit}; the package here is {package}."
