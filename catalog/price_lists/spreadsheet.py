"""CSV that is safe to open in a spreadsheet, which would run a cell that looks like a formula."""

import csv
import io
import re
from collections.abc import Iterable, Sequence

_PLAIN_NUMBER = re.compile(r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)", re.ASCII)
_LIKE_A_FORMULA = re.compile(r"'*[=+\-@\t\r]")
_ESCAPED = re.compile(r"'+[=+\-@\t\r]")


def write_csv(headings: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Return CSV in which a spreadsheet takes no cell for a formula.

    A cell that looks like one, and isn't a plain number, gets an apostrophe in front.
    """
    file = io.StringIO()
    writer = csv.writer(file)
    writer.writerow([_escaped(cell) for cell in headings])
    writer.writerows([_escaped(cell) for cell in row] for row in rows)
    return file.getvalue()


def _escaped(cell: str) -> str:
    return f"'{cell}" if _LIKE_A_FORMULA.match(cell) and not _PLAIN_NUMBER.fullmatch(cell) else cell


def unescaped(cell: str) -> str:
    """Return a cell without the apostrophe that `write_csv` put in front."""
    return cell[1:] if _ESCAPED.match(cell) else cell
