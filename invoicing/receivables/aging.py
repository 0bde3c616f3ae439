"""What a client owes by age: the open money of his account by days past the due date."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from invoicing.milestones.plan import NO_MONEY
from invoicing.receivables.balances import ClientAccount

AGE_LIMITS = (0, 30, 60, 90)  # days past the due date up to which each group but the last goes


@dataclass(frozen=True)
class AgedBalance:
    """Open money by days past its due date, and credit, which is zero or below; together the balance."""

    not_late: Decimal  # due today or later
    to_30: Decimal
    to_60: Decimal
    to_90: Decimal
    over_90: Decimal
    credit: Decimal

    @property
    def late(self) -> Decimal:
        """All open money past its due date."""
        return self.to_30 + self.to_60 + self.to_90 + self.over_90

    @property
    def balance(self) -> Decimal:
        """What the client owes in all; below zero, what the firm holds for him."""
        return self.not_late + self.late + self.credit

    def __add__(self, other: "AgedBalance") -> "AgedBalance":
        """Add up two accounts, as for all clients of the firm."""
        mine, theirs = vars(self).values(), vars(other).values()
        return AgedBalance(*(amount + added for amount, added in zip(mine, theirs, strict=True)))


NOTHING_OWED = AgedBalance(*[NO_MONEY] * 6)


def aged_balance(account: ClientAccount, today: date) -> AgedBalance:
    """Return what is open by age: 30 days past the due date count as up to 30, 31 as up to 60."""
    sums = [NO_MONEY] * (len(AGE_LIMITS) + 1)
    for receivable in account.receivables:
        sums[age_group(receivable.due, today)] += receivable.open
    return AgedBalance(*[*sums, -account.credit])


def age_group(due: date, today: date) -> int:
    """Return the group that money due on a day falls into: 0 not late, 1 up to 30 days, ... 4 over 90."""
    days = (today - due).days
    return sum(days > limit for limit in AGE_LIMITS)
