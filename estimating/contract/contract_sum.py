"""The contract sum: the sum of what the client signed, and of nothing else."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from catalog.money.amounts import format_price
from estimating.plain_text import day_in_words

ESTIMATE, CHANGE_ORDER = "estimate", "change_order"
NOTHING = Decimal("0.00")


@dataclass(frozen=True)
class SignedDocument:
    """A document that the client signed.

    `amount` is an estimate's total with the options chosen, or what a change order adds, below zero where
    it takes out more than it adds; in whole cents, tax included. `about` is the title of a change.
    """

    kind: str
    number: int
    amount: Decimal
    signed_on: date
    about: str = ""


@dataclass(frozen=True)
class ContractStep:
    """A signed document with the contract sum before and after it."""

    signed: SignedDocument
    before: Decimal
    after: Decimal

    @property
    def words(self) -> str:
        """The step as a sentence.

        "Change order 2, Rotten subfloor, signed Mon 7 Dec 2026: $412.00, which makes $12,412.00."
        """
        name = "Estimate" if self.signed.kind == ESTIMATE else "Change order"
        about = f", {self.signed.about}" if self.signed.about else ""
        made = "" if self.signed.kind == ESTIMATE else f", which makes {format_price(self.after)}"
        day = day_in_words(self.signed.signed_on)
        return f"{name} {self.signed.number}{about}, signed {day}: {format_price(self.signed.amount)}{made}."


@dataclass(frozen=True)
class Contract:
    """The contract sum to date, and its steps in the order of the documents' numbers."""

    steps: tuple[ContractStep, ...]

    @property
    def original(self) -> Decimal:
        return sum((step.signed.amount for step in self.steps if step.signed.kind == ESTIMATE), NOTHING)

    @property
    def changes(self) -> Decimal:
        return self.total - self.original

    @property
    def total(self) -> Decimal:
        return self.steps[-1].after if self.steps else NOTHING


def contract_sum(signed: Iterable[SignedDocument]) -> Contract:
    """Return the signed estimate plus the signed change orders, in the order of their numbers.

    The order of `signed` doesn't matter. Raises ValueError where there are two estimates, or changes to an
    estimate that nobody signed.
    """
    documents = sorted(signed, key=lambda document: (document.kind != ESTIMATE, document.number))
    estimates = sum(document.kind == ESTIMATE for document in documents)
    if documents and estimates != 1:
        raise ValueError(f"A contract rests on one signed estimate; here are {estimates}.")
    steps: list[ContractStep] = []
    for document in documents:
        before = steps[-1].after if steps else NOTHING
        steps.append(ContractStep(document, before, before + document.amount))
    return Contract(tuple(steps))
