"""What a plan of payments must sum to, before sales tax, from the frozen facts of what was signed."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any

from catalog.money.amounts import round_cents
from estimating.contract.lines import ContractLine, SignedBasis, contract_lines
from invoicing.milestones.deposit_rules import WorkDone
from invoicing.milestones.plan import NO_MONEY, SignedChange


@dataclass(frozen=True)
class Agreed:
    """What was signed, or while nothing is, what the draft comes to. `amount` is the estimate with the
    options taken, `taxable` the part of it that is taxed, `tax` all sales tax with that of the changes."""

    is_signed: bool
    amount: Decimal
    taxable: Decimal
    tax: Decimal
    papers: tuple[SignedBasis, ...]
    changes: tuple[SignedChange, ...] = ()

    @property
    def contract_sum(self) -> Decimal:
        """Before tax, with every signed change."""
        return self.amount + sum((change.amount for change in self.changes), NO_MONEY)


def agreed_on(estimate: SignedBasis, changes: Sequence[tuple[SignedBasis, str]], is_signed: bool) -> Agreed:
    """What an estimate and signed changes, each with its title, come to."""
    basis = estimate.basis
    taken = [basis["options"][place] for place in sorted(estimate.options_chosen)]
    amount = Decimal(basis["subtotal"]) + _sum(taken, "price")
    taxable = Decimal(basis["tax_base"]) + _taxed(basis["policy"]["tax_policy"], taken)
    tax = round_cents(Fraction(taxable) * Fraction(basis["policy"]["tax_rate"]))
    return Agreed(
        is_signed=is_signed,
        amount=amount,
        taxable=taxable,
        tax=tax + sum((Decimal(paper.basis["tax"]) for paper, _ in changes), NO_MONEY),
        papers=(estimate, *(paper for paper, _ in changes)),
        changes=tuple(each for paper, title in changes for each in changes_of(paper, title)),
    )


def change_key(document: int, by_measure: bool) -> str:
    """How the pure rules and the lines of bills name a signed change, or its part billed by measure."""
    return f"change-{document}{'-measured' if by_measure else ''}"


def changes_of(paper: SignedBasis, title: str) -> tuple[SignedChange, ...]:
    """A change as it is billed: its fixed price, and apart from that what goes by hours and receipts up to
    a limit. Either is left out where it is nothing."""
    basis = paper.basis
    measured = [line for line in basis["lines"] if line["kind"] == "at_most"]
    limit, limit_taxable = _sum(measured, "price"), _taxed(basis["policy"]["tax_policy"], measured)
    fixed, fixed_taxable = Decimal(basis["subtotal"]) - limit, Decimal(basis["tax_base"]) - limit_taxable
    both = (
        SignedChange(change_key(paper.document, False), title, fixed, fixed_taxable),
        SignedChange(change_key(paper.document, True), f"{title}, by the hour", limit, limit_taxable, True),
    )
    return tuple(each for each in both if each.amount)


def _taxed(policy: str, lines: Iterable[Mapping[str, Any]]) -> Decimal:
    part = {"materials": "taxable", "everything": "price"}.get(policy)
    return _sum(lines, part) if part else NO_MONEY


def _sum(lines: Iterable[Mapping[str, Any]], name: str) -> Decimal:
    return sum((Decimal(line[name]) for line in lines), NO_MONEY)


@dataclass(frozen=True)
class WorkLine:
    """A line of the contract that can be finished, with the hours and the cost that it was reckoned at,
    less what later changes took out of it."""

    line: ContractLine
    phase: str
    hours: Fraction
    cost: Fraction
    is_finished: bool


def work_lines(papers: Sequence[SignedBasis], finished: Iterable[tuple[int, str]]) -> tuple[WorkLine, ...]:
    """The lines of the contract that are still to be done or done, in the order of its papers."""
    done = set(finished)
    facts = {
        (paper.document, line["key"]): line
        for paper in papers
        for line in (*paper.basis["lines"], *paper.basis.get("options", ()))
    }
    lines = []
    for line in contract_lines(papers):
        fact = facts[line.place]
        left = Fraction(line.left) / Fraction(line.price) if line.price else Fraction(1)
        if left > 0:
            hours, cost = Fraction(fact["hours"]) * left, Fraction(fact["cost"]) * left
            lines.append(WorkLine(line, fact.get("phase", ""), hours, cost, line.place in done))
    return tuple(lines)


def by_cost(lines: Sequence[WorkLine]) -> list[WorkDone]:
    """The lines by their cost. Work at an agreed price has none known: it weighs as its price would cost
    where the others' prices and costs stand as they do."""
    known = [each for each in lines if each.cost]
    priced = sum((Fraction(each.line.left) for each in known), Fraction(0))
    ratio = sum((each.cost for each in known), Fraction(0)) / priced if priced else Fraction(1)
    return [WorkDone(each.cost or Fraction(each.line.left) * ratio, each.is_finished) for each in lines]


def by_hours(lines: Iterable[WorkLine]) -> list[WorkDone]:
    return [WorkDone(each.hours, each.is_finished) for each in lines]
