"""Rows of what is owed, as the pages show them."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from django.utils import timezone

from estimating.models import Client, Document
from estimating.plain_text import day_in_words
from invoicing.ledger.accounts import Books
from invoicing.models import MoneyRules, NoticeRule, Reminder, WorkDays
from invoicing.receivables.balances import Receivable
from invoicing.receivables.notice_dates import NoticeDate, notice_dates
from invoicing.receivables.statement import StatementRow, account_statement
from invoicing.reminders.reminders import reminder_progress


@dataclass(frozen=True)
class OwedRow:
    """An invoice with money open, or a refund of money that came back, for which `document` is None.

    `due_text` says when it is due; `reminding` what was sent about it and what is next.
    """

    document: Document | None
    title: str
    url: str
    due_text: str
    open: Decimal
    due: date
    late_days: int
    reminding: str = ""

    @property
    def is_late(self) -> bool:
        return self.late_days > 0


def owed_rows(books: Books, owed: Iterable[Receivable], today: date) -> list[OwedRow]:
    """Return those with money open, the longest overdue first."""
    open_items = sorted((item for item in owed if item.open), key=lambda item: (item.due, item.on))
    return [_owed_row(books, item, today) for item in open_items]


def _owed_row(books: Books, owed: Receivable, today: date) -> OwedRow:
    return OwedRow(
        document=books.documents.get(owed.key),
        title=owed.key,
        url=books.url_of(owed.key),
        due_text=due_in_words(owed, today),
        open=owed.open,
        due=owed.due,
        late_days=owed.days_late(today),
    )


def due_in_words(owed: Receivable, today: date) -> str:
    """Say when it is due: "12 days overdue, was due Tue 24 Nov 2026"."""
    due, days = day_in_words(owed.due), owed.days_late(today)
    if days:
        return f"{days} day{'' if days == 1 else 's'} overdue, was due {due}"
    return f"due {due}"


def with_reminders(rows: Sequence[OwedRow], today: date) -> list[OwedRow]:
    """Return the rows with what was sent about them. Costs two queries where any is late."""
    late = [row.document.pk for row in rows if row.document and row.is_late]
    if not late:
        return list(rows)
    rules = MoneyRules.current()
    sent: dict[int, list[Reminder]] = defaultdict(list)
    for reminder in Reminder.objects.filter(invoice__in=late):
        sent[reminder.invoice_id].append(reminder)
    return [
        replace(row, reminding=_reminding(row, sent[row.document.pk], rules, today))
        if row.document and row.is_late
        else row
        for row in rows
    ]


def _reminding(row: OwedRow, sent: Sequence[Reminder], rules: MoneyRules, today: date) -> str:
    """Say what was sent: "Reminder sent Wed 25 Nov 2026; second reminder from Fri 4 Dec 2026"."""
    progress = reminder_progress(row.due, sent, rules, today)
    parts = [
        f"{reminder.step} sent {day_in_words(timezone.localdate(reminder.at))}"
        for reminder in progress.sent[-1:]
    ]
    if progress.next:
        name = progress.next_name.lower() if parts else progress.next_name
        when = "is due now" if progress.next.has_come else f"from {day_in_words(progress.next.on)}"
        parts.append(f"{name} {when}")
    return "; ".join(parts)


def account_rows(books: Books, client: Client, today: date) -> list[tuple[StatementRow, str]]:
    """Return all entries of a client's account with the balance after each, and where each is shown."""
    entries = books.entries.get(client.pk, ())
    since = min((entry.on for entry in entries), default=today)
    return [(row, books.url_of(row.key)) for row in account_statement(entries, since, today)[1:]]


def read_notice_dates(work_days: WorkDays | None) -> list[NoticeDate]:
    """Return the last days that the state sets, counted from a job's days of work. Costs a query."""
    rules = [row.as_rule() for row in NoticeRule.objects.all()]
    first, last = (work_days.first, work_days.last) if work_days else (None, None)
    return list(notice_dates(rules, first, last))
