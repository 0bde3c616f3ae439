"""Money in against money out while a plan is drawn: when the firm is its client's bank, and how far."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from invoicing.milestones.plan import NO_MONEY


@dataclass(frozen=True)
class Move:
    """Money expected in (above zero) or to be paid out (below zero) on a day."""

    on: date
    says: str
    amount: Decimal


@dataclass(frozen=True)
class Point:
    """The cash line after one move; below zero the firm's own money is in the job."""

    move: Move
    cash: Decimal


def cash_line(moves: Iterable[Move]) -> tuple[Point, ...]:
    """The running sum by date. Moves of one day keep their order, so put what is paid out first."""
    cash, points = NO_MONEY, []
    for move in sorted(moves, key=lambda each: each.on):
        cash += move.amount
        points.append(Point(move, cash))
    return tuple(points)


def lowest(points: Sequence[Point]) -> Decimal:
    """The most of the firm's own money that is in the job at once, as an amount of zero or below."""
    return min((point.cash for point in points), default=NO_MONEY).min(NO_MONEY)


def days_below_zero(points: Sequence[Point], until: date) -> int:
    """Days on which the firm is its client's bank, counted by the cash at the end of each day."""
    ends = [*(point.move.on for point in points[1:]), until]
    return sum(
        max((end - point.move.on).days, 0) for point, end in zip(points, ends, strict=False) if point.cash < 0
    )
