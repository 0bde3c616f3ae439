"""Clients' accounts, read from issued invoices and credit notes and from payments.

What is said of an account is worked out by `invoicing/receivables/balances.py` from entries alone; this
module makes entries of rows. An entry is named by its row: "Invoice 12", "Payment 3".
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from functools import cached_property
from typing import Any

from django.db.models import Min, Prefetch, QuerySet

from catalog.money.amounts import format_price
from estimating.models import Client, Document, Job
from invoicing.billing.basis import read_lines, read_sums
from invoicing.billing.lines import RETAINAGE_KINDS, BillLine, total
from invoicing.ledger.history import BILLED
from invoicing.milestones.plan import NO_MONEY, sum_money
from invoicing.models import Payment, PaymentFor
from invoicing.receivables.aging import AgedBalance, aged_balance
from invoicing.receivables.balances import AccountEntry, ClientAccount, EntryKind, Receivable, account_after
from invoicing.receivables.journal import split_by_account
from reading.prepared import prepared

_ENTRY_KINDS = {
    Payment.Kind.PAYMENT: EntryKind.PAYMENT,
    Payment.Kind.RETURN: EntryKind.RETURN,
    Payment.Kind.REFUND: EntryKind.REFUND,
    Payment.Kind.CREDIT_USED: EntryKind.CREDIT_APPLIED,
}
_TAKEN_BACK: Any = Payment._meta.get_field("taken_back")


@dataclass(frozen=True)
class Books:
    """The accounts of some clients, with the rows behind their entries.

    `entries` and `accounts` are by the primary key of the client; `documents` (invoices and credit notes),
    their `lines` and `payments` are by the key of their entry.
    """

    entries: Mapping[int, Sequence[AccountEntry]]
    accounts: Mapping[int, ClientAccount]
    documents: Mapping[str, Document]
    lines: Mapping[str, tuple[BillLine, ...]]
    payments: Mapping[str, Payment]

    def account_of(self, client_id: int) -> ClientAccount:
        """Return a client's account; an empty one where nothing was billed or paid."""
        return self.accounts.get(client_id) or account_after(())

    def owed_on(self, invoice: Document) -> Receivable:
        """Return what is owed on an invoice. Raises EntryFault where the books don't hold it."""
        return self.account_of(invoice.job.client_id).invoice(str(invoice))

    def all_entries(self) -> list[AccountEntry]:
        return [entry for entries in self.entries.values() for entry in entries]

    def client_of(self, key: str) -> Client:
        """Return the client of an entry."""
        document = self.documents.get(key)
        return document.job.client if document else self.payments[key].client

    def url_of(self, key: str) -> str:
        """Return the address of the page that shows an entry."""
        return (self.documents.get(key) or self.payments[key]).get_absolute_url()

    def job_of(self, key: str) -> Job | None:
        """Return the job of an entry; that of a payment is the one on whose page it was entered."""
        row = self.documents.get(key) or self.payments.get(key)
        return row.job if row else None

    def open_invoices(self, client_id: int) -> list[Receivable]:
        """Return a client's invoices with money open, the earliest due date first."""
        owed = (
            item
            for item in self.account_of(client_id).receivables
            if item.open and item.key in self.documents
        )
        return sorted(owed, key=lambda item: (item.due, item.on))

    def owing_job(self, client_id: int) -> Job | None:
        """Return the job of a client's oldest open invoice; None where nothing is open."""
        owed = self.open_invoices(client_id)
        return self.job_of(owed[0].key) if owed else None

    def paying_job(self, client: Client) -> Job | None:
        """Return the job on which a client's next payment is entered: where he owes, else his newest.

        Costs a query where he owes nothing.
        """
        return self.owing_job(client.pk) or client.jobs.order_by("-pk").first()

    def invoices_of(self, payment: Payment) -> list[Document]:
        """Return the invoices that a payment is for, or that credit was applied to."""
        chosen = {link.invoice_id for link in payment.meant_for.all()}
        return [document for document in self.documents.values() if document.pk in chosen]

    def paid_with(self, payment: Payment) -> list[tuple[Receivable, Decimal]]:
        """Return what a payment paid of what its client owes, each item with how much of it."""
        owed, key = self.account_of(payment.client_id).receivables, str(payment)
        return [(item, amount) for item in owed for paying, amount in item.paid_by if paying == key]

    def unused_credit(self, payment: Payment) -> Decimal:
        """Return what is left of a payment as credit."""
        return dict(self.account_of(payment.client_id).credit_by_payment).get(str(payment), NO_MONEY)

    def bills(self, job: Job) -> tuple[Document, ...]:
        """Return the job's invoices and credit notes in the order in which they were issued."""
        return self._bills.get(job.pk, ())

    def billed_lines(self, job: Job) -> tuple[BillLine, ...]:
        """Return every line of the job's bills, those of credit notes with the sign turned."""
        return tuple(line for document in self.bills(job) for line in self.lines[str(document)])

    @cached_property
    def _bills(self) -> dict[int, tuple[Document, ...]]:
        by_job: dict[int, list[Document]] = defaultdict(list)
        for document in sorted(self.documents.values(), key=lambda row: (row.issued_at, row.pk)):
            by_job[document.job_id].append(document)
        return {job_id: tuple(documents) for job_id, documents in by_job.items()}


def read_books(*clients: Client) -> Books:
    """Return the accounts of these clients. Costs three queries."""
    return read_books_of([client.pk for client in clients])


def read_books_of(client_ids: Collection[int]) -> Books:
    """Return the accounts of the clients with these primary keys. Costs three queries."""
    return _books(_bills_of_clients(client_ids), _payments_of_clients(client_ids))


def read_bills(jobs: Collection[int]) -> Books:
    """Return the bills of jobs with their lines, with no accounts. Costs a query."""
    return _books(_bills_of_jobs(jobs), (), is_whole=False)


def read_bills_of_open_jobs() -> Books:
    """Return those of all open jobs. Costs a query."""
    return _books(_bills_of_open_jobs(), (), is_whole=False)


def read_entries(since: date, until: date) -> Books:
    """Return what was billed and moved in a period, both days in it, with no accounts. Costs three queries.

    An entry doesn't say which invoices it is for.
    """
    span = {"gte": since, "lte": until}
    bills = _documents().filter(**{f"dated__{name}": day for name, day in span.items()})
    payments = _payments().filter(**{f"on__{name}": day for name, day in span.items()})
    return _books(bills, payments, is_whole=False)


def _books(bills: Iterable[Any], moved: Iterable[Payment], *, is_whole: bool = True) -> Books:
    """Return the books of these bills, which come with their `first_event`, and of these payments."""
    documents = list(bills)
    payments = _with_returns(moved)
    invoices = {document.pk: str(document) for document in documents}
    rows: list[tuple[tuple[date, int, int, int], int, AccountEntry]] = []
    for document in documents:
        order = (document.dated, document.first_event, 0, document.pk)
        rows.append((order, document.job.client_id, _bill_entry(document)))
    for payment in payments:
        meant_for = (invoices.get(link.invoice_id, "") for link in payment.meant_for.all())
        entry = entry_of(payment, filter(None, meant_for))
        rows.append(((payment.on, payment.place, 1, payment.pk), payment.client_id, entry))
    by_client: dict[int, list[AccountEntry]] = defaultdict(list)
    for _, client_id, entry in sorted(rows, key=lambda row: row[0]):
        by_client[client_id].append(entry)
    return Books(
        by_client,
        {client_id: account_after(entries) for client_id, entries in by_client.items()} if is_whole else {},
        {str(document): document for document in documents},
        {str(document): read_lines(document.read_basis()) for document in documents},
        {str(payment): payment for payment in payments},
    )


def _documents() -> QuerySet[Document]:
    bills = Document.objects.filter(kind__in=BILLED).select_related("job__client").defer("pdf", "snapshot")
    return bills.annotate(first_event=Min("events__place"))


@prepared
def _bills_of_clients(clients: Collection[int]) -> QuerySet[Document]:
    return _documents().filter(job__client__in=clients)


@prepared
def _bills_of_jobs(jobs: Collection[int]) -> QuerySet[Document]:
    return _documents().filter(job__in=jobs)


@prepared
def _bills_of_open_jobs() -> QuerySet[Document]:
    return _documents().filter(job__in=Job.objects.open_keys())


@prepared
def _payments_of_clients(clients: Collection[int]) -> QuerySet[Payment]:
    return _payments().filter(client__in=clients)


def _payments() -> QuerySet[Payment]:
    rows = Payment.objects.select_related("client", "job")
    return rows.prefetch_related(Prefetch("meant_for", PaymentFor.objects.order_by("pk")))


def _with_returns(moved: Iterable[Payment]) -> list[Payment]:
    """Return payments, each knowing by which of them it was taken back: joins would cost more."""
    payments = list(moved)
    by_pk = {payment.pk: payment for payment in payments}
    for payment in payments:
        _TAKEN_BACK.set_cached_value(payment, None)
    for payment in payments:
        if payment.of_id in by_pk:
            payment.of = by_pk[payment.of_id]
    return payments


def _bill_entry(document: Document) -> AccountEntry:
    """Return the entry of an issued invoice or credit note."""
    basis = document.read_basis()
    sums = read_sums(basis)
    return AccountEntry(
        EntryKind.CREDIT_NOTE if sums.corrects else EntryKind.INVOICE,
        str(document),
        document.dated,
        sums.total,
        tax=sums.tax,
        taxable=sums.taxable,
        refers_to=sums.corrects,
        due=sums.due,
        description=f"{document}, {document.job.name}",
        split=split_by_account(read_lines(basis)),
    )


def entry_of(payment: Payment, invoices: Iterable[str] = ()) -> AccountEntry:
    """Return the entry of a payment; `invoices` are the keys of those that it is for."""
    invoices = tuple(invoices)
    is_credit = payment.kind == Payment.Kind.CREDIT_USED
    title = f"Credit put on {invoices[0]}" if is_credit else Payment.Kind(payment.kind).label
    return AccountEntry(
        _ENTRY_KINDS[Payment.Kind(payment.kind)],
        str(payment),
        payment.on,
        payment.amount.amount,
        refers_to=str(Payment(pk=payment.of_id, kind=Payment.Kind.PAYMENT)) if payment.of_id else "",
        invoices=invoices,
        description=f"{title}, {payment.method_in_words()}",
    )


@dataclass(frozen=True)
class JobBalance:
    """What was billed and paid on a job, and the credit that is held on its client's account."""

    owed: tuple[Receivable, ...]
    billed: Decimal
    credited: Decimal
    paid: Decimal
    open: Decimal
    credit: Decimal
    ages: AgedBalance


def job_balance(books: Books, job: Job, today: date) -> JobBalance:
    """Return the balance of a job as of a day."""
    client_account = books.account_of(job.client_id)
    owed = tuple(item for item in client_account.receivables if books.job_of(item.key) == job)
    return JobBalance(
        owed=owed,
        billed=sum_money(item.total for item in owed if item.key in books.documents),
        credited=sum_money(item.credited for item in owed),
        paid=sum_money(item.paid for item in owed),
        open=sum_money(item.open for item in owed),
        credit=client_account.credit,
        ages=aged_balance(replace(client_account, receivables=owed, credit_by_payment=()), today),
    )


def payments_of_job(books: Books, job: Job) -> list[Payment]:
    """Return the payments on a job's page, newest first: those entered there, and those of its invoices."""
    owed = (item for item in books.account_of(job.client_id).receivables if books.job_of(item.key) == job)
    paying = {key for item in owed for key, _ in item.paid_by}
    return [row for key, row in books.payments.items() if row.job_id == job.pk or key in paying]


def uses_in_words(books: Books, payment: Payment) -> str:
    """Say what a payment was used for: "Invoice 2, Invoice 4, $20.00 credit on account"."""
    if payment.kind == Payment.Kind.CREDIT_USED:
        return ", ".join(str(document) for document in books.invoices_of(payment))
    uses = [item.key for item, _ in books.paid_with(payment)]
    if unused := books.unused_credit(payment):
        uses.append(f"{format_price(unused)} credit on account")
    return ", ".join(uses)


def held_on(books: Books, job: Job) -> Decimal:
    """Return the retainage that the job's bills left out and none released yet, before sales tax."""
    return -total(line for line in books.billed_lines(job) if line.kind in RETAINAGE_KINDS)
