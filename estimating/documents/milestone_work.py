"""The work of a contract with which a milestone is reached, for whoever plans the work."""

from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True)
class MilestoneWork:
    """A milestone that is still to be billed, and the work that is done by then.

    `amount` is what it has left to bill; `places` are document and key of each line of the contract.
    """

    name: str
    amount: Decimal
    places: frozenset[tuple[int, str]]
