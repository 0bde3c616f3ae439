"""The cash forecast of a job: what the payment schedule brings in and what the work costs, day by day.

The firm's own hours are no money out. All amounts are before the sales tax that the client is charged;
tax paid at the store is in the cost. Work runs Monday to Friday (common practice) less federal holidays, by
the same plan as the days of the job, with what must dry; what a phase buys is paid on its first day.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from fractions import Fraction

from catalog.money.amounts import round_cents
from estimating.contract.work_lines import ContractWorkLine
from estimating.pricing.price import PHASE_ORDER
from estimating.schedule.calendar import federal_holidays
from estimating.schedule.day_count import plain_calendar
from estimating.schedule.from_work import PlainWork, steps_of_work
from estimating.schedule.planner import plan_steps
from estimating.takeoff.work import ItemQuantities
from invoicing.cash_flow.balance import CashMovement, CashPoint, cash_line, days_below_zero, lowest_cash
from invoicing.milestones.plan import NO_MONEY, Plan

WORKING_DAYS = 5  # a week
ONE_DAY = timedelta(days=1)
YEARS_AHEAD = 2
A_ROUNDING = Fraction(1, 100)  # hours of a line, as printed
NO_ITEMS: Mapping[tuple[int, str], ItemQuantities] = {}


@dataclass(frozen=True)
class Outlay:
    """Money that goes out on a day of its own. With a phase, it is part of what that phase buys."""

    label: str
    amount: Decimal
    on: date
    phase: str = ""


@dataclass(frozen=True)
class WorkSchedule:
    """The first day of each phase of the work, and the last day of the work."""

    begins: Mapping[str, date]
    ends: date


@dataclass(frozen=True)
class CashForecast:
    """The cash line of a payment schedule, up to a day."""

    movements: tuple[CashMovement, ...]
    until: date

    @property
    def points(self) -> tuple[CashPoint, ...]:
        """The cash after every movement; on one day what goes out comes before what comes in."""
        return cash_line(self.movements)

    @property
    def days(self) -> tuple[CashPoint, ...]:
        """The last point of each day.

        The order within a day doesn't count: money that comes in on the day covers what is paid out on it.
        """
        last = {point.movement.on: point for point in self.points}
        return tuple(last.values())

    @property
    def lowest(self) -> Decimal:
        """The most of the firm's own money in the job at the end of a day: zero or below."""
        return lowest_cash(self.days)

    @property
    def days_as_bank(self) -> int:
        """How many days end with the firm's own money in the job."""
        return days_below_zero(self.days, self.until)


def working_day(start: date, after: int) -> date:
    """Return the working day that is this many working days after the first one on or after `start`."""
    day = start
    while not _is_worked(day):
        day += ONE_DAY
    for _ in range(after):
        day += ONE_DAY
        while not _is_worked(day):
            day += ONE_DAY
    return day


def _is_worked(day: date) -> bool:
    return day.weekday() < WORKING_DAYS and day not in federal_holidays(day.year, day.year)


def schedule_work(
    lines: Iterable[ContractWorkLine],
    starts_on: date,
    hours_per_day: Fraction,
    items: Mapping[tuple[int, str], ItemQuantities] = NO_ITEMS,
) -> WorkSchedule:
    """Return when each phase begins, by a plan of the work from a day on.

    `items` are the work items as taken off, by the place of their line: they bring their operations and what
    must dry. A line without one, or of which a change has taken a part out, is its hours alone.
    """
    lines = list(lines)
    whole = {line.line.place: items[line.line.place] for line in lines if _is_whole(line, items)}
    plain = [
        PlainWork(f"line {position}", line.line.title, line.phase, line.hours)
        for position, line in enumerate(lines)
        if line.line.place not in whole and line.hours
    ]
    steps = steps_of_work(whole.values(), plain=plain)
    calendar = plain_calendar(hours_per_day, federal_holidays(starts_on.year, starts_on.year + YEARS_AHEAD))
    plan = plan_steps(steps, calendar, datetime.combine(starts_on, time()), "list")
    phase_of = {item.work.key: item.work.phase for item in whole.values()}
    phase_of |= {work.key: work.phase for work in plain}
    begins: dict[str, date] = {}
    for step in steps:
        day, phase = plan.placed[step.key].start.date(), phase_of[step.work_item]
        begins[phase] = min(day, begins.get(phase, day))
    ends = plan.finish.date() if plan.finish else working_day(starts_on, 0)
    later = ends
    for phase in sorted({line.phase for line in lines}, key=_phase_position, reverse=True):
        later = begins.setdefault(phase, later)  # what takes no hours is bought with what follows it
    return WorkSchedule({phase: begins[phase] for phase in sorted(begins, key=_phase_position)}, ends)


def _is_whole(line: ContractWorkLine, items: Mapping[tuple[int, str], ItemQuantities]) -> bool:
    item = items.get(line.line.place)
    return item is not None and abs(item.hours - line.hours) <= A_ROUNDING


def _phase_position(phase: str) -> int:
    """Return the position of a phase in the order of the work; last for one that isn't in it."""
    return PHASE_ORDER.index(phase) if phase in PHASE_ORDER else len(PHASE_ORDER)


def money_out(
    lines: Iterable[ContractWorkLine],
    schedule: WorkSchedule,
    labor_rate: Decimal,
    outlays: Iterable[Outlay],
    phase_names: Mapping[str, str],
) -> list[CashMovement]:
    """Return what the firm pays: the outlays on their days, and the rest of what each phase buys.

    A phase buys the cost of its lines without the firm's own hours at the labor rate.
    """
    bought: dict[str, Fraction] = {}
    for line in lines:
        cost = max(line.cost - line.hours * Fraction(labor_rate), Fraction(0))
        bought[line.phase] = bought.get(line.phase, Fraction(0)) + cost
    movements = []
    for outlay in outlays:
        movements.append(CashMovement(outlay.on, outlay.label, -outlay.amount))
        if outlay.phase in bought:
            bought[outlay.phase] = max(bought[outlay.phase] - Fraction(outlay.amount), Fraction(0))
    for phase, cost in bought.items():
        if amount := round_cents(cost):
            label = f"Bought for: {phase_names.get(phase, 'changes')}"
            movements.append(CashMovement(schedule.begins[phase], label, -amount))
    return movements


def expected_days(
    keys: Sequence[str], known: Mapping[str, date], starts_on: date, ends: date
) -> dict[str, date]:
    """Return the day of each milestone: the known one, else one of days spread evenly over the work.

    The first milestone is at the start of the work, the last at its end; a single one is at the end.
    """
    length, gaps = (ends - starts_on).days, max(len(keys) - 1, 1)
    even = [starts_on + timedelta(days=length * position // gaps) for position in range(len(keys))]
    return {
        key: known.get(key, working_day(day, 0)) for key, day in zip(keys, even[:-1] + [ends], strict=True)
    }


def money_in(plan: Plan, days: Mapping[str, date], starts_on: date, pays_after: int) -> list[CashMovement]:
    """Return what the milestones bring in, on working days, so many days after each.

    Retainage is taken off and comes with the last milestone; a deposit is paid when the work begins and
    taken off the milestones, first come first.
    """
    after = timedelta(days=pays_after)
    movements = [CashMovement(starts_on, "Deposit", plan.deposit)] if plan.deposit else []
    deposit_left, held = plan.deposit, NO_MONEY
    for milestone in plan.milestones:
        amount = plan.amount(milestone.key)
        share = Fraction(0) if milestone.is_deposit else plan.retainage
        retainage = round_cents(share * Fraction(amount))
        deposit = min(deposit_left, max(amount - retainage, NO_MONEY))
        held, deposit_left = held + retainage, deposit_left - deposit
        paid_on = working_day(days[milestone.key] + after, 0)
        movements.append(CashMovement(paid_on, milestone.name, amount - retainage - deposit))
    if held - deposit_left:
        last = working_day(max(days.values()) + after, 0)
        movements.append(CashMovement(last, "Retainage released", held - deposit_left))
    return movements


def cash_forecast(coming: Iterable[CashMovement], going: Iterable[CashMovement], ends: date) -> CashForecast:
    """Return the forecast of both together; on one day money goes out before any comes in."""
    movements = sorted([*coming, *going], key=lambda movement: (movement.on, movement.amount))
    return CashForecast(tuple(movements), max([ends, *(movement.on for movement in movements)]))
