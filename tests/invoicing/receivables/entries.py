"""Entries of a client's account with amounts as text."""

from datetime import date
from decimal import Decimal

from invoicing.receivables.balances import AccountEntry, EntryKind

MARCH, APRIL = date(2026, 3, 20), date(2026, 4, 2)


def entry(
    kind: EntryKind,
    key: str,
    on: date,
    amount: str,
    tax: str = "0.00",
    taxable: str = "0.00",
    refers_to: str = "",
    due: date | None = None,
    split: tuple[tuple[str, Decimal], ...] = (),
) -> AccountEntry:
    return AccountEntry(
        kind, key, on, Decimal(amount), Decimal(tax), Decimal(taxable), refers_to, due=due, split=split
    )


BILL = entry(EntryKind.INVOICE, "I1", MARCH, "107.25", "7.25", "100.00")


DAY = date(2026, 3, 1)


def day(number: int) -> date:
    return date.fromordinal(DAY.toordinal() + number)


def invoice(key: str, amount: str, on: int = 0, due: int | None = None, tax: str = "0.00") -> AccountEntry:
    due_on = day(on + 5 if due is None else due)
    return AccountEntry(EntryKind.INVOICE, key, day(on), Decimal(amount), Decimal(tax), due=due_on)


def payment(key: str, amount: str, on: int = 10, *invoices: str) -> AccountEntry:
    return AccountEntry(
        EntryKind.PAYMENT, key, day(on), Decimal(amount), invoices=invoices, description="Check"
    )


def credit_note(key: str, amount: str, of: str, on: int = 20) -> AccountEntry:
    return AccountEntry(EntryKind.CREDIT_NOTE, key, day(on), Decimal(amount), refers_to=of)


def returned(key: str, amount: str, of: str, on: int = 30) -> AccountEntry:
    return AccountEntry(EntryKind.RETURN, key, day(on), Decimal(amount), refers_to=of)


def refund(key: str, amount: str, on: int = 25) -> AccountEntry:
    return AccountEntry(EntryKind.REFUND, key, day(on), Decimal(amount))


def credit_applied(key: str, amount: str, invoice: str, on: int = 28) -> AccountEntry:
    return AccountEntry(EntryKind.CREDIT_APPLIED, key, day(on), Decimal(amount), invoices=(invoice,))
