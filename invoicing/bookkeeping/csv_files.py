"""The files for the bookkeeper, as headings and rows of plain text. Dates are ISO, sums "1234.50"."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import QuerySet

from estimating.models import Acceptance, Document, Job
from estimating.plain_text import money
from invoicing.ledger.accounts import read_entries
from invoicing.ledger.kept_sums import dollars, kept_bills, tax_months
from invoicing.models import KeptBill, Payment
from invoicing.receivables.journal import journal
from invoicing.receivables.material_costs import MaterialCosts, material_costs
from invoicing.receivables.sales_tax import Period, SalesTaxRow, tax_by_period, whole_periods


@dataclass(frozen=True)
class Span:
    """The days of a file, both counted, and the periods that sales tax is summed up by."""

    since: date
    until: date
    by: Period = Period.QUARTER


@dataclass(frozen=True)
class CsvTable:
    """One file: its headings and its rows."""

    headings: tuple[str, ...]
    rows: tuple[Sequence[str], ...]


def invoices_table(span: Span) -> CsvTable:
    """Return invoices and credit notes of a period; what a credit note takes off is below zero.

    What is credited, paid and open of an invoice is as of now.
    """
    rows = tuple(_invoice_row(bill) for bill in kept_bills(span.since, span.until))
    headings = "date paper credits client job due before_tax taxable tax total credited paid open"
    return CsvTable(tuple(headings.split()), rows)


def _invoice_row(bill: KeptBill) -> Sequence[str]:
    document, corrects = bill.document, bill.document.billed.corrects
    sums = (bill.before_tax, bill.taxable, bill.tax, bill.before_tax + bill.tax)
    settled = (bill.credited, bill.paid, bill.open)
    return (
        bill.dated.isoformat(),
        str(document),
        str(corrects) if corrects else "",
        document.job.client.name,
        document.job.name,
        bill.due.isoformat() if bill.due else "",
        *(money(dollars(amount)) for amount in sums),
        *("" if amount is None else money(dollars(amount)) for amount in settled),
    )


def payments_table(span: Span) -> CsvTable:
    """Return money that moved in a period; what went out is below zero. Costs a query."""
    moved = Payment.objects.filter(on__gte=span.since, on__lte=span.until).select_related("client", "of")
    rows = tuple(
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
        for payment in moved.exclude(kind=Payment.Kind.CREDIT_USED).order_by("on", "pk")
    )
    headings = ("date", "entry", "takes_back", "client", "how", "reference", "amount", "why", "note")
    return CsvTable(headings, rows)


def tax_table(span: Span) -> CsvTable:
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
        for row in firm_tax(span)
    )
    return CsvTable(("first", "last", "billed_before_tax", "taxable", "tax_billed", "tax_paid"), rows)


def firm_tax(span: Span) -> Sequence[SalesTaxRow]:
    """Return the rows of all clients together, period by period."""
    first, last = whole_periods(span.by, span.since, span.until)
    return tax_by_period(tax_months(first, last), span.by, span.since, span.until)


def journal_table(span: Span) -> CsvTable:
    """Return the double-entry journal of a period; the debits come to the credits."""
    books = read_entries(span.since, span.until)
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
    )
    return CsvTable(("date", "entry", "account", "debit", "credit", "client", "says"), rows)


def materials_table(span: Span) -> CsvTable:
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
TABLES: Mapping[str, Callable[[Span], CsvTable]] = {
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
