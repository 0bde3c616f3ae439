"""The snapshot of a client's statement of account. Sums are "1234.50", dates ISO.

The keys must stay as they are: the templates of documents read them.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from catalog.money.amounts import format_price
from estimating.plain_text import day_in_words, money
from estimating.snapshots.wording import DocumentParty
from invoicing.receivables.aging import AgedBalance, aged_balance
from invoicing.receivables.balances import AccountEntry, account_after
from invoicing.receivables.statement import account_statement


@dataclass(frozen=True)
class StatementHeader:
    """Whose account it is, and the period, both days in it; `job` is the one whose page it will stand on."""

    firm: DocumentParty
    client: DocumentParty
    since: date
    until: date
    paper_size: str = "letter"
    job: str = "Statement"


def statement_snapshot(header: StatementHeader, entries: Sequence[AccountEntry]) -> dict[str, Any]:
    """Return what was billed and paid in the period, the balance after each, and what is open by age.

    The ages are those on the last day of the period.
    """
    rows = account_statement(entries, header.since, header.until)
    aged = aged_balance(account_after(entries, as_of=header.until), header.until)
    return {
        "kind": "statement",
        "paper": header.paper_size,
        "title": f"Statement of account: {header.client.name}",
        "first_line": _first_line(rows[-1].balance, header.until),
        "firm": header.firm.for_snapshot(),
        "client": header.client.for_snapshot(),
        "job": {"name": header.job, "address": []},
        "dated": header.until.isoformat(),
        "since": header.since.isoformat(),
        "rows": [
            {
                "on": row.on.isoformat(),
                "says": row.description,
                "charge": money(row.charge) if row.charge else "",
                "credit": money(row.credit) if row.credit else "",
                "balance": money(row.balance),
            }
            for row in rows
        ],
        "balance": money(rows[-1].balance),
        "total": money(rows[-1].balance),
        "ages": _age_rows(aged),
    }


def _first_line(balance: Decimal, until: date) -> str:
    day = day_in_words(until)
    if balance > 0:
        return f"On {day} you owed {format_price(balance)}. What is past its due date is asked for now."
    if balance < 0:
        return f"On {day} we held {format_price(-balance)} for you."
    return f"On {day} nothing was owed."


def _age_rows(aged: AgedBalance) -> list[Mapping[str, str]]:
    groups = (
        ("Not due yet", aged.not_late),
        ("1 to 30 days overdue", aged.to_30),
        ("31 to 60 days overdue", aged.to_60),
        ("61 to 90 days overdue", aged.to_90),
        ("More than 90 days overdue", aged.over_90),
        ("Credit on account", aged.credit),
    )
    return [{"label": label, "amount": money(amount)} for label, amount in groups if amount]
