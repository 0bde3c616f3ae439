"""The double-entry journal for the bookkeeper: every entry as debits and credits that balance."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from invoicing.billing.lines import BillLine, BillLineKind
from invoicing.milestones.plan import NO_MONEY, sum_money
from invoicing.receivables.balances import AccountEntry, EntryFault, EntryKind

RECEIVABLE = "Accounts receivable"
INCOME = "Contract income"
RETAINAGE = "Retainage receivable"
DEPOSITS = "Customer deposits"
TAX = "Sales tax payable"
BANK = "Bank"
LATE_CHARGES = "Late charges"
RETURNED_CHECKS = "Returned check fees"

ACCOUNT_OF = {
    BillLineKind.MILESTONE: INCOME,
    BillLineKind.CHANGE: INCOME,
    BillLineKind.HELD: RETAINAGE,
    BillLineKind.RELEASED: RETAINAGE,
    BillLineKind.DEPOSIT: DEPOSITS,
    BillLineKind.DEPOSIT_APPLIED: DEPOSITS,
    BillLineKind.LATE: LATE_CHARGES,
    BillLineKind.RETURNED: RETURNED_CHECKS,
}


@dataclass(frozen=True)
class JournalLine:
    """One side of a journal entry; one of debit and credit is zero. `entry` is the key of the entry."""

    on: date
    entry: str
    account: str
    debit: Decimal
    credit: Decimal
    description: str


def split_by_account(lines: Iterable[BillLine]) -> tuple[tuple[str, Decimal], ...]:
    """Return the `split` of an account entry, from the lines of its invoice or credit note.

    Lines have the sign that they have in the history; accounts that come to nothing are left out.
    """
    sums: dict[str, Decimal] = {}
    for line in lines:
        account = ACCOUNT_OF[line.kind]
        sums[account] = sums.get(account, NO_MONEY) + line.amount
    return tuple((account, amount) for account, amount in sums.items() if amount)


def journal(entries: Iterable[AccountEntry]) -> tuple[JournalLine, ...]:
    """Return every entry as balanced debits and credits, by date.

    Raises EntryFault when an entry's split isn't its amount before tax.
    """
    ordered = sorted(entries, key=lambda entry: entry.on)
    return tuple(line for entry in ordered for line in _lines(entry))


def _lines(entry: AccountEntry) -> Iterator[JournalLine]:
    for account, debit in [(RECEIVABLE, entry.balance_change), *_other_side(entry)]:
        if debit:
            yield JournalLine(
                entry.on, entry.key, account, max(debit, NO_MONEY), max(-debit, NO_MONEY), entry.title
            )


def _other_side(entry: AccountEntry) -> list[tuple[str, Decimal]]:
    """Return the accounts that balance the receivable, each with its debit; a credit is below zero."""
    if entry.kind not in (EntryKind.INVOICE, EntryKind.CREDIT_NOTE):
        return [(BANK, -entry.balance_change)]
    tax = entry.tax if entry.kind == EntryKind.INVOICE else -entry.tax
    before_tax = entry.balance_change - tax
    split = entry.split or ((INCOME, before_tax),)
    if sum_money(amount for _, amount in split) != before_tax:
        raise EntryFault(f"{entry.key}: its accounts don't sum to its amount before tax.")
    return [(account, -amount) for account, amount in split] + [(TAX, -tax)]
