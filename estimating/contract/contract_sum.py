"""The contract sum: the sum of what the client signed, and of nothing else.

Every page, paper, file and check that names it asks `contract_sum`.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from catalog.money.amounts import format_price
from estimating.plain_text import day_in_words

ESTIMATE, CHANGE_ORDER = "estimate", "change_order"
NOTHING = Decimal("0.00")


@dataclass(frozen=True)
class Settlement:
    """What work by the hour came to in the end, of at most `limit`; `tax` is by how much the tax moved."""

    limit: Decimal
    amount: Decimal
    tax: Decimal = NOTHING

    @property
    def difference(self) -> Decimal:
        """What it adds to the contract sum, tax included: below zero where the limit wasn't used up."""
        return self.amount - self.limit + self.tax


@dataclass(frozen=True)
class SignedDocument:
    """A document that the client signed.

    `amount` is an estimate's total with the options chosen, or what a change order adds, below zero where
    it takes out more than it adds; in whole cents, with its `tax`. `about` is the title of a change,
    `settlement` what its work by the hour came to; `is_given` says that the firm gave it without a signature.
    """

    kind: str
    number: int
    amount: Decimal
    signed_on: date
    about: str = ""
    tax: Decimal = NOTHING
    settlement: Settlement | None = None
    is_given: bool = False


@dataclass(frozen=True)
class ContractStep:
    """A signed document, or the settlement of its work by the hour, with the sum before and after it."""

    signed: SignedDocument
    before: Decimal
    after: Decimal
    settlement: Settlement | None = None

    @property
    def amount(self) -> Decimal:
        """What the step adds to the contract sum, tax included."""
        return self.after - self.before

    @property
    def label(self) -> str:
        """Name the step.

        "Change order 2, Rotten subfloor, signed Mon 7 Dec 2026", or "Change order 2, Rotten subfloor, by the
        hour: came to $140.20 of at most $354.25, before tax".
        """
        name = "Estimate" if self.signed.kind == ESTIMATE else "Change order"
        about = f", {self.signed.about}" if self.signed.about else ""
        title = f"{name} {self.signed.number}{about}"
        if self.settlement is None:
            how = "given" if self.signed.is_given else "signed"
            return f"{title}, {how} {day_in_words(self.signed.signed_on)}"
        came_to, limit = format_price(self.settlement.amount), format_price(self.settlement.limit)
        before_tax = ", before tax" if self.signed.tax else ""
        return f"{title}, by the hour: came to {came_to} of at most {limit}{before_tax}"

    @property
    def words(self) -> str:
        """The step as a sentence.

        "Change order 2, Rotten subfloor, signed Mon 7 Dec 2026: $412.00, which makes $12,412.00."
        """
        made = "" if self.signed.kind == ESTIMATE else f", which makes {format_price(self.after)}"
        return f"{self.label}: {format_price(self.amount)}{made}."


@dataclass(frozen=True)
class Contract:
    """The contract sum to date, and its steps in the order of the documents' numbers.

    This is the one truth after the signature: papers and the Papers page show its `total`, plan and bills
    its part `before_tax`.
    """

    steps: tuple[ContractStep, ...]

    @property
    def original(self) -> Decimal:
        return sum((step.amount for step in self.steps if step.signed.kind == ESTIMATE), NOTHING)

    @property
    def changes(self) -> Decimal:
        return self.total - self.original

    @property
    def total(self) -> Decimal:
        return self.steps[-1].after if self.steps else NOTHING

    @property
    def tax(self) -> Decimal:
        """The sales tax that the client is charged."""
        taxes = (step.settlement.tax if step.settlement else step.signed.tax for step in self.steps)
        return sum(taxes, NOTHING)

    @property
    def before_tax(self) -> Decimal:
        return self.total - self.tax


def contract_sum(signed: Iterable[SignedDocument]) -> Contract:
    """Return the signed estimate plus the signed change orders, in the order of their numbers.

    Work by the hour counts at its limit until it is settled, then at what it came to.

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
        if settlement := document.settlement:
            before += document.amount
            steps.append(ContractStep(document, before, before + settlement.difference, settlement))
    return Contract(tuple(steps))
