"""How much of the contract sum the finished work has earned, by the cost or the hours of each line."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from catalog.money.amounts import round_cents
from estimating.contract.work_lines import ContractWorkLine
from invoicing.milestones.plan import NO_MONEY


@dataclass(frozen=True)
class WeightedWork:
    """A line of work with its weight, which is its cost or its hours, the same for all lines."""

    weight: Fraction
    is_finished: bool


def weights_by_cost(lines: Sequence[ContractWorkLine]) -> list[WeightedWork]:
    """Weigh each line by its cost.

    A line at a lump sum has no known cost. It weighs what its price would cost if it stood to its cost as
    the prices of the other lines do to theirs; without others, its price.
    """
    known = [line for line in lines if line.cost]
    price = sum((Fraction(line.line.left) for line in known), Fraction(0))
    ratio = sum((line.cost for line in known), Fraction(0)) / price if price else Fraction(1)
    return [WeightedWork(line.cost or Fraction(line.line.left) * ratio, line.is_finished) for line in lines]


def weights_by_hours(lines: Iterable[ContractWorkLine]) -> list[WeightedWork]:
    """Weigh each line by its hours."""
    return [WeightedWork(line.hours, line.is_finished) for line in lines]


def earned_value(contract_sum: Decimal, work: Sequence[WeightedWork]) -> Decimal:
    """Return the part of the contract sum that the finished work has earned by its weight.

    Rounded half-up to the cent; nothing where nothing weighs.
    """
    total = sum((line.weight for line in work), Fraction(0))
    finished = sum((line.weight for line in work if line.is_finished), Fraction(0))
    return round_cents(Fraction(contract_sum) * finished / total) if total else NO_MONEY
