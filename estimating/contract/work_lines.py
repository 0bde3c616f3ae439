"""The work of a signed contract that can be finished: what each line was priced at, in hours and cost."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Any

from estimating.contract.lines import ContractLine, SignedBasis, all_lines, contract_lines
from estimating.takeoff.work import ZERO

ALL = Fraction(1)  # left of a line of which no change took anything


@dataclass(frozen=True)
class PricedOperation:
    """Labor of one kind in a priced line: its hours, set-up among them, and how much of its own unit it is.

    `code` is that of the operation in the catalog.
    """

    code: str
    name: str
    hours: Fraction
    set_up: Fraction
    quantity: Fraction
    unit: str


@dataclass(frozen=True)
class ContractWorkLine:
    """A line of the contract that can be finished, with its priced hours, cost and bought part of the cost.

    What later changes took out of the line is taken off all of them in proportion to its price. Lines that
    were priced before operations were kept, and those of hours typed by hand, have no `operations`.
    """

    line: ContractLine
    phase: str
    hours: Fraction
    cost: Fraction
    is_finished: bool
    bought: Fraction = ZERO
    operations: tuple[PricedOperation, ...] = ()


def contract_work_lines(
    documents: Sequence[SignedBasis], finished: Iterable[tuple[int, str]]
) -> tuple[ContractWorkLine, ...]:
    """Return the work of the contract that was not taken out again, in the order of its documents.

    `finished` names the finished lines by document and key.
    """
    done = set(finished)
    facts = {
        (document.document, line["key"]): (document.basis, line)
        for document in documents
        for line in all_lines(document.basis)
    }
    rates = [Fraction(document.basis["policy"].get("labour_rate", 0)) for document in documents[:1]]
    rate = rates[0] if rates else ZERO
    lines = []
    for line in contract_lines(documents):
        basis, fact = facts[line.place]
        is_whole = not line.price or line.left == line.price
        left = ALL if is_whole else Fraction(line.left) / Fraction(line.price)
        if left > 0:
            hours, cost = _part(fact["hours"], left), _part(fact["cost"], left)
            lines.append(
                ContractWorkLine(
                    line,
                    fact.get("phase", ""),
                    hours,
                    cost,
                    line.place in done,
                    bought=max(cost - hours * rate, ZERO),
                    operations=_operations(basis, line.key, left),
                )
            )
    return tuple(lines)


def _operations(basis: Mapping[str, Any], key: str, left: Fraction) -> tuple[PricedOperation, ...]:
    return tuple(
        PricedOperation(
            kept["code"],
            kept["name"],
            _part(kept["hours"], left),
            _part(kept["set_up"], left),
            _part(kept["quantity"], left),
            kept["unit"],
        )
        for kept in basis.get("operations", {}).get(key, ())
    )


def _part(kept: str, left: Fraction) -> Fraction:
    return _exact(kept) if left is ALL else _exact(kept) * left


@lru_cache(10_000)
def _exact(text: str) -> Fraction:
    """Return a number as a basis keeps it. Many lines are alike, and reading it takes longest of all here."""
    return Fraction(text)
