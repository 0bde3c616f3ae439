"""From steps and a calendar to a plan: the list rule at once, better by perturbation, best by a solver."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime
from functools import lru_cache
from typing import Literal

from estimating.schedule.calendar import WorkCalendar, moment_of
from estimating.schedule.list_rule import RUNS_FOR_A_PRICE, Found, improved_plan
from estimating.schedule.network import Network, network, work_out
from estimating.schedule.plan import Piece, PlacedStep, Plan, Unkept
from estimating.schedule.reasons import latest_starts, reasons, when, why_not_pinned
from estimating.schedule.solver import MOST_STEPS, solve
from estimating.schedule.steps import Step, hours_of

Effort = Literal["list", "first", "best"]
# How many plans of the solver are held, so that a job that is planned anew with others isn't solved again.
BEST_PLANS_HELD = 32


def plan_steps(
    steps: Sequence[Step],
    calendar: WorkCalendar,
    start: datetime,
    effort: Effort = "first",
    promised: date | None = None,
) -> Plan:
    """Plan the steps for one worker so that the last ends as early as can be found.

    `effort` is "list" (the list rule and a few changed runs of it, for a price), "first" (and some hundred)
    or "best" (and a solver with a fixed amount of work).
    A pin that can't hold, and a promised day that isn't met, are told in `unkept`; the step then lies where
    it can. Raises CannotPlan, with a sentence, for steps that wait for each other, and NoWorkingHours.
    """
    if effort == "best":
        plan = best_plan(tuple(steps), calendar, start)
    else:
        plan = _planned(steps, calendar, start, effort)
    return plan if promised is None else _with_promise(plan, promised)


@lru_cache(maxsize=BEST_PLANS_HELD)
def best_plan(steps: tuple[Step, ...], calendar: WorkCalendar, start: datetime) -> Plan:
    """Return the plan that the solver finds; asked again for the same, the one that it found then."""
    return _planned(steps, calendar, start, "best")


def _planned(steps: Sequence[Step], calendar: WorkCalendar, start: datetime, effort: Effort) -> Plan:
    net = network(steps, calendar, start)
    unkept = _too_long(net) + _pins_out_of_reach(net)
    found, bound = _search(net, effort)
    for position in found.broken:
        unkept.append(Unkept(net.steps[position].key, "pin", why_not_pinned(net, position, found)))
    return _plan(net, found, bound, start, unkept)


def _search(net: Network, effort: Effort) -> tuple[Found, int]:
    """Return the best plan found with this effort, and what no plan can be below."""
    bound = net.lower_bound()
    found = improved_plan(net, RUNS_FOR_A_PRICE if effort == "list" else None)
    if effort != "best" or found.rank == (0, bound) or len(net.steps) > MOST_STEPS:
        return found, bound
    solved = solve(net, found, bound)
    if solved.found is not None and solved.found.rank < found.rank:
        found = solved.found
    return found, solved.bound


def _too_long(net: Network) -> list[Unkept]:
    longest = net.time.calendar.longest_day()
    return [
        Unkept(
            step.key,
            "too_long",
            f"{step.name} should be done in one go, but its {float(hours_of(step.quarters)):g} hours are"
            f" more than the longest day has: {float(hours_of(longest)):g}.",
        )
        for step in net.steps
        if not step.splittable and step.quarters > longest
    ]


def _pins_out_of_reach(net: Network) -> list[Unkept]:
    """Tell the pins that no order of work can keep, and leave them out."""
    unkept = []
    for position, step in enumerate(net.steps):
        if step.pin is None:
            continue
        window = net.pins.get(position)
        if window is not None and net.heads[position] <= window[1]:
            continue
        net.pins.pop(position, None)
        unkept.append(Unkept(step.key, "pin", why_not_pinned(net, position, None)))
        work_out(net)
    return unkept


def _with_promise(plan: Plan, promised: date) -> Plan:
    if plan.finish is None or plan.finish.date() <= promised:
        return plan
    return replace(plan, unkept=(*plan.unkept, Unkept("", "promise", broken_promise(promised, plan))))


def broken_promise(promised: date, plan: Plan, name: str = "It") -> str:
    """Return the sentence for a promised day that a plan doesn't keep."""
    assert plan.finish is not None
    earliest = "no plan ends before" if plan.proven else "the earliest end found is"
    return f"{name} can't be done by {when(promised)}: {earliest} {when(plan.finish.date())}."


def _plan(net: Network, found: Found, bound: int, start: datetime, unkept: Sequence[Unkept]) -> Plan:
    why = reasons(net, found)
    latest = latest_starts(net, found)
    placed: dict[str, PlacedStep] = {}
    for position in sorted(range(len(net.steps)), key=lambda position: (found.starts[position], position)):
        step, index = net.steps[position], found.starts[position]
        end = net.end_clock(position, index)
        placed[step.key] = PlacedStep(
            key=step.key,
            start=moment_of(net.time.start_clock(index)),
            end=moment_of(end),
            pieces=_pieces(net, position, index),
            reason=why[position],
            latest=moment_of(net.time.start_clock(latest[position])),
            dry=moment_of(net.time.clock_after(end, step.dries)),
        )
    finish = max((step.end for step in placed.values()), default=None)
    return Plan(
        start=start,
        placed=placed,
        finish=finish,
        makespan=found.makespan,
        lower_bound=bound,
        proven=found.makespan == bound and not found.broken,
        unkept=tuple(unkept),
        names={step.key: step.name for step in (*net.steps, *net.done.values())},
    )


def _pieces(net: Network, position: int, start: int) -> tuple[Piece, ...]:
    """Cut a step where work stops."""
    step = net.steps[position]
    pieces, index, end = [], start, start + step.quarters
    while index < end:
        _, stops = net.time.stretch_at(index)
        until = min(stops, end)
        opens, closes = net.time.start_clock(index), net.time.end_clock(until)
        pieces.append(Piece(step.key, moment_of(opens), moment_of(closes)))
        index = until
    return tuple(pieces)
