"""Lines of a signed contract for the pure rules of the site."""

from decimal import Decimal
from fractions import Fraction

from estimating.contract.lines import ContractLine
from estimating.contract.work_lines import ContractWorkLine, PricedOperation


def work_line(
    title: str,
    hours: float,
    finished: bool = False,
    *,
    phase: str = "board",
    kind: str = "work",
    operations: tuple[PricedOperation, ...] = (),
    bought: str = "0",
) -> ContractWorkLine:
    """A line of the document 1 with its title as key, at $100.00."""
    hundred = Decimal(100)
    line = ContractLine(1, title, kind, title, "Estimate 1001", hundred, hundred, Decimal(0))
    exact = Fraction(str(hours))
    return ContractWorkLine(
        line, phase, exact, exact * 70 + Fraction(bought), finished, Fraction(bought), operations
    )
