"""How all clients stand: each figure of the firm's Money page with the rows that make it up."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum
from typing import Any

from django.core.paginator import Page, Paginator
from django.urls import reverse

from estimating.models import Client, Job
from estimating.plain_text import day_in_words
from invoicing.ledger.accounts import Books, held_on
from invoicing.ledger.kept_sums import all_bills, dollars, firm_sums, read_held_books, read_open_books
from invoicing.milestones.plan import sum_money
from invoicing.models import KeptBill, Payment
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


ROWS_A_PAGE = 50
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
    """A figure of the firm; `about` says what it counts."""

    name: FigureName
    title: str
    about: str
    amount: Decimal

    @property
    def is_warning(self) -> bool:
        return self.name == FigureName.OVERDUE and bool(self.amount)

    @property
    def is_paid(self) -> bool:
        return self.name == FigureName.PAID


@dataclass(frozen=True)
class FirmAccounts:
    """How all clients stand: the sums of all accounts, and the books of those in which something is open."""

    sums: Mapping[str, Decimal]
    books: Books

    @property
    def owed(self) -> list[Receivable]:
        return [item for account in self.books.accounts.values() for item in account.receivables]


def read_firm_accounts() -> FirmAccounts:
    """Return how all clients stand. Costs eight queries."""
    sums = firm_sums()
    return FirmAccounts(sums, read_open_books())


def read_figures(accounts: FirmAccounts, today: date) -> dict[str, MoneyFigure]:
    """Return every figure by its name. Billed - paid = open - credit."""
    sums = accounts.sums
    figures = [
        MoneyFigure(
            FigureName.BILLED,
            "Billed",
            "Invoices, less credit notes. Sales tax is in it.",
            sums["billed"] - sums["credited"],
        ),
        MoneyFigure(
            FigureName.PAID,
            "Paid",
            "Money that came in, less what went back.",
            sums["paid"] - sums["refunded"],
        ),
        MoneyFigure(
            FigureName.HELD,
            "Held back",
            "Retainage that bills left out, not released yet, before sales tax.",
            sums["held"],
        ),
        MoneyFigure(FigureName.OPEN, "Open", "What is asked for and not paid.", sums["open"]),
        MoneyFigure(
            FigureName.OVERDUE,
            "Of it overdue",
            "Open past the due date.",
            sum_money(item.open for item in _overdue(accounts, today)),
        ),
        MoneyFigure(
            FigureName.CREDIT,
            "Credit on account",
            "Money that came in and that no invoice has used.",
            sums["credit"],
        ),
    ]
    for bucket, (name, title, about) in enumerate(AGES):
        amount = sum_money(item.open for item in _of_age(accounts, bucket, today))
        figures.append(MoneyFigure(name, title, about, amount))
    return {figure.name.value: figure for figure in figures}


def _overdue(accounts: FirmAccounts, today: date) -> list[Receivable]:
    """Return what is past its due date, whether money is open or not."""
    return [item for item in accounts.owed if item.due < today]


def _of_age(accounts: FirmAccounts, bucket: int, today: date) -> list[Receivable]:
    return [item for item in accounts.owed if age_group(item.due, today) == bucket]


def figure_rows(accounts: FirmAccounts, name: str, today: date, number: str) -> "Page[FigureRow]":
    """Return a page of the rows that a figure is the sum of. Costs up to two queries."""
    if name == FigureName.BILLED:
        return _page(all_bills(), number, _billed)
    if name == FigureName.PAID:
        rows = Payment.objects.exclude(kind=Payment.Kind.CREDIT_USED).select_related("client", "of")
        return _page(rows, number, _paid)
    ages = [age for age, _, _ in AGES]
    if name == FigureName.HELD:
        found = _held(read_held_books())
    elif name == FigureName.CREDIT:
        found = _credit(accounts.books)
    elif name in ages:
        found = _open(accounts.books, _of_age(accounts, ages.index(FigureName(name)), today), today)
    else:
        owed = accounts.owed if name == FigureName.OPEN else _overdue(accounts, today)
        found = _open(accounts.books, owed, today)
    return _page(found, number, lambda row: row)


def _page(rows: Any, number: str, shown: Callable[[Any], FigureRow]) -> "Page[FigureRow]":
    page = Paginator(rows, ROWS_A_PAGE).get_page(number)
    page.object_list = [shown(row) for row in page]
    return page


def _billed(bill: KeptBill) -> FigureRow:
    document = bill.document
    detail = f"{document.job}, {day_in_words(bill.dated)}"
    return FigureRow(str(document), detail, document.get_absolute_url(), dollars(bill.before_tax + bill.tax))


def _paid(payment: Payment) -> FigureRow:
    title = f"{payment.get_kind_display()}, {payment.method_in_words()}"
    return FigureRow(title, _client_and_day(payment), payment.get_absolute_url(), payment.bank_amount())


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
    clients = {row.client_id: row.client for row in books.payments.values()} | {
        document.job.client_id: document.job.client for document in books.documents.values()
    }
    rows = [
        Debtor(clients[client_id], aged_balance(client_account, today), books.owing_job(client_id))
        for client_id, client_account in books.accounts.items()
    ]
    rows = [debtor for debtor in rows if debtor.open or debtor.ages.credit]
    return sorted(rows, key=lambda debtor: (-debtor.ages.late, -debtor.open, debtor.client.name))
