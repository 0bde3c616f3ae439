"""The day on which a job ends on an even chance, and the one by which it ends four times out of five.

The hours of each work item that is left are one piece of work, as everywhere in this package; `hours_range`
sums them. All steps are then lengthened by what that sum is to the likely hours, and worked in the order
that the plan has.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from math import ceil

from estimating.ranges.spread import Spread, hours_range
from estimating.ranges.work import USUAL_BEST, USUAL_WORST
from estimating.schedule.calendar import WorkCalendar, moment_of
from estimating.schedule.list_rule import plan_by_ranks
from estimating.schedule.network import network
from estimating.schedule.plan import Plan
from estimating.schedule.steps import Step, hours_of


@dataclass(frozen=True)
class FinishRange:
    """The day of an even chance and the day that holds four times out of five."""

    even_chance: date
    four_of_five: date


def finish_range(
    steps: Sequence[Step], calendar: WorkCalendar, start: datetime, plan: Plan, together: float
) -> FinishRange | None:
    """Return the range of the finish of a plan; None where there is no work.

    `together` is how far the hours of a job run over together, from 0 to 1.
    """
    left = [step for step in steps if step.done is None]
    likely = float(hours_of(sum(step.quarters for step in left)))
    if plan.finish is None or not likely:
        return None
    hours = hours_range(_spreads(left), together)
    days = [
        _finish(steps, calendar, start, plan, max(total, 0) / likely)
        for total in (hours.even_chance, hours.four_of_five)
    ]
    return FinishRange(days[0], max(days))


def _spreads(steps: Iterable[Step]) -> list[Spread]:
    """Return the spread of what is left of each work item."""
    sums: dict[tuple[str, str], list[float]] = defaultdict(lambda: [0.0, 0.0, 0.0])
    for step in steps:
        likely = hours_of(step.quarters)
        best, worst = USUAL_BEST, USUAL_WORST
        if step.hours is not None and step.hours.likely:
            best, worst = step.hours.low / step.hours.likely, step.hours.high / step.hours.likely
        entry = sums[step.job, step.work_item or step.key]
        for place, hours in enumerate((likely * best, likely, likely * worst)):
            entry[place] += float(hours)
    return [Spread(*hours) for hours in sums.values()]


def _finish(
    steps: Sequence[Step], calendar: WorkCalendar, start: datetime, plan: Plan, factor: float
) -> date:
    longer = [replace(step, quarters=ceil(round(step.quarters * factor, 6)), pin=None) for step in steps]
    net = network(longer, calendar, start)
    order = sorted(net.steps, key=lambda step: plan.placed[step.key].start, reverse=True)
    ranks = {step.key: rank for rank, step in enumerate(order)}
    found = plan_by_ranks(net, [ranks[step.key] for step in net.steps])
    return max(moment_of(net.end_clock(place, begin)) for place, begin in enumerate(found.starts)).date()
