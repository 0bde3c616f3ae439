"""The files for the bookkeeper, as headings and rows of plain text. Dates ISO, sums "1234.50"."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from estimating.models import Acceptance, Document, Job
from estimating.plain_text import money
from invoicing.ledger.accounts import Books, sum_of
from invoicing.milestones.plan import NO_MONEY
from invoicing.payment_plan.plan import signed_paper
from invoicing.receivables.balances import Entry
from invoicing.receivables.journal import Period, TaxRow, journal, tax_by_period
from invoicing.receivables.material_costs import Material, material_of


@dataclass(frozen=True)
class Sheet:
    """One file: its headings and its rows."""

    headings: tuple[str, ...]
    rows: tuple[Sequence[str], ...]


def invoices_sheet(books: Books, since: date, until: date) -> Sheet:
    """Invoices and credit notes of a period; what a credit note takes off is below zero. `paid` and `open`
    are as of now."""
    owed = {each.key: each for state in books.accounts.values() for each in state.owed}
    rows = []
    for entry in _by_date(books, since, until):
        if document := books.documents.get(entry.key):
            sign = 1 if entry.owed >= 0 and not entry.of else -1
            stands = owed.get(entry.key)
            rows.append(
                (
                    entry.on.isoformat(),
                    entry.key,
                    entry.of,
                    document.job.client.name,
                    document.job.name,
                    entry.due.isoformat() if entry.due else "",
                    money(sign * (entry.amount - entry.tax) + NO_MONEY),
                    money(sign * entry.taxable + NO_MONEY),
                    money(sign * entry.tax + NO_MONEY),
                    money(sign * entry.amount + NO_MONEY),
                    money(stands.credited) if stands else "",
                    money(stands.paid) if stands else "",
                    money(stands.open) if stands else "",
                )
            )
    headings = "date paper credits client job due before_tax taxable tax total credited paid open"
    return Sheet(tuple(headings.split()), tuple(rows))


def payments_sheet(books: Books, since: date, until: date) -> Sheet:
    """Money that moved in a period; what went out is below zero."""
    rows = [
        (
            row.on.isoformat(),
            str(row),
            str(row.of) if row.of else "",
            row.client.name,
            row.get_method_display(),
            row.reference,
            money(row.came_in()),
            row.get_why_display() if row.why else "",
            row.note,
        )
        for row in reversed(books.payments.values())
        if since <= row.on <= until and row.came_in()
    ]
    headings = ("date", "entry", "takes_back", "client", "how", "reference", "amount", "why", "note")
    return Sheet(headings, tuple(rows))


def tax_sheet(books: Books, by: Period, since: date, until: date) -> Sheet:
    """Sales tax of each period, as billed and as it came in."""
    rows = tuple(
        (
            row.first.isoformat(),
            row.last.isoformat(),
            money(row.billed),
            money(row.taxable),
            money(row.tax),
            money(row.tax_paid),
        )
        for row in firm_tax(books, by, since, until)
    )
    return Sheet(("first", "last", "billed_before_tax", "taxable", "tax_billed", "tax_paid"), rows)


def firm_tax(books: Books, by: Period, since: date, until: date) -> list[TaxRow]:
    """The rows of all clients, added up period by period."""
    each_client = [tax_by_period(entries, by, since, until) for entries in books.entries.values()]
    return [sum_rows(rows) for rows in zip(*each_client, strict=True)]


def sum_rows(rows: Sequence[TaxRow]) -> TaxRow:
    """Rows of one period as one."""
    sums = [sum_of(getattr(row, name) for row in rows) for name in ("billed", "taxable", "tax", "tax_paid")]
    return TaxRow(rows[0].first, rows[0].last, *sums)


def journal_sheet(books: Books, since: date, until: date) -> Sheet:
    """The double-entry journal of a period; the debits come to the credits."""
    lines = [line for line in journal(books.all_entries()) if since <= line.on <= until]
    rows = tuple(
        (
            line.on.isoformat(),
            line.entry,
            line.account,
            money(line.debit) if line.debit else "",
            money(line.credit) if line.credit else "",
            books.client_of(line.entry).name,
            line.says,
        )
        for line in lines
    )
    return Sheet(("date", "entry", "account", "debit", "credit", "client", "says"), rows)


def materials_sheet(year: int) -> Sheet:
    """Material of what was signed in a year, by job: what it was estimated to cost the firm, its markup,
    and what the client pays for it, before sales tax. What was agreed whole, as by a price of a
    unit or a credit, stands apart."""
    sums: dict[Job, Material] = {}
    for acceptance in _signed_in(year):
        paper = signed_paper(acceptance)
        job = acceptance.document.job
        sums[job] = sums.get(job, Material()) + material_of(paper.basis, paper.options_taken)
    rows = tuple(
        (job.name, job.client.name, *map(money, (each.cost, each.markup, each.price, each.not_split)))
        for job, each in sums.items()
    )
    headings = ("job", "client", "material_cost", "markup", "material_price", "agreed_whole")
    return Sheet(headings, rows)


def _signed_in(year: int) -> Iterable[Acceptance]:
    kinds = (Document.Kind.ESTIMATE, Document.Kind.CHANGE_ORDER)
    rows = Acceptance.objects.uncanceled().filter(signed_on__year=year, document__kind__in=kinds)
    rows = rows.select_related("document__job__client").defer("document__pdf", "document__snapshot")
    return rows.order_by("document__job", "document")


def _by_date(books: Books, since: date, until: date) -> list[Entry]:
    entries = (entry for entry in books.all_entries() if since <= entry.on <= until)
    return sorted(entries, key=lambda each: each.on)
