"""The lines of bills and credit notes, of which the billing history of a job is made.

The history is every line of the issued invoices and credit notes of one job, credit notes with the
opposite sign. All amounts are before sales tax. Tax follows the money that is asked for: retainage that
is held back is taxed when it is released, a deposit when it is billed.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal
from enum import StrEnum

from invoicing.milestones.plan import NO_MONEY, sum_money


class BillLineKind(StrEnum):
    """What a line asks for. HELD and DEPOSIT_APPLIED are below zero on a bill.

    LATE, a late charge, and RETURNED, the fee for a check that the bank returned, are asked for beside the
    contract sum; `change` of their lines names the invoice that was late, or the entry of the return.
    """

    MILESTONE = "milestone"
    CHANGE = "change"
    HELD = "retainage held"
    RELEASED = "retainage released"
    DEPOSIT = "deposit"
    DEPOSIT_APPLIED = "deposit applied"
    LATE = "late charge"
    RETURNED = "returned check"


WORK_KINDS = (BillLineKind.MILESTONE, BillLineKind.CHANGE)
RETAINAGE_KINDS = (BillLineKind.HELD, BillLineKind.RELEASED)
BESIDE_CONTRACT_KINDS = (BillLineKind.LATE, BillLineKind.RETURNED)
DEPOSIT_KINDS = (BillLineKind.DEPOSIT, BillLineKind.DEPOSIT_APPLIED)


@dataclass(frozen=True)
class BillLine:
    """A line of a bill or, with the opposite sign, of a credit note. `taxable` is part of `amount`.

    `retained` says whether the bill holds retainage back from it: from work, but not from a deposit nor on
    the bill that releases what is held.
    """

    kind: BillLineKind
    title: str
    amount: Decimal
    taxable: Decimal = NO_MONEY
    milestone: str = ""
    change: str = ""
    retained: bool = True

    @property
    def key(self) -> tuple[str, str, str]:
        """What tells the line from the others of its bill: no bill has two lines of one key."""
        return (self.kind, self.milestone, self.change)

    def negated(self) -> "BillLine":
        """Return the line with the opposite sign."""
        return replace(self, amount=-self.amount, taxable=-self.taxable)


def total(lines: Iterable[BillLine]) -> Decimal:
    """Return what lines come to."""
    return sum_money(line.amount for line in lines)


def total_taxable(lines: Iterable[BillLine]) -> Decimal:
    """Return what is taxed of lines."""
    return sum_money(line.taxable for line in lines)


def work_billed(history: Iterable[BillLine], milestone: str) -> list[BillLine]:
    """Return the lines that billed or credited the work of a milestone, its signed changes included."""
    return [line for line in history if line.kind in WORK_KINDS and line.milestone == milestone]
