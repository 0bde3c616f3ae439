"""Rows of what is owed, as the pages show them."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from estimating.models import Document
from estimating.snapshot import day_in_words
from invoicing.accounts import Books
from invoicing.receivables import Owed


@dataclass(frozen=True)
class OwedRow:
    """One invoice with money open, or a refund of money that came back."""

    document: Document | None
    title: str
    url: str
    standing: str
    open: Decimal
    late_days: int

    @property
    def is_late(self) -> bool:
        return self.late_days > 0


def owed_rows(books: Books, owed: Iterable[Owed], today: date) -> list[OwedRow]:
    """Those with money open, the longest overdue first."""
    rows = sorted((each for each in owed if each.open), key=lambda each: (each.due, each.on))
    return [_row(books, each, today) for each in rows]


def _row(books: Books, each: Owed, today: date) -> OwedRow:
    document = books.documents.get(each.key)
    behind = document or books.payments[each.key]
    days = each.days_late(today)
    return OwedRow(document, each.key, behind.get_absolute_url(), standing(each, days), each.open, days)


def standing(each: Owed, days: int) -> str:
    """ "12 days overdue, was due Tue 24 Nov 2026" """
    due = day_in_words(each.due)
    if days:
        return f"{days} day{'' if days == 1 else 's'} overdue, was due {due}"
    return f"due {due}"
