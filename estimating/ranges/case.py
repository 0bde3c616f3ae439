"""One case of a price range, as it stands in JSON."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from estimating.ranges.spread import KINDS, HoursRange, Spread, hours_range

MOST_TASKS = 10_000
MOST_HOURS = 1_000_000


class UnfitCase(ValueError):
    """The case can't be used; the message says in a plain sentence what would be right."""


@dataclass(frozen=True)
class Case:
    """A kind of distribution, a correlation, and the pieces of work."""

    kind: str
    correlation: float
    spreads: tuple[Spread, ...]

    def range(self) -> HoursRange:
        """Return the range of the sum."""
        return hours_range(self.spreads, self.correlation, self.kind)


def read_case(data: object) -> Case:
    """Read a case: {"kind": "triangular", "rho": 0.3, "tasks": [[best, likely, worst], ...]}.

    Other keys are left alone. Raises UnfitCase.
    """
    if not isinstance(data, Mapping):
        raise UnfitCase('The file must hold one case: {"kind": ..., "rho": ..., "tasks": [...]}.')
    kind = data.get("kind")
    if kind not in KINDS:
        raise UnfitCase(f"kind must be {' or '.join(KINDS)}.")
    rho = _number(data.get("rho"), "rho")
    if not 0 <= rho <= 1:
        raise UnfitCase("rho must be a number from 0 to 1.")
    tasks = data.get("tasks")
    if not isinstance(tasks, list) or not 0 < len(tasks) <= MOST_TASKS:
        raise UnfitCase(f"tasks must be a list of 1 to {MOST_TASKS:,} tasks.")
    return Case(str(kind), rho, tuple(_spread(task, place) for place, task in enumerate(tasks, 1)))


def _spread(task: Any, place: int) -> Spread:
    if not isinstance(task, list) or len(task) != 3:
        raise UnfitCase(f"Task {place} must be three numbers: best, likely and worst hours.")
    best, likely, worst = (_number(hours, f"Task {place}") for hours in task)
    if not 0 <= best <= likely <= worst:
        raise UnfitCase(f"Task {place}: the hours must rise from best to worst, and none be below 0.")
    return Spread(best, likely, worst)


def _number(value: Any, name: str) -> float:
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    if not is_number or not -MOST_HOURS <= value <= MOST_HOURS:  # this refuses NaN, too
        raise UnfitCase(f"{name} must be a number, at most {MOST_HOURS:,}.")
    return float(value)
