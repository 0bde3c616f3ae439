"""The work of a contract with which a milestone is reached, for whoever plans the work."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal


@dataclass(frozen=True)
class MilestoneWork:
    """A milestone that is still to be billed, and the work that is done by then.

    `amount` is what it has left to bill; `places` are document and key of each line of the contract.
    """

    name: str
    amount: Decimal
    places: frozenset[tuple[int, str]]


@dataclass(frozen=True)
class WorkDates:
    """When the work of a job begins, where that is set, and when the last of all its milestones was reached.

    `ended` is None as long as one isn't reached.
    """

    begins: date | None
    ended: date | None
