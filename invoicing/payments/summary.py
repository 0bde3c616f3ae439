"""How all clients stand: each figure of the firm's Money page with the rows that make it up."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum

from django.urls import reverse

from estimating.models import Client, Job
from estimating.plain_text import day_in_words
from invoicing.ledger.accounts import Books, held_on
from invoicing.milestones.plan import sum_money
from invoicing.models import Payment
from invoicing.payments.lists import due_in_words
from invoicing.receivables.aging import AgedBalance, age_group, aged_balance
from invoicing.receivables.balances import Receivable


class FigureName(StrEnum):
    """The figures by the names that stand in their addresses."""

    BILLED = "billed"
    PAID = "paid"
    HELD = "held"
    OPEN = "open"
    OVERDUE = "overdue"
    CREDIT = "credit"
    NOT_DUE = "not-due"
    TO_30 = "to-30"
    TO_60 = "to-60"
    TO_90 = "to-90"
    OVER_90 = "over-90"


SUMS = (
    FigureName.BILLED,
    FigureName.PAID,
    FigureName.HELD,
    FigureName.OPEN,
    FigureName.OVERDUE,
    FigureName.CREDIT,
)
# Open money by age, in the order of the limits of `invoicing/receivables/aging.py`.
AGES = (
    (FigureName.NOT_DUE, "Not due yet", "Open on invoices that are due today or later."),
    (FigureName.TO_30, "Up to 30 days", "Open on invoices that are 1 to 30 days past their due date."),
    (FigureName.TO_60, "31 to 60 days", "Open on invoices that are 31 to 60 days past their due date."),
    (FigureName.TO_90, "61 to 90 days", "Open on invoices that are 61 to 90 days past their due date."),
    (FigureName.OVER_90, "Over 90 days", "Open on invoices that are more than 90 days past their due date."),
)


@dataclass(frozen=True)
class FigureRow:
    """An entry that a figure counts: its title, a second line, its page, its amount."""

    title: str
    detail: str
    url: str
    amount: Decimal


@dataclass(frozen=True)
class MoneyFigure:
    """A figure of the firm and the rows that it is the sum of; `about` says what it counts."""

    name: FigureName
    title: str
    about: str
    rows: tuple[FigureRow, ...]

    @property
    def amount(self) -> Decimal:
        return sum_money(row.amount for row in self.rows)

    @property
    def is_warning(self) -> bool:
        return self.name == FigureName.OVERDUE and bool(self.amount)

    @property
    def is_paid(self) -> bool:
        return self.name == FigureName.PAID


def read_figures(books: Books, today: date) -> dict[str, MoneyFigure]:
    """Return every figure by its name. Billed - paid = open - credit."""
    owed = [item for client_account in books.accounts.values() for item in client_account.receivables]
    overdue = [item for item in owed if _days_past(item, today) > 0]
    figures = [
        MoneyFigure(
            FigureName.BILLED, "Billed", "Invoices, less credit notes. Sales tax is in it.", _billed(books)
        ),
        MoneyFigure(FigureName.PAID, "Paid", "Money that came in, less what went back.", _paid(books)),
        MoneyFigure(
            FigureName.HELD,
            "Held back",
            "Retainage that bills left out, not released yet, before sales tax.",
            _held(books),
        ),
        MoneyFigure(FigureName.OPEN, "Open", "What is asked for and not paid.", _open(books, owed, today)),
        MoneyFigure(
            FigureName.OVERDUE, "Of it overdue", "Open past the due date.", _open(books, overdue, today)
        ),
        MoneyFigure(
            FigureName.CREDIT,
            "Credit on account",
            "Money that came in and that no invoice has used.",
            _credit(books),
        ),
    ]
    for bucket, (name, title, about) in enumerate(AGES):
        of_age = [item for item in owed if age_group(item.due, today) == bucket]
        figures.append(MoneyFigure(name, title, about, _open(books, of_age, today)))
    return {figure.name.value: figure for figure in figures}


def _days_past(owed: Receivable, today: date) -> int:
    """Return the days past the due date, whether money is open or not; below zero before it."""
    return (today - owed.due).days


def _billed(books: Books) -> tuple[FigureRow, ...]:
    rows = []
    for entry in books.all_entries():
        if document := books.documents.get(entry.key):
            detail = f"{document.job}, {day_in_words(entry.on)}"
            rows.append(FigureRow(entry.key, detail, document.get_absolute_url(), entry.balance_change))
    return tuple(rows)


def _paid(books: Books) -> tuple[FigureRow, ...]:
    return tuple(
        FigureRow(
            f"{payment.get_kind_display()}, {payment.method_in_words()}",
            _client_and_day(payment),
            payment.get_absolute_url(),
            payment.bank_amount(),
        )
        for payment in books.payments.values()
        if payment.bank_amount()
    )


def _client_and_day(payment: Payment) -> str:
    return f"{payment.client}, {day_in_words(payment.on)}"


def _held(books: Books) -> tuple[FigureRow, ...]:
    jobs: dict[int, Job] = {document.job_id: document.job for document in books.documents.values()}
    held = [(job, held_on(books, job)) for job in jobs.values()]
    return tuple(
        FigureRow(job.name, f"{job.client}", reverse("job-money", args=[job.pk]), amount)
        for job, amount in held
        if amount
    )


def _open(books: Books, owed: Iterable[Receivable], today: date) -> tuple[FigureRow, ...]:
    open_items = sorted((item for item in owed if item.open), key=lambda item: (item.due, item.on))
    return tuple(
        FigureRow(
            f"{item.key}, {books.client_of(item.key)}",
            due_in_words(item, today),
            books.url_of(item.key),
            item.open,
        )
        for item in open_items
    )


def _credit(books: Books) -> tuple[FigureRow, ...]:
    return tuple(
        FigureRow(key, _client_and_day(books.payments[key]), books.url_of(key), amount)
        for client_account in books.accounts.values()
        for key, amount in client_account.credit_by_payment
    )


@dataclass(frozen=True)
class Debtor:
    """A client who owes something, or for whom credit is held; `job` is where his next payment is entered."""

    client: Client
    ages: AgedBalance
    job: Job | None

    @property
    def open(self) -> Decimal:
        return self.ages.not_late + self.ages.late

    @property
    def credit(self) -> Decimal:
        return -self.ages.credit


def debtors(books: Books, today: date) -> list[Debtor]:
    """Return who owes what, the most overdue first."""
    clients: Mapping[int, Client] = {row.client_id: row.client for row in books.payments.values()} | {
        document.job.client_id: document.job.client for document in books.documents.values()
    }
    rows = [
        Debtor(clients[client_id], aged_balance(client_account, today), books.owing_job(client_id))
        for client_id, client_account in books.accounts.items()
    ]
    rows = [debtor for debtor in rows if debtor.open or debtor.ages.credit]
    return sorted(rows, key=lambda debtor: (-debtor.ages.late, -debtor.open, debtor.client.name))
