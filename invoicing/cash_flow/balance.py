"""The cash line: money in against money out by day, and how far the firm is its client's bank."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from invoicing.milestones.plan import NO_MONEY


@dataclass(frozen=True)
class CashMovement:
    """Money expected in (above zero) or to be paid out (below zero) on a day."""

    on: date
    label: str
    amount: Decimal


@dataclass(frozen=True)
class CashPoint:
    """The cash after one movement; below zero the firm's own money is in the job."""

    movement: CashMovement
    cash: Decimal


def cash_line(movements: Iterable[CashMovement]) -> tuple[CashPoint, ...]:
    """Return the running sum by date. Movements of one day keep their order: put what is paid out first."""
    cash, points = NO_MONEY, []
    for movement in sorted(movements, key=lambda movement: movement.on):
        cash += movement.amount
        points.append(CashPoint(movement, cash))
    return tuple(points)


def lowest_cash(points: Sequence[CashPoint]) -> Decimal:
    """Return the most of the firm's own money that is in the job at once, as an amount of zero or below."""
    return min((point.cash for point in points), default=NO_MONEY).min(NO_MONEY)


def days_below_zero(points: Sequence[CashPoint], until: date) -> int:
    """Return on how many days, up to `until`, the cash at the end of the day is below zero."""
    ends = [*(point.movement.on for point in points[1:]), until]
    return sum(
        max((end - point.movement.on).days, 0)
        for point, end in zip(points, ends, strict=False)
        if point.cash < 0
    )
