"""The late charge on an overdue invoice: simple interest, as the contract states it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise

from catalog.money.amounts import round_cents
from invoicing.milestones.plan import NO_MONEY, sum_money
from invoicing.receivables.balances import AccountEntry, account_after


@dataclass(frozen=True)
class LateChargeTerms:
    """The share a year that the contract states, and the days that it counts to a year.

    365 is usual in state law (from memory); the federal formula counts 360 (5 CFR 1315.17). Raises
    ValueError for a share below zero and for any other year.
    """

    yearly: Fraction
    days_in_year: int = 365

    def __post_init__(self) -> None:
        if self.yearly < 0 or self.days_in_year not in (360, 365):
            raise ValueError("A late charge is a share of zero or more a year of 360 or 365 days.")


def late_share(percent: Decimal) -> str:
    """Return a charge in percent a year as papers print it: "12%", "9.5%"."""
    return f"{percent.normalize():f}%"


def late_days(due: date, until: date) -> int:
    """Return the days late: the first is the day after the due date, the last the day of payment.

    Source: U.S. Treasury, Prompt Payment, simple daily interest: due 1 April, paid 11 April is 10 days.
    """
    return max((until - due).days, 0)


def late_charge(amount: Decimal, terms: LateChargeTerms, due: date, until: date) -> Decimal:
    """Return the charge on an amount that was open all the while, rounded once half-up to the cent."""
    return round_cents(_interest(amount, terms, late_days(due, until)))


def late_charge_on(
    entries: Sequence[AccountEntry],
    invoice: str,
    terms: LateChargeTerms,
    until: date,
    charged: Decimal = NO_MONEY,
) -> Decimal:
    """Return the charge on what was open of an invoice day by day, less what was `charged` for it before.

    A payment stops the interest from the day after it. Rounded once half-up to the cent; never below zero.
    Raises EntryFault for an invoice that isn't on the account.
    """
    due = account_after(entries).invoice(invoice).due
    days = sorted({due, until, *(entry.on for entry in entries if due < entry.on < until)})
    interest = Fraction(0)
    for first, last in pairwise(days):
        account = account_after(entries, as_of=first)
        amount = sum_money(receivable.open for receivable in account.receivables if receivable.key == invoice)
        interest += _interest(amount, terms, late_days(max(due, first), last))
    return max(round_cents(interest) - charged, NO_MONEY)


def _interest(amount: Decimal, terms: LateChargeTerms, days: int) -> Fraction:
    return Fraction(amount) * terms.yearly * days / terms.days_in_year
