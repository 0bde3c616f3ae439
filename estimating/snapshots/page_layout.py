"""The layout of documents by how much they show: lists side by side, and tables that stay on one page.

A document that is drawn again, such as a signed copy, must come out as it was issued: a change here changes
the pages of documents that were issued before.
"""

from collections.abc import Sequence, Sized
from html import escape

MOST_LINES_SIDE_BY_SIDE = 11
MOST_LETTERS_SIDE_BY_SIDE = 599

# The most rows with which a table or list isn't broken over two pages, or a receipt is half a sheet.
MOST_ROWS_WHOLE = {
    "bill lines": 4,
    "half a sheet": 3,
    "opened": 7,
    "payments": 8,
    "shopping": 5,
}


def fits_side_by_side(lines: Sequence[str]) -> bool:
    """Return whether a list is short enough for half the width of a page, beside another such list.

    Letters are counted as HTML writes them: an apostrophe counts for six.
    """
    letters = sum(len(escape(line)) for line in lines)
    return len(lines) <= MOST_LINES_SIDE_BY_SIDE and letters <= MOST_LETTERS_SIDE_BY_SIDE


def stays_whole(rows: Sized, table: str) -> bool:
    """Return whether a table with these rows stays on one page; `table` is a key of MOST_ROWS_WHOLE."""
    return len(rows) <= MOST_ROWS_WHOLE[table]
