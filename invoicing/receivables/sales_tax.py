"""Sales tax by period for the bookkeeper, as it was billed and as it was paid."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from catalog.money.amounts import round_cents
from invoicing.milestones.plan import NO_MONEY
from invoicing.receivables.balances import AccountEntry, ClientAccount, EntryKind, account_after


class Period(StrEnum):
    """How long the periods are for which the firm files its sales tax."""

    MONTH = "month"
    QUARTER = "quarter"
    YEAR = "year"


MONTHS = {Period.MONTH: 1, Period.QUARTER: 3, Period.YEAR: 12}


@dataclass(frozen=True)
class SalesTaxRow:
    """Sales tax of one period, credit notes taken off. `first` and `last` are days of the period."""

    first: date
    last: date
    billed: Decimal  # before tax
    taxable: Decimal  # of it
    tax: Decimal
    tax_paid: Decimal  # tax in the money that came in, by each invoice's own share of tax


def tax_by_period(
    entries: Sequence[AccountEntry], period: Period, since: date, until: date
) -> tuple[SalesTaxRow, ...]:
    """Return the tax of each period, from the one that holds `since` to the one that holds `until`.

    States ask for tax when it is billed or when it is paid; the firm's tax account says which. Pass the
    entries of one client at a time and add the rows up: money is matched to invoices within an account.
    """
    rows = []
    first = _first_day(since, MONTHS[period])
    while first <= until:
        following = _first_day(first + timedelta(days=31 * MONTHS[period]), MONTHS[period])
        rows.append(_tax_row(entries, first, following - timedelta(days=1)))
        first = following
    return tuple(rows)


def _tax_row(entries: Sequence[AccountEntry], first: date, last: date) -> SalesTaxRow:
    billed = taxable = tax = NO_MONEY
    for entry in entries:
        if first <= entry.on <= last and entry.kind in (EntryKind.INVOICE, EntryKind.CREDIT_NOTE):
            sign = 1 if entry.kind == EntryKind.INVOICE else -1
            billed += sign * (entry.amount - entry.tax)
            taxable += sign * entry.taxable
            tax += sign * entry.tax
    before = account_after(entries, first - timedelta(days=1))
    paid = _tax_paid(account_after(entries, last)) - _tax_paid(before)
    return SalesTaxRow(first, last, billed, taxable, tax, paid)


def _tax_paid(account: ClientAccount) -> Decimal:
    """Return the tax in the money that has come in so far, of each invoice rounded half-up to the cent.

    An invoice that is paid in full has all of its tax in it.
    """
    paid = NO_MONEY
    for receivable in account.receivables:
        if asked := receivable.total - receivable.credited:
            tax = Fraction(receivable.tax - receivable.credited_tax)
            paid += round_cents(tax * Fraction(receivable.paid) / Fraction(asked))
    return paid


def _first_day(day: date, months: int) -> date:
    """Return the first day of the period of so many months that holds a day; periods begin in January."""
    return date(day.year, (day.month - 1) // months * months + 1, 1)
