"""The files for the bookkeeper, as headings and rows of plain text. Dates are ISO, sums "1234.50"."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import QuerySet

from estimating.models import Acceptance, Document, Job
from estimating.plain_text import money
from invoicing.ledger.accounts import Books
from invoicing.milestones.plan import NO_MONEY, sum_money
from invoicing.receivables.balances import AccountEntry
from invoicing.receivables.journal import journal
from invoicing.receivables.material_costs import MaterialCosts, material_costs
from invoicing.receivables.sales_tax import Period, SalesTaxRow, tax_by_period


@dataclass(frozen=True)
class Span:
    """The days of a file, both counted, and the periods that sales tax is summed up by."""

    since: date
    until: date
    by: Period = Period.QUARTER

    def __contains__(self, day: date) -> bool:
        return self.since <= day <= self.until


@dataclass(frozen=True)
class CsvTable:
    """One file: its headings and its rows."""

    headings: tuple[str, ...]
    rows: tuple[Sequence[str], ...]


def invoices_table(books: Books, span: Span) -> CsvTable:
    """Return invoices and credit notes of a period; what a credit note takes off is below zero.

    What is credited, paid and open of an invoice is as of now.
    """
    owed = {
        item.key: item for client_account in books.accounts.values() for item in client_account.receivables
    }
    rows = []
    for entry in _entries_by_date(books, span):
        if document := books.documents.get(entry.key):
            sign = _sign(entry)
            item = owed.get(entry.key)
            rows.append(
                (
                    entry.on.isoformat(),
                    entry.key,
                    entry.refers_to,
                    document.job.client.name,
                    document.job.name,
                    entry.due.isoformat() if entry.due else "",
                    money(sign * (entry.amount - entry.tax) + NO_MONEY),
                    money(sign * entry.taxable + NO_MONEY),
                    money(sign * entry.tax + NO_MONEY),
                    money(sign * entry.amount + NO_MONEY),
                    money(item.credited) if item else "",
                    money(item.paid) if item else "",
                    money(item.open) if item else "",
                )
            )
    headings = "date paper credits client job due before_tax taxable tax total credited paid open"
    return CsvTable(tuple(headings.split()), tuple(rows))


def billed_before_tax(books: Books, span: Span) -> Decimal:
    """Return what was billed in a period before tax, less what was credited."""
    return sum_money(
        _sign(entry) * (entry.amount - entry.tax)
        for entry in _entries_by_date(books, span)
        if entry.key in books.documents
    )


def payments_table(books: Books, span: Span) -> CsvTable:
    """Return money that moved in a period; what went out is below zero."""
    rows = [
        (
            payment.on.isoformat(),
            str(payment),
            str(payment.of) if payment.of else "",
            payment.client.name,
            payment.get_method_display(),
            payment.reference,
            money(payment.bank_amount()),
            payment.get_why_display() if payment.why else "",
            payment.note,
        )
        for payment in reversed(list(books.payments.values()))
        if payment.on in span and payment.bank_amount()
    ]
    headings = ("date", "entry", "takes_back", "client", "how", "reference", "amount", "why", "note")
    return CsvTable(headings, tuple(rows))


def tax_table(books: Books, span: Span) -> CsvTable:
    """Return the sales tax of each period, as billed and as it came in."""
    rows = tuple(
        (
            row.first.isoformat(),
            row.last.isoformat(),
            money(row.billed),
            money(row.taxable),
            money(row.tax),
            money(row.tax_paid),
        )
        for row in firm_tax(books, span)
    )
    return CsvTable(("first", "last", "billed_before_tax", "taxable", "tax_billed", "tax_paid"), rows)


def firm_tax(books: Books, span: Span) -> list[SalesTaxRow]:
    """Return the rows of all clients, added up period by period."""
    by_client = [
        tax_by_period(entries, span.by, span.since, span.until) for entries in books.entries.values()
    ]
    return [_sum_rows(rows) for rows in zip(*by_client, strict=True)]


def _sum_rows(rows: Sequence[SalesTaxRow]) -> SalesTaxRow:
    """Return rows of one period as one."""
    return SalesTaxRow(
        rows[0].first,
        rows[0].last,
        billed=sum_money(row.billed for row in rows),
        taxable=sum_money(row.taxable for row in rows),
        tax=sum_money(row.tax for row in rows),
        tax_paid=sum_money(row.tax_paid for row in rows),
    )


def journal_table(books: Books, span: Span) -> CsvTable:
    """Return the double-entry journal of a period; the debits come to the credits."""
    rows = tuple(
        (
            line.on.isoformat(),
            line.entry,
            line.account,
            money(line.debit) if line.debit else "",
            money(line.credit) if line.credit else "",
            books.client_of(line.entry).name,
            line.description,
        )
        for line in journal(books.all_entries())
        if line.on in span
    )
    return CsvTable(("date", "entry", "account", "debit", "credit", "client", "says"), rows)


def materials_table(books: Books, span: Span) -> CsvTable:
    """Return material of what was signed in the year of the last day, by job. Costs a query.

    It says what material was estimated to cost the firm, its markup, and what the client pays for it, before
    sales tax. What was agreed whole, as by a price of a unit or a credit, stands apart.
    """
    sums: dict[Job, MaterialCosts] = {}
    for acceptance in _signed_in(span.until.year):
        signed = acceptance.signed_basis()
        job = acceptance.document.job
        sums[job] = sums.get(job, MaterialCosts()) + material_costs(signed.basis, signed.options_chosen)
    rows = tuple(
        (
            job.name,
            job.client.name,
            money(material.cost),
            money(material.markup),
            money(material.price),
            money(material.not_split),
        )
        for job, material in sums.items()
    )
    headings = ("job", "client", "material_cost", "markup", "material_price", "agreed_whole")
    return CsvTable(headings, rows)


# The files by the names that stand in their addresses.
TABLES: Mapping[str, Callable[[Books, Span], CsvTable]] = {
    "invoices": invoices_table,
    "payments": payments_table,
    "sales-tax": tax_table,
    "journal": journal_table,
    "materials": materials_table,
}


def _signed_in(year: int) -> QuerySet[Acceptance]:
    kinds = (Document.Kind.ESTIMATE, Document.Kind.CHANGE_ORDER)
    rows = Acceptance.objects.uncanceled().filter(signed_on__year=year, document__kind__in=kinds)
    rows = rows.select_related("document__job__client").defer("document__pdf", "document__snapshot")
    return rows.order_by("document__job", "document")


def _sign(entry: AccountEntry) -> int:
    """Return 1 for an invoice, -1 for a credit note."""
    return 1 if entry.balance_change >= 0 and not entry.refers_to else -1


def _entries_by_date(books: Books, span: Span) -> list[AccountEntry]:
    return sorted((entry for entry in books.all_entries() if entry.on in span), key=lambda entry: entry.on)
