"""How issued bills stand: for the list of a job's bills, the page of a bill, and its client."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from catalog.money.amounts import format_price
from estimating.documents.billing_hooks import ClientBill, ClientMoney
from estimating.documents.history import document_rows
from estimating.models import Client, Document, Job
from invoicing.invoices.credit_notes import read_credited_invoice
from invoicing.ledger.accounts import Books, JobBalance, read_books
from invoicing.ledger.history import BILLED
from invoicing.ledger.late_charges import unbilled_late_charge
from invoicing.milestones.contract_amounts import ContractAmounts
from invoicing.payment_plan.contract import signed_late_percent
from invoicing.receivables.balances import Receivable

TEMPLATE = "invoicing/invoices/_issued_bill.html"


@dataclass(frozen=True)
class BillRow:
    """A bill in the list of a job's bills: its state as a document, and how it is paid, in words."""

    document: Document
    state: str
    paid: str

    @property
    def corrects(self) -> Document | None:
        """The invoice that a credit note takes back."""
        return self.document.billed.corrects


def bill_rows(job: Job, books: Books, today: date) -> list[BillRow]:
    """Return the job's invoices and credit notes, newest first. Costs two queries."""
    documents = Document.objects.filter(job=job, kind__in=BILLED).for_list()
    owed = {item.key: item for item in books.account_of(job.client_id).receivables}
    rows = document_rows(documents.select_related("billed__corrects"), today)
    return [BillRow(row.document, row.state, _paid_in_words(owed.get(str(row.document)))) for row in rows]


def _paid_in_words(owed: Receivable | None) -> str:
    """Say how an invoice is paid: "paid", "taken back", or "$20.00 open" where it is paid in part.

    Nothing is said where nothing is paid or credited, and of what asks for nothing.
    """
    if owed is None:
        return ""
    if owed.open:
        return "" if owed.open == owed.total else f"{format_price(owed.open)} open"
    if owed.paid:
        return "paid"
    return "credited" if owed.total else ""


def client_money(client: Client, documents: Sequence[Document]) -> ClientMoney:
    """Return how the invoices among documents of a client are paid, and what he holds as credit."""
    books = read_books(client)
    invoices = [document for document in documents if document.kind == Document.Kind.INVOICE]
    owed = {invoice.pk: books.owed_on(invoice) for invoice in invoices}
    bills = {key: ClientBill(item.due, item.total, item.credited, item.paid) for key, item in owed.items()}
    return ClientMoney(bills, books.account_of(client.pk).credit)


def is_without_contract(contract: ContractAmounts, balance: JobBalance) -> bool:
    """Return whether bills are left of a contract that no longer counts, as after the client canceled."""
    return not contract.is_signed and balance.billed != balance.credited


def is_receipted(owed: Receivable) -> bool:
    """Return whether an invoice is paid in full, so that a receipt can be given."""
    return bool(owed.paid) and not owed.open


def document_page(document: Document, today: date) -> dict[str, Any]:
    """Return what the page of an issued bill shows beside it; `beside` is the template."""
    if document.kind == Document.Kind.CREDIT_NOTE:
        return {"place": "money", "beside": TEMPLATE, "corrects": document.billed.corrects}
    books = read_books(document.job.client)
    owed, credited = books.owed_on(document), read_credited_invoice(document)
    return {
        "place": "money",
        "beside": TEMPLATE,
        "owed": owed,
        "late": owed.days_late(today),
        "late_charge": unbilled_late_charge(books, owed, signed_late_percent(document.job), today),
        "notes": credited.notes,
        "is_receipt": is_receipted(owed),
        "creditable": bool(credited.left()),
    }
