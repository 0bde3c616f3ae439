"""A client's statement of account: what was charged and credited in a period, with a running balance."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from invoicing.milestones.plan import NO_MONEY, sum_money
from invoicing.receivables.balances import AccountEntry


@dataclass(frozen=True)
class StatementRow:
    """A row of a statement: what it adds to the balance or takes off it, and the balance after it."""

    on: date
    key: str
    description: str
    charge: Decimal
    credit: Decimal
    balance: Decimal


def account_statement(entries: Iterable[AccountEntry], since: date, until: date) -> tuple[StatementRow, ...]:
    """Return the statement of a period, both days in it; the first row brings the balance forward."""
    ordered = sorted(entries, key=lambda entry: entry.on)
    balance = sum_money(entry.balance_change for entry in ordered if entry.on < since)
    rows = [StatementRow(since, "", "Brought forward", NO_MONEY, NO_MONEY, balance)]
    for entry in ordered:
        if since <= entry.on <= until:
            change = entry.balance_change
            balance += change
            charge, credit = max(change, NO_MONEY), max(-change, NO_MONEY)
            rows.append(StatementRow(entry.on, entry.key, entry.title, charge, credit, balance))
    return tuple(rows)
