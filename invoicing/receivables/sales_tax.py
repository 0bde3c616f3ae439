"""Sales tax by period for the bookkeeper, as it was billed and as it was paid."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from catalog.money.amounts import round_cents
from invoicing.milestones.plan import NO_MONEY, sum_money
from invoicing.receivables.balances import AccountEntry, ClientAccount, EntryKind, accounts_by_month


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


@dataclass(frozen=True)
class TaxMonth:
    """Sales tax of one month, credit notes taken off; `month` is its first day."""

    month: date
    billed: Decimal
    taxable: Decimal
    tax: Decimal
    tax_paid: Decimal


def tax_by_month(entries: Sequence[AccountEntry]) -> tuple[TaxMonth, ...]:
    """Return the tax of each month that has an entry, of one client: within an account money is matched to
    invoices."""
    months, paid_before = [], NO_MONEY
    for month, account in accounts_by_month(entries):
        billed = taxable = tax = NO_MONEY
        for entry in entries:
            if entry.on.replace(day=1) == month and entry.kind in (EntryKind.INVOICE, EntryKind.CREDIT_NOTE):
                sign = 1 if entry.kind == EntryKind.INVOICE else -1
                billed += sign * (entry.amount - entry.tax)
                taxable += sign * entry.taxable
                tax += sign * entry.tax
        paid = _tax_paid(account)
        months.append(TaxMonth(month, billed, taxable, tax, paid - paid_before))
        paid_before = paid
    return tuple(months)


def tax_by_period(
    months: Iterable[TaxMonth], period: Period, since: date, until: date
) -> tuple[SalesTaxRow, ...]:
    """Return the tax of each period, from the one that holds `since` to the one that holds `until`.

    States ask for tax when it is billed or when it is paid; the firm's tax account says which. `months` are
    those of all clients, added up or not.
    """
    by_period: dict[date, list[TaxMonth]] = defaultdict(list)
    for month in months:
        by_period[_first_day(month.month, period)].append(month)
    rows = []
    first, end = whole_periods(period, since, until)
    while first <= end:
        last, of_period = _last_day(first, period), by_period[first]
        rows.append(
            SalesTaxRow(
                first,
                last,
                billed=sum_money(month.billed for month in of_period),
                taxable=sum_money(month.taxable for month in of_period),
                tax=sum_money(month.tax for month in of_period),
                tax_paid=sum_money(month.tax_paid for month in of_period),
            )
        )
        first = last + timedelta(days=1)
    return tuple(rows)


def whole_periods(period: Period, since: date, until: date) -> tuple[date, date]:
    """Return the first and the last day of the periods that hold these days."""
    return _first_day(since, period), _last_day(until, period)


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


def _first_day(day: date, period: Period) -> date:
    """Return the first day of the period that holds a day; periods begin in January."""
    months = MONTHS[period]
    return date(day.year, (day.month - 1) // months * months + 1, 1)


def _last_day(day: date, period: Period) -> date:
    following = _first_day(_first_day(day, period) + timedelta(days=31 * MONTHS[period]), period)
    return following - timedelta(days=1)
