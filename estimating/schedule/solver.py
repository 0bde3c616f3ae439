"""The best plan, by a constraint solver with a fixed amount of work, so that it is the same everywhere."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from estimating.schedule.list_rule import Found
from estimating.schedule.network import Network

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import CpModel, IntVar

# The solver's own measure of work; about as many seconds on an ordinary machine.
DETERMINISTIC_TIME = 4.0
# How many working quarters later than the first answer a plan may end that keeps a pin which that one broke.
ROOM_FOR_PINS = 160
# Above this size the model takes longer to build than a person waits.
MOST_STEPS = 160


@dataclass(frozen=True)
class Solved:
    """What the solver found, if anything, the bound it proved, and whether nothing can be found at all."""

    found: Found | None
    bound: int
    impossible: bool = False


def solve(net: Network, hint: Found, bound: int, deterministic_time: float = DETERMINISTIC_TIME) -> Solved:
    """Look for a plan that ends before the hint's does, and raise the bound. Keeps all pins."""
    from ortools.sat.python import cp_model

    horizon = hint.makespan + (ROOM_FOR_PINS if hint.broken else 0)
    model = cp_model.CpModel()
    if any(head > last for head, last in zip(net.heads, _last_starts(net, horizon), strict=True)):
        return Solved(None, bound, impossible=True)
    starts, makespan = _build(net, model, horizon, bound)
    for position, start in enumerate(starts):
        model.add_hint(start, hint.starts[position])
    model.minimize(makespan)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.parameters.max_deterministic_time = deterministic_time
    status = solver.solve(model)
    if status == cp_model.INFEASIBLE:
        return Solved(None, bound, impossible=True)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Solved(None, bound)
    found = tuple(int(solver.value(start)) for start in starts)
    end = max(start + step.quarters for start, step in zip(found, net.steps, strict=True))
    return Solved(Found(found, end), max(bound, round(solver.best_objective_bound)))


def _last_starts(net: Network, horizon: int) -> list[int]:
    ends = [horizon - rest for rest in net.rest]
    return [
        min(end - step.quarters, net.pins[position][1] if position in net.pins else horizon)
        for position, (end, step) in enumerate(zip(ends, net.steps, strict=True))
    ]


def _build(net: Network, model: "CpModel", horizon: int, bound: int) -> tuple[list["IntVar"], "IntVar"]:
    from ortools.sat.python import cp_model

    lasts = _last_starts(net, horizon)
    starts: list[IntVar] = []
    for position in range(len(net.steps)):
        allowed = [[net.heads[position], lasts[position]]]
        if net.whole[position]:
            allowed = _whole_starts(net, position, lasts[position])
        domain = cp_model.Domain.from_intervals(allowed)
        starts.append(model.new_int_var_from_domain(domain, f"s{position}"))
    worked = [position for position, step in enumerate(net.steps) if step.quarters]
    model.add_no_overlap(
        [
            model.new_fixed_size_interval_var(starts[position], net.steps[position].quarters, f"i{position}")
            for position in worked
        ]
    )
    makespan = model.new_int_var(bound, horizon, "end")
    for position, step in enumerate(net.steps):
        if not net.follows[position]:
            model.add(makespan >= starts[position] + step.quarters)
    ready = _Ready(net, model, starts, horizon)
    for position, waits in enumerate(net.before):
        for earlier, wait in waits:
            model.add(starts[position] >= ready.after(earlier, wait))
    _surfaces(net, model, starts, ready)
    return starts, makespan


def _whole_starts(net: Network, position: int, last: int) -> list[list[int]]:
    """Return the starts from which a step is done without a break, as intervals."""
    quarters, head = net.steps[position].quarters, net.heads[position]
    intervals = []
    for first, end in net.time.stretches(last + 1):
        lowest, highest = max(first, head), min(end - quarters, last)
        if lowest <= highest:
            intervals.append([lowest, highest])
    return intervals


class _Ready:
    """The first index at which what waits for a step can start, as an expression of the solver."""

    def __init__(self, net: Network, model: "CpModel", starts: list["IntVar"], horizon: int) -> None:
        self.net, self.model, self.starts, self.horizon = net, model, starts, horizon
        self.made: dict[tuple[int, int], IntVar] = {}
        self.tables: dict[tuple[int, bool], list[int]] = {}

    def after(self, position: int, wait: int) -> "IntVar | object":
        quarters = self.net.steps[position].quarters
        if not wait:
            return self.starts[position] + quarters
        if (position, wait) not in self.made:
            table = self._table(wait, quarters > 0)
            ready = self.model.new_int_var(0, max(table), f"r{position}_{wait}")
            self.model.add_element(self.starts[position] + quarters, table, ready)
            self.made[position, wait] = ready
        return self.made[position, wait]

    def _table(self, wait: int, worked: bool) -> list[int]:
        """Return by the index of the end, or of the start where nothing is worked, when the wait is over."""
        if (wait, worked) not in self.tables:
            time = self.net.time
            clocks = (
                time.end_clock(index) if worked and index else time.start_clock(index)
                for index in range(self.horizon + 1)
            )
            self.tables[wait, worked] = [
                max(index, time.ready(clock, wait)) for index, clock in enumerate(clocks)
            ]
        return self.tables[wait, worked]


def _surfaces(net: Network, model: "CpModel", starts: list["IntVar"], ready: _Ready) -> None:
    """Nothing uses a surface between the end of a step that closes it and the time when it has dried."""
    behind = _all_behind(net)
    for position, step in enumerate(net.steps):
        until = max((net.closed.get(surface, 0) for surface in step.uses), default=0)
        if until:
            model.add(starts[position] >= net.time.index_from(until))
        if not step.dries or not step.closes:
            continue
        for other, user in enumerate(net.steps):
            if other == position or not user.uses & step.closes or position in behind[other]:
                continue
            dried = ready.after(position, step.dries)
            if other in behind[position]:
                model.add(starts[other] >= dried)
                continue
            before = model.new_bool_var(f"b{other}_{position}")
            model.add(starts[other] + user.quarters <= starts[position]).only_enforce_if(before)
            model.add(starts[other] >= dried).only_enforce_if(~before)


def _all_behind(net: Network) -> list[set[int]]:
    """Return for each step all steps that wait for it, directly or through others."""
    behind: list[set[int]] = [set() for _ in net.steps]
    for position in reversed(net.order):
        for later, _ in net.follows[position]:
            behind[position] |= {later, *behind[later]}
    return behind
