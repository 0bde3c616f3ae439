"""A client's statement of account as a snapshot for paper. Sums are "1234.50", dates ISO."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from catalog.money.amounts import format_price
from estimating.plain_text import day_in_words, money
from estimating.snapshots.wording import DocumentParty
from invoicing.receivables.ageing import Ages, ages, statement
from invoicing.receivables.balances import Entry, account


@dataclass(frozen=True)
class StatementHead:
    """Whose account, and the period, both days in it."""

    firm: DocumentParty
    client: DocumentParty
    since: date
    until: date
    paper_size: str = "letter"


def statement_snapshot(head: StatementHead, entries: Sequence[Entry]) -> dict[str, Any]:
    """What was billed and paid in the period, the balance after each, and what is open by age at its end."""
    rows = statement(entries, head.since, head.until)
    aged = ages(account(entries, as_of=head.until), head.until)
    return {
        "kind": "statement",
        "paper": head.paper_size,
        "title": f"Statement of account: {head.client.name}",
        "first_line": _first_line(rows[-1].balance, head.until),
        "firm": head.firm.for_snapshot(),
        "client": head.client.for_snapshot(),
        "job": {"name": "Statement", "address": []},
        "dated": head.until.isoformat(),
        "since": head.since.isoformat(),
        "rows": [
            {
                "on": row.on.isoformat(),
                "says": row.says,
                "charge": money(row.charge) if row.charge else "",
                "credit": money(row.credit) if row.credit else "",
                "balance": money(row.balance),
            }
            for row in rows
        ],
        "balance": money(rows[-1].balance),
        "ages": _ages(aged),
    }


def _first_line(balance: Decimal, until: date) -> str:
    day = day_in_words(until)
    if balance > 0:
        return f"On {day} you owed {format_price(balance)}. What is past its due date is asked for now."
    if balance < 0:
        return f"On {day} we held {format_price(-balance)} for you."
    return f"On {day} nothing was owed."


def _ages(aged: Ages) -> list[Mapping[str, str]]:
    named = (
        ("Not due yet", aged.not_late),
        ("1 to 30 days overdue", aged.to_30),
        ("31 to 60 days overdue", aged.to_60),
        ("61 to 90 days overdue", aged.to_90),
        ("More than 90 days overdue", aged.over_90),
        ("Held as credit", aged.credit),
    )
    return [{"label": label, "amount": money(amount)} for label, amount in named if amount]
