"""Materials and prices as a CSV file (RFC 4180, UTF-8): text in, rows and refusals out, and back.

Pure: `import_export` writes the rows to the catalog. A wrong row stops no other; each row is on one line,
so that a quote mark that never closes can't swallow the rows after it.
"""

import csv
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal
from typing import TypeVar

from catalog.measures.lengths import shortened
from catalog.measures.units import canonical_unit
from catalog.money.amounts import parse_price
from catalog.price_lists.spreadsheet import unescaped, write_csv

COLUMNS = ("material", "unit", "kind", "taxable", "package", "holds", "price", "supplier", "price date")
NEEDED = ("material", "unit")
MOST_BYTES = 2 * 1024 * 1024
MOST_ROWS = 20_000
MOST_HELD = Decimal(10_000_000)
PLACES_HELD = 4
LONGEST = {"material": 120, "package": 80, "supplier": 120}

KINDS = {
    "": "material",
    "material": "material",
    "equipment": "equipment",
    "equipment or rental": "equipment",
    "rental": "equipment",
    "subcontract": "subcontract",
}
YES_NO = {"": True, "yes": True, "y": True, "true": True, "1": True} | dict.fromkeys(
    ("no", "n", "false", "0"), False
)
_NUMBER = re.compile(r"\d{1,9}(?:\.\d*)?|\d{1,3}(?:,\d{3})+(?:\.\d*)?|\.\d+", re.ASCII)
_DATE_FORMATS = ("%Y-%m-%d", "%m/%d/%Y", "%m/%d/%y")
_Meaning = TypeVar("_Meaning")


class UnreadablePriceList(ValueError):
    """The whole file can't be used; the message says in a plain sentence what to do."""


class RefusedRow(ValueError):
    """This row can't be imported; the message says in a plain sentence why."""


@dataclass(frozen=True)
class PriceRow:
    """A material and, where the row names one, a package of it. The headings are line 1 of the file."""

    line: int
    material: str
    unit: str
    kind: str = "material"
    taxable: bool = True
    package: str = ""
    holds: Decimal = Decimal(0)
    price: Decimal = Decimal(0)
    supplier: str = ""
    priced_on: date | None = None


@dataclass(frozen=True)
class Refusal:
    """A row that wasn't imported, as it was typed, with the reason."""

    line: int
    cells: tuple[str, ...]
    reason: str


@dataclass(frozen=True)
class PriceList:
    """The contents of a file. `cells` are those of each line; `skipped` are the headings that aren't read."""

    headings: tuple[str, ...]
    rows: tuple[PriceRow, ...]
    cells: Mapping[int, tuple[str, ...]]
    refusals: tuple[Refusal, ...]
    skipped: tuple[str, ...] = ()


def read_price_list(data: bytes, today: date) -> PriceList:
    """Read a file; rows that can't be used are among its refusals.

    Raises UnreadablePriceList where the file is too large, isn't UTF-8, or has no usable headings.
    """
    if len(data) > MOST_BYTES:
        raise UnreadablePriceList("This file is larger than 2 MB. Split it and import one part at a time.")
    lines = _lines(data)
    if not lines:
        raise UnreadablePriceList("This file is empty.")
    separator = max(",;\t", key=lines[0].count)
    headings = _headings(lines[0], separator)
    if len(lines) - 1 > MOST_ROWS:
        raise UnreadablePriceList(
            f"This file has {len(lines) - 1:,} rows, and {MOST_ROWS:,} is the most. Split it and import one "
            "part at a time."
        )
    rows: list[PriceRow] = []
    cells: dict[int, tuple[str, ...]] = {}
    refusals: list[Refusal] = []
    seen: dict[tuple[str, str, str], int] = {}
    for line, text in enumerate(lines[1:], start=2):
        if not text.strip(separator + " \t"):
            continue
        try:
            cells[line] = _cells(text, separator)
            row = _row(line, headings, cells[line], today)
            _refuse_repeated(row, seen)
            rows.append(row)
        except ValueError as error:
            refusals.append(Refusal(line, cells.get(line, (text,)), str(error)))
    skipped = tuple(heading for heading in headings if heading and heading not in COLUMNS)
    return PriceList(headings, tuple(rows), cells, tuple(refusals), skipped)


def _lines(data: bytes) -> list[str]:
    if data[:2] in (b"\xff\xfe", b"\xfe\xff") or b"\0" in data:
        raise UnreadablePriceList(_WRONG_ENCODING)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise UnreadablePriceList(_WRONG_ENCODING) from error
    lines = re.split(r"\r\n|\n|\r", text)
    while lines and not lines[-1].strip():
        lines.pop()
    return lines


_WRONG_ENCODING = (
    "This file isn't text in UTF-8. In the spreadsheet choose Save as, then CSV UTF-8, and import that file."
)


def _headings(line: str, separator: str) -> tuple[str, ...]:
    try:
        headings = tuple(" ".join(cell.lower().split()) for cell in _cells(line, separator))
    except RefusedRow as error:
        raise UnreadablePriceList(f"The first line can't be read: {error}") from error
    for name in COLUMNS:
        if headings.count(name) > 1:
            raise UnreadablePriceList(f"The first line names the column {name} twice. Keep one of them.")
    if missing := [name for name in NEEDED if name not in headings]:
        raise UnreadablePriceList(
            f"The first line must name the columns, and {' and '.join(missing)} isn't there. "
            f"The names are: {', '.join(COLUMNS)}."
        )
    return headings


def _cells(line: str, separator: str) -> tuple[str, ...]:
    try:
        cells = next(csv.reader([line], delimiter=separator, strict=True), [])
    except csv.Error as error:
        raise RefusedRow(
            "A quote mark in this line is out of place or never closes. A quote mark inside a cell is "
            'written twice: "".'
        ) from error
    return tuple(unescaped(cell) for cell in cells)


def _row(line: int, headings: Sequence[str], cells: Sequence[str], today: date) -> PriceRow:
    """Read one row. Raises RefusedRow, or the ValueError of the rule that read a cell."""
    if len(cells) > len(headings):
        raise RefusedRow("This row has more cells than there are columns: put a cell with a comma in quotes.")
    cell = {name: " ".join(text.split()) for name, text in zip(headings, cells, strict=False)}
    for name, longest in LONGEST.items():
        if len(cell.get(name, "")) > longest:
            raise RefusedRow(f"The {name} has more than {longest} characters.")
    if not cell.get("material"):
        raise RefusedRow("No material is named.")
    if not cell.get("unit"):
        raise RefusedRow("No unit is named: say what the material is counted in, such as gal or each.")
    material = PriceRow(
        line,
        cell["material"],
        canonical_unit(cell["unit"]),
        _meaning(KINDS, cell, "kind", "material, equipment or subcontract"),
        _meaning(YES_NO, cell, "taxable", "yes or no"),
    )
    return _with_package(material, cell, today)


def _with_package(material: PriceRow, cell: Mapping[str, str], today: date) -> PriceRow:
    """Return the row with the package that its cells name, or as it is where they name none."""
    name, holds, price = cell.get("package", ""), cell.get("holds", ""), cell.get("price", "")
    if not (name or holds or price):
        return material
    if not (name and holds and price):
        raise RefusedRow("A package needs its name, how much it holds, and its price: fill in all three.")
    return replace(
        material,
        package=name,
        holds=_size(holds),
        price=parse_price(price),
        supplier=cell.get("supplier", ""),
        priced_on=_price_date(cell.get("price date", ""), today),
    )


def _meaning(meanings: Mapping[str, _Meaning], cell: Mapping[str, str], name: str, right: str) -> _Meaning:
    """Return what the word in a cell means. Raises RefusedRow for a word that has no meaning there."""
    typed = cell.get(name, "")
    if typed.lower() not in meanings:
        raise RefusedRow(f"{shortened(typed)} can't stand under {name}: write {right}.")
    return meanings[typed.lower()]


def _size(text: str) -> Decimal:
    if not _NUMBER.fullmatch(text):
        raise RefusedRow(
            f"{shortened(text)} isn't what a package can hold: write a number above 0, such as 5 or 2.5."
        )
    size = Decimal(text.replace(",", ""))
    if not 0 < size <= MOST_HELD:
        raise RefusedRow(f"A package holds more than 0 and at most {MOST_HELD:,}, not {shortened(text)}.")
    if size != round(size, PLACES_HELD):
        raise RefusedRow(f"{shortened(text)} has more than {PLACES_HELD} decimals.")
    return size


def _price_date(text: str, today: date) -> date | None:
    if not text:
        return None
    for date_format in _DATE_FORMATS:
        try:
            day = datetime.strptime(text, date_format).date()  # noqa: DTZ007 - a calendar day has no zone
        except ValueError:
            continue
        if day > today:
            raise RefusedRow(f"The price date {shortened(text)} hasn't come yet.")
        return day
    raise RefusedRow(f"{shortened(text)} isn't a day: write it such as 2026-11-24 or 11/24/2026.")


def _refuse_repeated(row: PriceRow, seen: dict[tuple[str, str, str], int]) -> None:
    """Raise RefusedRow for a package that an earlier line has; note the line of any other."""
    key = (row.material.casefold(), row.package.casefold(), row.supplier.casefold())
    if key in seen:
        raise RefusedRow(f"Line {seen[key]} has the same material, package and supplier already.")
    seen[key] = row.line


def write_price_list(rows: Iterable[PriceRow]) -> str:
    """Return the rows as CSV with headings; read_price_list gives the same rows back."""
    return write_csv(
        COLUMNS,
        (
            (
                row.material,
                row.unit,
                row.kind,
                "yes" if row.taxable else "no",
                row.package,
                _plain(row.holds) if row.package else "",
                f"{row.price:.2f}" if row.package else "",
                row.supplier,
                row.priced_on.isoformat() if row.priced_on else "",
            )
            for row in rows
        ),
    )


def write_refusals(headings: Sequence[str], refusals: Iterable[Refusal]) -> str:
    """Return the refused rows as CSV under their own headings, each with its line and the reason."""
    width = len(headings)
    return write_csv(
        (*headings, "line", "reason"),
        (
            (
                *refusal.cells[:width],
                *[""] * (width - len(refusal.cells)),
                str(refusal.line),
                refusal.reason,
            )
            for refusal in refusals
        ),
    )


def _plain(number: Decimal) -> str:
    text = f"{number:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
