"""What a plan of payments brings in and what the work has him pay out, day by day, before any of it happens.

Own hours are no money out. All amounts are before the sales tax that the client is charged; tax paid at
the store is in the cost. Work runs on Mondays to Fridays (common practice), phase after phase, by the
hours that the estimate has for it; what a phase buys is paid on its first day.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from math import ceil

from catalog.money.amounts import round_cents
from estimating.pricing.price import PHASE_ORDER
from invoicing.cash_flow.balance import Move, Point, cash_line, days_below_zero, lowest
from invoicing.milestones.contract_amounts import WorkLine
from invoicing.milestones.plan import NO_MONEY, Plan

WEEK = 5  # working days


@dataclass(frozen=True)
class Outlay:
    """Money that goes out on a day of its own. With a phase it is part of what that phase buys."""

    says: str
    amount: Decimal
    on: date
    phase: str = ""


@dataclass(frozen=True)
class Schedule:
    """When each phase of the work begins, and the last day of the work."""

    begins: Mapping[str, date]
    ends: date


@dataclass(frozen=True)
class CashPlan:
    """The cash line of one split, with what it tells."""

    moves: tuple[Move, ...]
    until: date

    @property
    def points(self) -> tuple[Point, ...]:
        """After every move, what goes out on a day before what comes in."""
        return cash_line(self.moves)

    @property
    def days(self) -> tuple[Point, ...]:
        """The last point of each day, which is what counts: money that comes on the day it is paid out
        leaves nobody a bank."""
        last = {point.move.on: point for point in self.points}
        return tuple(last.values())

    @property
    def lowest(self) -> Decimal:
        """The most of his own money that is in the job at the end of a day: zero or below."""
        return lowest(self.days)

    @property
    def days_as_bank(self) -> int:
        """Days at whose end his own money is in the job."""
        return days_below_zero(self.days, self.until)


def working_day(start: date, after: int) -> date:
    """The working day that comes this many working days after the first one on or after `start`."""
    first = start + timedelta(days=max(0, 7 - start.weekday()) if start.weekday() >= WEEK else 0)
    weeks, days = divmod(first.weekday() + after, WEEK)
    return first - timedelta(days=first.weekday()) + timedelta(days=7 * weeks + days)


def schedule(lines: Iterable[WorkLine], starts_on: date, hours_per_day: Fraction) -> Schedule:
    """Phase after phase in the order of the work, each as long as its hours."""
    hours: dict[str, Fraction] = {}
    for each in lines:
        hours[each.phase] = hours.get(each.phase, Fraction(0)) + each.hours
    begins, passed = {}, Fraction(0)
    for phase in sorted(hours, key=_place):
        begins[phase] = working_day(starts_on, int(passed // hours_per_day))
        passed += hours[phase]
    return Schedule(begins, working_day(starts_on, max(ceil(passed / hours_per_day) - 1, 0)))


def _place(phase: str) -> int:
    return PHASE_ORDER.index(phase) if phase in PHASE_ORDER else len(PHASE_ORDER)


def money_out(
    lines: Iterable[WorkLine],
    when: Schedule,
    labor_rate: Decimal,
    outlays: Iterable[Outlay],
    names: Mapping[str, str],
) -> list[Move]:
    """What he pays: what each phase buys, less what of it is paid on a day of its own, and that."""
    bought: dict[str, Fraction] = {}
    for each in lines:
        cost = max(each.cost - each.hours * Fraction(labor_rate), Fraction(0))
        bought[each.phase] = bought.get(each.phase, Fraction(0)) + cost
    moves = []
    for outlay in outlays:
        moves.append(Move(outlay.on, outlay.says, -outlay.amount))
        if outlay.phase in bought:
            bought[outlay.phase] = max(bought[outlay.phase] - Fraction(outlay.amount), Fraction(0))
    for phase, cost in bought.items():
        if amount := round_cents(cost):
            moves.append(Move(when.begins[phase], f"Bought for: {names.get(phase, 'changes')}", -amount))
    return moves


def expected_days(
    keys: Sequence[str], known: Mapping[str, date], starts_on: date, ends: date
) -> dict[str, date]:
    """The day of each milestone: as he expects it, else spread evenly from the start of the work to its
    end, the first at the start, the last at the end."""
    whole, gaps = (ends - starts_on).days, max(len(keys) - 1, 1)
    even = [starts_on + timedelta(days=whole * place // gaps) for place in range(len(keys))]
    return {
        key: known.get(key, working_day(day, 0)) for key, day in zip(keys, even[:-1] + [ends], strict=True)
    }


def money_in(plan: Plan, days: Mapping[str, date], starts_on: date, pays_after: int) -> list[Move]:
    """What the milestones bring in, on working days: less retainage, which comes with the last of them, and
    less a deposit that was paid when the work began."""
    after = timedelta(days=pays_after)
    moves = [Move(starts_on, "Deposit", plan.deposit)] if plan.deposit else []
    deposit, held = plan.deposit, NO_MONEY
    for each in plan.milestones:
        amount = plan.amount(each.key)
        kept = round_cents(plan.retainage * Fraction(amount))
        taken_off = min(deposit, max(amount - kept, NO_MONEY))
        held, deposit = held + kept, deposit - taken_off
        paid_on = working_day(days[each.key] + after, 0)
        moves.append(Move(paid_on, each.name, amount - kept - taken_off))
    if held - deposit:
        last = working_day(max(days.values()) + after, 0)
        moves.append(Move(last, "Retainage released", held - deposit))
    return moves


def cash_plan(coming: Iterable[Move], going: Iterable[Move], ends: date) -> CashPlan:
    """Both together; on one day money goes out before any comes in."""
    moves = sorted([*coming, *going], key=lambda move: (move.on, move.amount))
    return CashPlan(tuple(moves), max([ends, *(move.on for move in moves)]))
