"""Rows of what is owed, as the pages show them."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from django.utils import timezone

from estimating.models import Document
from estimating.plain_text import day_in_words
from invoicing.ledger.accounts import Books
from invoicing.models import MoneyRules, NoticeRule, Reminder, WorkDays
from invoicing.receivables.balances import Owed
from invoicing.receivables.late_charges import NoticeDate, notice_dates
from invoicing.reminders.reminders import ladder_of


@dataclass(frozen=True)
class OwedRow:
    """One invoice with money open, or a refund of money that came back."""

    document: Document | None
    title: str
    url: str
    standing: str
    open: Decimal
    due: date
    late_days: int
    reminding: str = ""

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
    return OwedRow(
        document, each.key, behind.get_absolute_url(), standing(each, days), each.open, each.due, days
    )


def standing(each: Owed, days: int) -> str:
    """ "12 days overdue, was due Tue 24 Nov 2026" """
    due = day_in_words(each.due)
    if days:
        return f"{days} day{'' if days == 1 else 's'} overdue, was due {due}"
    return f"due {due}"


def with_reminders(rows: Sequence[OwedRow], today: date) -> list[OwedRow]:
    """The rows with what was sent about them and what is next. Costs two queries where any is late."""
    late = [row.document.pk for row in rows if row.document and row.is_late]
    if not late:
        return list(rows)
    rules = MoneyRules.current()
    sent: dict[int, list[Reminder]] = defaultdict(list)
    for each in Reminder.objects.filter(invoice__in=late):
        sent[each.invoice_id].append(each)
    return [
        replace(row, reminding=_reminding(row, sent[row.document.pk], rules, today))
        if row.document and row.is_late
        else row
        for row in rows
    ]


def _reminding(row: OwedRow, sent: Sequence[Reminder], rules: MoneyRules, today: date) -> str:
    """ "Reminder sent Wed 25 Nov 2026; second reminder from Fri 4 Dec 2026" """
    far = ladder_of(row.due, sent, rules, today)
    said = [f"{each.step} sent {day_in_words(timezone.localdate(each.at))}" for each in far.sent[-1:]]
    if far.following:
        step = far.step.lower() if said else far.step
        when = "is due now" if far.following.has_come else f"from {day_in_words(far.following.on)}"
        said.append(f"{step} {when}")
    return "; ".join(said)


def notices_of(days: WorkDays | None) -> list[NoticeDate]:
    """The last days that the state sets, counted from the job's days of work."""
    rules = [each.as_rule() for each in NoticeRule.objects.all()]
    return list(notice_dates(rules, days.first if days else None, days.last if days else None))
