"""For the bookkeeper: a double-entry journal that balances, and sales tax by period."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from catalog.money.amounts import round_cents
from invoicing.billing.draft import BillLine
from invoicing.billing.draft import Kind as LineKind
from invoicing.milestones.plan import NO_MONEY
from invoicing.receivables.balances import Account, Entry, EntryFault, Kind, account

RECEIVABLE = "Accounts receivable"
INCOME = "Contract income"
RETAINAGE = "Retainage receivable"
DEPOSITS = "Customer deposits"
TAX = "Sales tax payable"
BANK = "Bank"
LATE_CHARGES = "Late charges"

ACCOUNT_OF = {
    LineKind.MILESTONE: INCOME,
    LineKind.CHANGE: INCOME,
    LineKind.HELD: RETAINAGE,
    LineKind.RELEASED: RETAINAGE,
    LineKind.DEPOSIT: DEPOSITS,
    LineKind.DEPOSIT_APPLIED: DEPOSITS,
    LineKind.LATE: LATE_CHARGES,
}


@dataclass(frozen=True)
class JournalLine:
    """One side of a journal entry; one of debit and credit is zero."""

    on: date
    entry: str
    account: str
    debit: Decimal
    credit: Decimal
    says: str


def split_by_account(lines: Iterable[BillLine]) -> tuple[tuple[str, Decimal], ...]:
    """The `split` of an entry from the lines of its invoice or (turned) credit note."""
    sums: dict[str, Decimal] = {}
    for line in lines:
        name = ACCOUNT_OF[line.kind]
        sums[name] = sums.get(name, NO_MONEY) + line.amount
    return tuple((name, amount) for name, amount in sums.items() if amount)


def journal(entries: Iterable[Entry]) -> tuple[JournalLine, ...]:
    """Every entry as balanced debits and credits, by date.

    Raises EntryFault when an entry's split isn't its amount before tax.
    """
    ordered = sorted(entries, key=lambda each: each.on)
    return tuple(line for entry in ordered for line in _lines(entry))


def _lines(entry: Entry) -> Iterable[JournalLine]:
    for name, debit in [(RECEIVABLE, entry.owed), *_other_side(entry)]:
        if debit:
            says = entry.says or entry.kind.capitalize()
            yield JournalLine(entry.on, entry.key, name, max(debit, NO_MONEY), max(-debit, NO_MONEY), says)


def _other_side(entry: Entry) -> list[tuple[str, Decimal]]:
    """Accounts against the receivable, each with its debit (a credit is below zero)."""
    if entry.kind not in (Kind.INVOICE, Kind.CREDIT_NOTE):
        return [(BANK, -entry.owed)]
    tax = entry.tax if entry.kind == Kind.INVOICE else -entry.tax
    before_tax = entry.owed - tax
    split = entry.split or ((INCOME, before_tax),)
    if sum((amount for _, amount in split), NO_MONEY) != before_tax:
        raise EntryFault(f"{entry.key}: its accounts don't sum to its amount before tax.")
    return [(name, -amount) for name, amount in split] + [(TAX, -tax)]


class Period(StrEnum):
    MONTH = "month"
    QUARTER = "quarter"
    YEAR = "year"


MONTHS = {Period.MONTH: 1, Period.QUARTER: 3, Period.YEAR: 12}


@dataclass(frozen=True)
class TaxRow:
    """Sales tax of one period, credit notes taken off: by what was billed, and by what was paid."""

    first: date
    last: date
    billed: Decimal  # before tax
    taxable: Decimal  # of it
    tax: Decimal
    tax_paid: Decimal  # tax in the money that came in, by each invoice's own share of tax


def tax_by_period(entries: Sequence[Entry], period: Period, since: date, until: date) -> tuple[TaxRow, ...]:
    """Tax of each period from the one that holds `since` to the one that holds `until`.

    States ask for it when it is billed or when it is paid; the firm's tax account says which. Pass the
    entries of one client at a time and add the rows up: money is matched to invoices within an account.
    """
    rows = []
    first = _start(since, MONTHS[period])
    while first <= until:
        following = _start(first + timedelta(days=31 * MONTHS[period]), MONTHS[period])
        rows.append(_tax_row(entries, first, following - timedelta(days=1)))
        first = following
    return tuple(rows)


def _tax_row(entries: Sequence[Entry], first: date, last: date) -> TaxRow:
    billed = taxable = tax = NO_MONEY
    for entry in entries:
        if first <= entry.on <= last and entry.kind in (Kind.INVOICE, Kind.CREDIT_NOTE):
            sign = 1 if entry.kind == Kind.INVOICE else -1
            billed += sign * (entry.amount - entry.tax)
            taxable += sign * entry.taxable
            tax += sign * entry.tax
    paid = _tax_paid(account(entries, last)) - _tax_paid(account(entries, first - timedelta(days=1)))
    return TaxRow(first, last, billed, taxable, tax, paid)


def _tax_paid(state: Account) -> Decimal:
    """Tax in the money that has come in so far; an invoice paid in full has all of its tax in it."""
    paid = NO_MONEY
    for each in state.owed:
        if left := each.total - each.credited:
            paid += round_cents(Fraction(each.tax - each.credited_tax) * Fraction(each.paid) / Fraction(left))
    return paid


def _start(day: date, months: int) -> date:
    return date(day.year, (day.month - 1) // months * months + 1, 1)
