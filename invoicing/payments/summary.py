"""How all clients stand: each figure of the firm's Money page with the rows that make it up."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.urls import reverse

from estimating.models import Client, Job
from estimating.plain_text import day_in_words
from invoicing.billing.draft import Kind as LineKind
from invoicing.ledger.accounts import Books, sum_of
from invoicing.models import Payment
from invoicing.payments.lists import standing
from invoicing.receivables.ageing import LIMITS, Ages, ages
from invoicing.receivables.balances import Owed


@dataclass(frozen=True)
class Row:
    """One of the entries behind a figure."""

    title: str
    more: str
    url: str
    amount: Decimal


@dataclass(frozen=True)
class Figure:
    """A figure of the firm and what makes it up; `about` says what it counts."""

    name: str
    title: str
    about: str
    rows: tuple[Row, ...]

    @property
    def amount(self) -> Decimal:
        return sum_of(row.amount for row in self.rows)


AGES = (
    ("not-due", "Not due yet", "Open on invoices that are due today or later."),
    ("to-30", "Up to 30 days", "Open on invoices that are 1 to 30 days past their due date."),
    ("to-60", "31 to 60 days", "Open on invoices that are 31 to 60 days past their due date."),
    ("to-90", "61 to 90 days", "Open on invoices that are 61 to 90 days past their due date."),
    ("over-90", "Over 90 days", "Open on invoices that are more than 90 days past their due date."),
)


def figures(books: Books, today: date) -> dict[str, Figure]:
    """Every figure by its name. Billed - paid = open - credit."""
    owed = [(each, (today - each.due).days) for state in books.accounts.values() for each in state.owed]
    overdue = [each for each, days in owed if days > 0]
    made = [
        Figure("billed", "Billed", "Invoices, less credit notes. Sales tax is in it.", _billed(books)),
        Figure("paid", "Paid", "Money that came in, less what went back.", _paid(books)),
        Figure(
            "held",
            "Held back",
            "Retainage that bills left out, not released yet, before sales tax.",
            _held(books),
        ),
        Figure(
            "open", "Open", "What is asked for and not paid.", _open(books, [each for each, _ in owed], today)
        ),
        Figure("overdue", "Of it overdue", "Open past the due date.", _open(books, overdue, today)),
        Figure(
            "credit", "Held as credit", "Money that came in and that no invoice has used.", _credit(books)
        ),
    ]
    for place, (name, title, about) in enumerate(AGES):
        mine = [each for each, days in owed if sum(days > limit for limit in LIMITS) == place]
        made.append(Figure(name, title, about, _open(books, mine, today)))
    return {figure.name: figure for figure in made}


def _billed(books: Books) -> tuple[Row, ...]:
    return tuple(
        Row(entry.key, _whose(books.documents[entry.key].job, entry.on), books.url_of(entry.key), entry.owed)
        for entry in books.all_entries()
        if entry.key in books.documents
    )


def _paid(books: Books) -> tuple[Row, ...]:
    return tuple(
        Row(f"{row.get_kind_display()}, {row.how()}", _of_client(row), row.get_absolute_url(), row.came_in())
        for row in books.payments.values()
        if row.came_in()
    )


def _of_client(row: Payment) -> str:
    return f"{row.client}, {day_in_words(row.on)}"


def _held(books: Books) -> tuple[Row, ...]:
    jobs = {document.job_id: document.job for document in books.documents.values()}
    rows = []
    for job in jobs.values():
        if held := held_on(books, job):
            rows.append(Row(job.name, f"{job.client}", reverse("job-money", args=[job.pk]), held))
    return tuple(rows)


def held_on(books: Books, job: Job) -> Decimal:
    """Retainage that the job's bills left out and none has released, before sales tax."""
    kinds = (LineKind.HELD, LineKind.RELEASED)
    return -sum_of(line.amount for line in books.billed_lines(job) if line.kind in kinds)


def _open(books: Books, owed: Iterable[Owed], today: date) -> tuple[Row, ...]:
    rows = sorted((each for each in owed if each.open), key=lambda each: (each.due, each.on))
    return tuple(
        Row(
            f"{each.key}, {books.client_of(each.key)}",
            standing(each, each.days_late(today)),
            books.url_of(each.key),
            each.open,
        )
        for each in rows
    )


def _credit(books: Books) -> tuple[Row, ...]:
    return tuple(
        Row(key, _of_client(books.payments[key]), books.url_of(key), amount)
        for state in books.accounts.values()
        for key, amount in state.credit_by
    )


def _whose(job: Job, on: date) -> str:
    return f"{job}, {day_in_words(on)}"


@dataclass(frozen=True)
class Debtor:
    """A client who owes something, or for whom something is held."""

    client: Client
    ages: Ages

    @property
    def open(self) -> Decimal:
        return self.ages.not_late + self.ages.late

    @property
    def credit(self) -> Decimal:
        return -self.ages.credit


def debtors(books: Books, today: date) -> list[Debtor]:
    """Who owes what, the most overdue first."""
    clients: Mapping[int, Client] = {row.client_id: row.client for row in books.payments.values()} | {
        document.job.client_id: document.job.client for document in books.documents.values()
    }
    rows = [Debtor(clients[client], ages(state, today)) for client, state in books.accounts.items()]
    rows = [each for each in rows if each.open or each.ages.credit]
    return sorted(rows, key=lambda each: (-each.ages.late, -each.open, each.client.name))
