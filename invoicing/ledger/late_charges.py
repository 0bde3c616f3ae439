"""The late charge on an invoice and the fee for a returned check, as the contract states them."""

from datetime import date
from decimal import Decimal
from fractions import Fraction

from invoicing.billing.lines import BillLineKind
from invoicing.ledger.accounts import Books
from invoicing.milestones.plan import NO_MONEY, sum_money
from invoicing.receivables.balances import Receivable
from invoicing.receivables.late_charges import LateChargeTerms, late_charge_on


def unbilled_late_charge(books: Books, owed: Receivable, percent: Decimal, until: date) -> Decimal:
    """Return what the late charge on an invoice comes to up to a day and isn't billed yet.

    `percent` a year is what its contract states; $0.00 where that is 0. A late charge that is late
    costs nothing more: the interest is simple.
    """
    lines = books.lines.get(owed.key, ())
    if not percent or any(line.kind == BillLineKind.LATE for line in lines):
        return NO_MONEY
    entries = books.entries[books.client_of(owed.key).pk]
    charged = sum_money(
        line.amount
        for bill_lines in books.lines.values()
        for line in bill_lines
        if line.kind == BillLineKind.LATE and line.change == owed.key
    )
    return late_charge_on(entries, owed.key, LateChargeTerms(Fraction(percent) / 100), until, charged)


def unbilled_returned_fee(books: Books, returned: str, fee: Decimal) -> Decimal:
    """Return the fee for a check that came back by this entry, less what is billed of it."""
    charged = sum_money(
        line.amount
        for bill_lines in books.lines.values()
        for line in bill_lines
        if line.kind == BillLineKind.RETURNED and line.change == returned
    )
    return max(fee - charged, NO_MONEY)
