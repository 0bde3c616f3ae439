"""The contract sum: what the client signed, and nothing else."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from catalog.money.amounts import format_price
from estimating.plain_text import day_in_words

ESTIMATE, CHANGE_ORDER = "estimate", "change_order"
NOTHING = Decimal("0.00")


@dataclass(frozen=True)
class Signed:
    """A paper that the client signed. `amount` is an estimate's total with the options taken, or what a
    change order adds; below zero where it takes out more than it adds. Cents, tax included."""

    kind: str
    number: int
    amount: Decimal
    signed_on: date
    about: str = ""


@dataclass(frozen=True)
class Step:
    """One signed paper in the chain, with the sum before and after it."""

    signed: Signed
    before: Decimal
    after: Decimal

    @property
    def words(self) -> str:
        """ "Change order 2, Rotten subfloor, signed Mon 7 Dec 2026: $412.00, which makes $12,412.00." """
        name = "Estimate" if self.signed.kind == ESTIMATE else "Change order"
        about = f", {self.signed.about}" if self.signed.about else ""
        made = "" if self.signed.kind == ESTIMATE else f", which makes {format_price(self.after)}"
        day = day_in_words(self.signed.signed_on)
        return f"{name} {self.signed.number}{about}, signed {day}: {format_price(self.signed.amount)}{made}."


@dataclass(frozen=True)
class Contract:
    """The sum to date, and how it came about in the order of the papers' numbers."""

    steps: tuple[Step, ...]

    @property
    def original(self) -> Decimal:
        return sum((step.signed.amount for step in self.steps if step.signed.kind == ESTIMATE), NOTHING)

    @property
    def changes(self) -> Decimal:
        return self.total - self.original

    @property
    def total(self) -> Decimal:
        return self.steps[-1].after if self.steps else NOTHING


def contract_sum(signed: Iterable[Signed]) -> Contract:
    """Signed estimate plus signed change orders, in the order of their numbers whatever order they come in.

    Raises ValueError where there are two estimates, or changes to an estimate that nobody signed.
    """
    papers = sorted(signed, key=lambda each: (each.kind != ESTIMATE, each.number))
    estimates = sum(each.kind == ESTIMATE for each in papers)
    if papers and estimates != 1:
        raise ValueError(f"A contract rests on one signed estimate; here are {estimates}.")
    steps: list[Step] = []
    for each in papers:
        before = steps[-1].after if steps else NOTHING
        steps.append(Step(each, before, before + each.amount))
    return Contract(tuple(steps))
