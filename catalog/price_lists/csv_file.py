"""Materials and prices as a CSV file (RFC 4180, UTF-8): text in, rows and refusals out, and back.

Pure: what is written to the catalog is written by catalog.stored_prices. A wrong row stops nothing else;
each row stands on one line, so that a quote mark that never closes can't swallow the rows after it.
"""

import csv
import io
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from catalog.measures.lengths import shown
from catalog.measures.units import canonical_unit
from catalog.money.amounts import parse_price

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
_PLAIN_NUMBER = re.compile(r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)", re.ASCII)
_LIKE_A_FORMULA = re.compile(r"'*[=+\-@\t\r]")
_GUARDED = re.compile(r"'+[=+\-@\t\r]")
_DAYS = ("%Y-%m-%d", "%m/%d/%Y", "%m/%d/%y")


class UnreadablePriceList(ValueError):
    """The whole file can't be used; the message says in a plain sentence what to do."""


class RefusedRow(ValueError):
    """This row can't be taken in; the message says in a plain sentence why."""


@dataclass(frozen=True)
class PriceRow:
    """A material, and where the row names one, a package of it; `line` counts from 1, the heading's."""

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
    """A row handed back as it came, with the reason."""

    line: int
    cells: tuple[str, ...]
    reason: str


@dataclass(frozen=True)
class PriceList:
    """What a file says; `headings` are its own, `skipped` those that nobody reads."""

    headings: tuple[str, ...]
    rows: tuple[PriceRow, ...]
    cells: Mapping[int, tuple[str, ...]]
    refusals: tuple[Refusal, ...]
    skipped: tuple[str, ...] = ()


def read_price_list(data: bytes, today: date) -> PriceList:
    """Read a file. Raises UnreadablePriceList where it is too large, not UTF-8, or has no usable heading."""
    if len(data) > MOST_BYTES:
        raise UnreadablePriceList("This file is larger than 2 MB. Split it and take in one part at a time.")
    lines = _lines(data)
    if not lines:
        raise UnreadablePriceList("This file is empty.")
    parting = max(",;\t", key=lines[0].count)
    headings = _headings(lines[0], parting)
    if len(lines) - 1 > MOST_ROWS:
        raise UnreadablePriceList(
            f"This file has {len(lines) - 1:,} rows, and {MOST_ROWS:,} is the most. Split it and take in one "
            "part at a time."
        )
    rows: list[PriceRow] = []
    cells: dict[int, tuple[str, ...]] = {}
    refusals: list[Refusal] = []
    seen: dict[tuple[str, str, str], int] = {}
    for line, text in enumerate(lines[1:], start=2):
        if not text.strip(parting + " \t"):
            continue
        try:
            cells[line] = _cells(text, parting)
            row = _row(line, headings, cells[line], today)
            _refuse_twice(row, seen)
            rows.append(row)
        except ValueError as error:
            refusals.append(Refusal(line, cells.get(line, (text,)), str(error)))
    skipped = tuple(each for each in headings if each and each not in COLUMNS)
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
    "This file isn't text in UTF-8. In the spreadsheet choose Save as, then CSV UTF-8, and take in that file."
)


def _headings(line: str, parting: str) -> tuple[str, ...]:
    try:
        headings = tuple(" ".join(cell.lower().split()) for cell in _cells(line, parting))
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


def _cells(line: str, parting: str) -> tuple[str, ...]:
    try:
        cells = next(csv.reader([line], delimiter=parting, strict=True), [])
    except csv.Error as error:
        raise RefusedRow(
            "A quote mark in this line is out of place or never closes. A quote mark inside a cell is "
            'written twice: "".'
        ) from error
    return tuple(_unguarded(cell) for cell in cells)


def _unguarded(cell: str) -> str:
    return cell[1:] if _GUARDED.match(cell) else cell


def _row(line: int, headings: Sequence[str], cells: Sequence[str], today: date) -> PriceRow:
    """One row of values. Raises RefusedRow, or the ValueError of the rule that read a cell."""
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
    return PriceRow(
        line,
        cell["material"],
        canonical_unit(cell["unit"]),
        _one_of(KINDS, cell, "kind", "material, equipment or subcontract"),
        _one_of(YES_NO, cell, "taxable", "yes or no"),
        **_package(cell, today),
    )


def _package(cell: Mapping[str, str], today: date) -> dict:
    name, holds, price = (cell.get(each, "") for each in ("package", "holds", "price"))
    if not (name or holds or price):
        return {}
    if not (name and holds and price):
        raise RefusedRow("A package needs its name, how much it holds, and its price: fill in all three.")
    return {
        "package": name,
        "holds": _held(holds),
        "price": parse_price(price),
        "supplier": cell.get("supplier", ""),
        "priced_on": _day(cell.get("price date", ""), today),
    }


def _one_of(words: Mapping[str, object], cell: Mapping[str, str], name: str, right: str) -> object:
    typed = cell.get(name, "")
    if typed.lower() not in words:
        raise RefusedRow(f"{shown(typed)} can't stand under {name}: write {right}.")
    return words[typed.lower()]


def _held(text: str) -> Decimal:
    if not _NUMBER.fullmatch(text):
        raise RefusedRow(
            f"{shown(text)} isn't what a package can hold: write a number above 0, such as 5 or 2.5."
        )
    held = Decimal(text.replace(",", ""))
    if not 0 < held <= MOST_HELD:
        raise RefusedRow(f"A package holds more than 0 and at most {MOST_HELD:,}, not {shown(text)}.")
    if held != round(held, PLACES_HELD):
        raise RefusedRow(f"{shown(text)} has more than {PLACES_HELD} decimals.")
    return held


def _day(text: str, today: date) -> date | None:
    if not text:
        return None
    for form in _DAYS:
        try:
            day = datetime.strptime(text, form).date()  # noqa: DTZ007 - a calendar day has no zone
        except ValueError:
            continue
        if day > today:
            raise RefusedRow(f"The price date {shown(text)} hasn't come yet.")
        return day
    raise RefusedRow(f"{shown(text)} isn't a day: write it such as 2026-11-24 or 11/24/2026.")


def _refuse_twice(row: PriceRow, seen: dict[tuple[str, str, str], int]) -> None:
    key = (row.material.casefold(), row.package.casefold(), row.supplier.casefold())
    if key in seen:
        raise RefusedRow(f"Line {seen[key]} has the same material, package and supplier already.")
    seen[key] = row.line


def write_price_list(rows: Iterable[PriceRow]) -> str:
    """The rows as CSV with a heading; read_price_list gives the same rows back."""
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
    """The refused rows under their own headings, each with its line and the reason."""
    width = len(headings)
    return write_csv(
        (*headings, "line", "reason"),
        (
            (*each.cells[:width], *[""] * (width - len(each.cells)), str(each.line), each.reason)
            for each in refusals
        ),
    )


def write_csv(headings: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """CSV in which no cell is taken for a formula by a spreadsheet: such a cell starts with an apostrophe."""
    file = io.StringIO()
    writer = csv.writer(file)
    writer.writerow([_guarded(cell) for cell in headings])
    writer.writerows([_guarded(cell) for cell in row] for row in rows)
    return file.getvalue()


def _guarded(cell: str) -> str:
    return f"'{cell}" if _LIKE_A_FORMULA.match(cell) and not _PLAIN_NUMBER.fullmatch(cell) else cell


def _plain(number: Decimal) -> str:
    text = f"{number:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
