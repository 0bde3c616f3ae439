"""What a client owes by age, and his statement of account."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from invoicing.milestones.plan import NO_MONEY
from invoicing.receivables.balances import Account, Entry

LIMITS = (0, 30, 60, 90)  # days past the due date up to which each bucket but the last goes


@dataclass(frozen=True)
class Ages:
    """Open money by days past its due date, and credit (zero or below): together the balance."""

    not_late: Decimal  # due today or later
    to_30: Decimal
    to_60: Decimal
    to_90: Decimal
    over_90: Decimal
    credit: Decimal

    @property
    def late(self) -> Decimal:
        return self.to_30 + self.to_60 + self.to_90 + self.over_90

    @property
    def balance(self) -> Decimal:
        return self.not_late + self.late + self.credit

    def __add__(self, other: "Ages") -> "Ages":
        """Both together, as for all clients of the firm."""
        mine, theirs = vars(self).values(), vars(other).values()
        return Ages(*(one + another for one, another in zip(mine, theirs, strict=True)))


NOTHING_OWED = Ages(*[NO_MONEY] * 6)


def ages(state: Account, today: date) -> Ages:
    """What is open by age: 30 days past the due date is up to 30, 31 is up to 60."""
    sums = [NO_MONEY] * (len(LIMITS) + 1)
    for each in state.owed:
        days = (today - each.due).days
        sums[sum(days > limit for limit in LIMITS)] += each.open
    return Ages(*sums, credit=-state.credit)


@dataclass(frozen=True)
class StatementRow:
    """One row of a statement: what it adds to the balance or takes off it, and the balance after it."""

    on: date
    key: str
    says: str
    charge: Decimal
    credit: Decimal
    balance: Decimal


def statement(entries: Iterable[Entry], since: date, until: date) -> tuple[StatementRow, ...]:
    """A client's statement of a period, both days in it; the first row brings the balance forward."""
    ordered = sorted(entries, key=lambda each: each.on)
    balance = sum((entry.owed for entry in ordered if entry.on < since), NO_MONEY)
    rows = [StatementRow(since, "", "Brought forward", NO_MONEY, NO_MONEY, balance)]
    for entry in ordered:
        if since <= entry.on <= until:
            balance += entry.owed
            charge, credit = max(entry.owed, NO_MONEY), max(-entry.owed, NO_MONEY)
            says = entry.says or entry.kind.capitalize()
            rows.append(StatementRow(entry.on, entry.key, says, charge, credit, balance))
    return tuple(rows)
