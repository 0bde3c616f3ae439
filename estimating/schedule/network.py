"""Steps and calendar as plain lists of numbers, with what is known of every plan before one is made."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from estimating.schedule.calendar import WorkCalendar, WorkTime, clock_of
from estimating.schedule.steps import Step, refuse_what_cannot_be_planned


@dataclass
class Network:
    """What is left to do, by position in `steps`.

    `earliest` is the first working index at which a step may start whatever else is done; `pins` the first
    and last index at which a pinned step may start. `heads` are the earliest starts when everything else is
    left out but what a step waits for; `rest` the work alone that must follow its end. `closed` are
    surfaces that finished steps close, up to a clock; `longest` is the longest day of the week.
    """

    steps: list[Step]
    time: WorkTime
    before: list[list[tuple[int, int]]]
    follows: list[list[tuple[int, int]]]
    order: list[int]
    earliest: list[int]
    whole: list[bool]  # done in one go
    pins: dict[int, tuple[int, int]]
    done: dict[str, Step]
    closed: dict[str, int] = field(default_factory=dict)
    heads: list[int] = field(default_factory=list)
    rest: list[int] = field(default_factory=list)
    longest: int = 0

    def end_clock(self, position: int, start: int) -> int:
        """Return the clock at which a step ends that starts at an index; without work, when it starts."""
        quarters = self.steps[position].quarters
        return self.time.end_clock(start + quarters) if quarters else self.time.start_clock(start)

    def fits(self, position: int, index: int, held: bool = False) -> int:
        """Return the first index, from this one, at which a step can be done in the way that it must be.

        A step that is held is done in one go, too, where the longest day has room for it.
        """
        if not self.whole[position] and not (held and self.steps[position].quarters <= self.longest):
            return index
        _, end = self.time.stretch_at(index)
        while end - index < self.steps[position].quarters:
            index = end
            _, end = self.time.stretch_at(index)
        return index

    def ready_after(self, position: int, start: int, wait: int) -> int:
        """Return the first index at which what waits for a step can start."""
        end = start + self.steps[position].quarters
        return max(end, self.time.ready(self.end_clock(position, start), wait)) if wait else end

    def ended_before(self, start: int, wait: int) -> int:
        """Return the last index at which a step can end for what starts at an index after a wait.

        May be below 0, where even a step that ended at the start would be too late.
        """
        if not wait or start <= 0:
            return start
        ended = self.time.index_from(self.time.start_clock(start) - wait)
        return ended if ended else start - wait

    def lower_bound(self) -> int:
        """Return working quarters that no plan can be below: the longest chain, or work behind its head."""
        quarters = [step.quarters for step in self.steps]
        bound = max((head + work for head, work in zip(self.heads, quarters, strict=True)), default=0)
        by_head = sorted(range(len(quarters)), key=lambda position: self.heads[position], reverse=True)
        work, least_rest = 0, None
        for position in by_head:
            work += quarters[position]
            if quarters[position]:
                rest = self.rest[position]
                least_rest = rest if least_rest is None else min(least_rest, rest)
            if work:
                bound = max(bound, self.heads[position] + work + (least_rest or 0))
        return bound


def network(steps: Sequence[Step], calendar: WorkCalendar, start: datetime) -> Network:
    """Number the steps that aren't done and work out heads, tails and pins. Raises CannotPlan."""
    refuse_what_cannot_be_planned(steps)
    time = WorkTime(calendar, start)
    done = {step.key: step for step in steps if step.done is not None}
    left = [step for step in steps if step.done is None]
    position_of = {step.key: position for position, step in enumerate(left)}
    before: list[list[tuple[int, int]]] = [[] for _ in left]
    follows: list[list[tuple[int, int]]] = [[] for _ in left]
    earliest = [0] * len(left)
    for position, step in enumerate(left):
        for wait in step.after:
            if wait.step in done:
                ended = done[wait.step].done
                assert ended is not None
                earliest[position] = max(earliest[position], time.ready(clock_of(ended), wait.quarters))
            else:
                before[position].append((position_of[wait.step], wait.quarters))
                follows[position_of[wait.step]].append((position, wait.quarters))
        if step.not_before is not None:
            earliest[position] = max(earliest[position], time.index_from(clock_of(step.not_before)))
    longest = calendar.longest_day()
    net = Network(
        steps=left,
        time=time,
        before=before,
        follows=follows,
        order=_topological(before, follows),
        earliest=earliest,
        whole=[not step.splittable and 0 < step.quarters <= longest for step in left],
        pins=_pins(left, time),
        done=done,
        closed=_closed(done.values(), time),
        longest=longest,
    )
    work_out(net)
    return net


def _topological(before: list[list[tuple[int, int]]], follows: list[list[tuple[int, int]]]) -> list[int]:
    left = [len(waits) for waits in before]
    order = [position for position, count in enumerate(left) if not count]
    for position in order:
        for later, _ in follows[position]:
            left[later] -= 1
            if not left[later]:
                order.append(later)
    return order


def _pins(steps: Sequence[Step], time: WorkTime) -> dict[int, tuple[int, int]]:
    """Return the windows of the pins that the calendar allows; the others are told by the planner."""
    pins = {}
    for position, step in enumerate(steps):
        window = pin_window(step, time)
        if window is not None:
            pins[position] = window
    return pins


def pin_window(step: Step, time: WorkTime) -> tuple[int, int] | None:
    """Return the first and last index at which a pinned step may start, None where no work is done then."""
    if step.pin is None:
        return None
    midnight = clock_of(datetime.combine(step.pin.day, datetime.min.time()))
    first = clock_of(datetime.combine(step.pin.day, step.pin.at)) if step.pin.at else midnight
    tomorrow = clock_of(datetime.combine(step.pin.day, datetime.min.time()) + timedelta(days=1))
    lowest = time.index_from(first)
    highest = lowest if step.pin.at else time.index_from(tomorrow) - 1
    if tomorrow <= time.start or highest < lowest or not first <= time.start_clock(lowest) < tomorrow:
        return None
    if step.pin.at and time.start_clock(lowest) != first:
        return None
    return lowest, highest


def _closed(done: Iterable[Step], time: WorkTime) -> dict[str, int]:
    """Return the clock up to which finished steps close each surface."""
    closed: dict[str, int] = {}
    for step in done:
        assert step.done is not None
        until = time.clock_after(clock_of(step.done), step.dries)
        for surface in step.closes:
            closed[surface] = max(closed.get(surface, 0), until)
    return closed


def work_out(net: Network) -> None:
    """Work out heads and rests, anew where a pin was left out."""
    count = len(net.steps)
    net.heads, net.rest = [0] * count, [0] * count
    for position in net.order:
        head = net.earliest[position]
        for earlier, wait in net.before[position]:
            head = max(head, net.ready_after(earlier, net.heads[earlier], wait))
        head = max(head, net.pins[position][0]) if position in net.pins else head
        net.heads[position] = net.fits(position, head)
    for position in reversed(net.order):
        net.rest[position] = max(
            (net.steps[later].quarters + net.rest[later] for later, _ in net.follows[position]), default=0
        )


def tails(net: Network, end: int) -> list[int]:
    """Return how long before a working index each step must start so that all can end there.

    Goes backward from what waits for each step, over nights, weekends and holidays as the calendar has them.
    """
    latest = [0] * len(net.steps)
    for position in reversed(net.order):
        step, last = net.steps[position], end
        for later, wait in net.follows[position]:
            last = min(last, net.ended_before(latest[later], wait))
        start = last - step.quarters
        if net.whole[position] and start >= 0:
            _, stops = net.time.stretch_at(start)
            start = min(start, stops - step.quarters)
        latest[position] = start
    return [end - start for start in latest]


def rough_tails(net: Network) -> list[int]:
    """Return the same with a third of each wait as worked: of 24 hours about 8 are."""
    found = [0] * len(net.steps)
    for position in reversed(net.order):
        after = (wait // 3 + found[later] for later, wait in net.follows[position])
        found[position] = net.steps[position].quarters + max(after, default=0)
    return found
