"""Clients' accounts, read from issued invoices and credit notes and from the rows of money that moved.

What is told here is worked out by invoicing/receivables.py from entries alone; this module makes entries
of rows. An entry is named by its row: "Invoice 12", "Payment 3".
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from django.db.models import Min, QuerySet

from catalog.money.amounts import format_price
from estimating.models import Client, Document, Job
from invoicing.billing.basis import read_lines, read_sums
from invoicing.billing.draft import BillLine
from invoicing.ledger.history import BILLED
from invoicing.milestones.plan import NO_MONEY
from invoicing.models import Payment
from invoicing.receivables.ageing import Ages, ages
from invoicing.receivables.balances import Account, Entry, Kind, Owed, account
from invoicing.receivables.journal import split_by_account

_KINDS = {
    Payment.Kind.PAYMENT: Kind.PAYMENT,
    Payment.Kind.RETURN: Kind.RETURN,
    Payment.Kind.REFUND: Kind.REFUND,
    Payment.Kind.PUT: Kind.PUT,
}


@dataclass(frozen=True)
class Books:
    """All accounts that were asked for, with the rows behind the entries, by the entries' keys."""

    entries: Mapping[int, Sequence[Entry]]  # by client
    accounts: Mapping[int, Account]  # by client
    documents: Mapping[str, Document]
    lines: Mapping[str, tuple[BillLine, ...]]  # of the documents
    payments: Mapping[str, Payment]

    def of(self, client_id: int) -> Account:
        return self.accounts.get(client_id) or account(())

    def all_entries(self) -> list[Entry]:
        return [entry for entries in self.entries.values() for entry in entries]

    def client_of(self, key: str) -> Client:
        row = self.documents.get(key)
        return row.job.client if row else self.payments[key].client

    def url_of(self, key: str) -> str:
        """Where an entry is shown."""
        return (self.documents.get(key) or self.payments[key]).get_absolute_url()

    def open_invoices(self, client_id: int) -> list[Owed]:
        """A client's invoices with money open, the one that was due first first."""
        owed = (each for each in self.of(client_id).owed if each.open and each.key in self.documents)
        return sorted(owed, key=lambda each: (each.due, each.on))

    def meant_for(self, row: Payment) -> list[Document]:
        """The invoices that a row of money is for."""
        meant = {each.invoice_id for each in row.meant_for.all()}
        return [each for each in self.documents.values() if each.pk in meant]

    def billed_lines(self, job: Job) -> tuple[BillLine, ...]:
        """Every line of the job's bills and credit notes."""
        mine = (key for key, document in self.documents.items() if document.job_id == job.pk)
        return tuple(line for key in mine for line in self.lines[key])

    def job_of(self, key: str) -> Job | None:
        """The job that an entry names; a payment names the one on whose page it was entered."""
        row = self.documents.get(key) or self.payments.get(key)
        return row.job if row else None


def read_books(*clients: Client) -> Books:
    """The accounts of these clients, or of all. Costs three queries."""
    documents = list(_documents(clients))
    payments = list(_payments(clients))
    invoices = {each.pk: str(each) for each in documents}
    rows: list[tuple[tuple[date, int, int, int], int, Entry]] = []
    for each in documents:
        rows.append(((each.dated, each.place, 0, each.pk), each.job.client_id, _billed(each)))
    for row in payments:
        entry = entry_of(row, [invoices[meant.invoice_id] for meant in row.meant_for.all()])
        rows.append(((row.on, row.place, 1, row.pk), row.client_id, entry))
    by_client: dict[int, list[Entry]] = defaultdict(list)
    for _, client_id, entry in sorted(rows, key=lambda each: each[0]):
        by_client[client_id].append(entry)
    return Books(
        by_client,
        {client_id: account(entries) for client_id, entries in by_client.items()},
        {str(each): each for each in documents},
        {str(each): read_lines(each.read_basis()) for each in documents},
        {str(each): each for each in payments},
    )


def _documents(clients: Sequence[Client]) -> QuerySet[Document]:
    documents = (
        Document.objects.filter(kind__in=BILLED).select_related("job__client").defer("pdf", "snapshot")
    )
    if clients:
        documents = documents.filter(job__client__in=clients)
    return documents.annotate(place=Min("events__place"))


def _payments(clients: Sequence[Client]) -> QuerySet[Payment]:
    payments = Payment.objects.select_related("client", "job__client", "of", "taken_back").prefetch_related(
        "meant_for"
    )
    return payments.filter(client__in=clients) if clients else payments


def _billed(document: Document) -> Entry:
    """The entry of an issued invoice or credit note."""
    basis = document.read_basis()
    sums = read_sums(basis)
    return Entry(
        Kind.CREDIT_NOTE if sums.corrects else Kind.INVOICE,
        str(document),
        document.dated,
        sums.total,
        tax=sums.tax,
        taxable=sums.taxable,
        of=sums.corrects,
        due=sums.due,
        says=f"{document}, {document.job.name}",
        split=split_by_account(read_lines(basis)),
    )


def entry_of(row: Payment, invoices: Iterable[str] = ()) -> Entry:
    """The entry of a row of money; `invoices` are the keys of those that it is for."""
    invoices = tuple(invoices)
    what = f"Credit put on {invoices[0]}" if row.kind == Payment.Kind.PUT else row.get_kind_display()
    return Entry(
        _KINDS[Payment.Kind(row.kind)],
        str(row),
        row.on,
        row.amount.amount,
        of=str(row.of) if row.of else "",
        invoices=invoices,
        says=f"{what}, {row.how()}",
    )


@dataclass(frozen=True)
class JobMoney:
    """How a job stands: its own invoices, and what is held as credit on the client's account."""

    owed: tuple[Owed, ...]
    billed: Decimal
    credited: Decimal
    paid: Decimal
    open: Decimal
    credit: Decimal
    ages: Ages


def job_money(books: Books, job: Job, today: date) -> JobMoney:
    state = books.of(job.client_id)
    mine = tuple(each for each in state.owed if books.job_of(each.key) == job)
    return JobMoney(
        owed=mine,
        billed=sum_of(each.total for each in mine if each.key in books.documents),
        credited=sum_of(each.credited for each in mine),
        paid=sum_of(each.paid for each in mine),
        open=sum_of(each.open for each in mine),
        credit=state.credit,
        ages=ages(replace(state, owed=mine, credit_by=()), today),
    )


def entries_of_job(books: Books, job: Job) -> list[Payment]:
    """The rows of money on a job's page, newest first: those entered there, and those that paid its
    invoices."""
    owed = [each for each in books.of(job.client_id).owed if books.job_of(each.key) == job]
    paid_it = {payment for each in owed for payment, _ in each.paid_by}
    rows = books.payments.items()
    return [row for key, row in rows if row.job_id == job.pk or key in paid_it]


def where_it_went(books: Books, row: Payment) -> str:
    """ "Invoice 2, Invoice 4, $20.00 held as credit" """
    state, key = books.of(row.client_id), str(row)
    if row.kind == Payment.Kind.PUT:
        return ", ".join(str(each) for each in books.meant_for(row))
    said = [each.key for each in state.owed if key in dict(each.paid_by)]
    if unused := dict(state.credit_by).get(key):
        said.append(f"{format_price(unused)} held as credit")
    return ", ".join(said)


def sum_of(amounts: Iterable[Decimal]) -> Decimal:
    return sum(amounts, NO_MONEY)
