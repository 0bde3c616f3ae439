"""Why each step lies where it lies, how far it can be moved, and why a pin can't hold: in plain words."""

from datetime import date, datetime

from estimating.plain_text import clock_in_words
from estimating.schedule.calendar import moment_of
from estimating.schedule.list_rule import Found
from estimating.schedule.network import Network, pin_window
from estimating.schedule.plan import Reason


def when(moment: datetime | date) -> str:
    """Return a day or a moment as it is said: "Tue 5 Jan" or "Tue 5 Jan, 8:00 AM"."""
    day = f"{moment:%a} {moment.day} {moment:%b}"
    return f"{day}, {clock_in_words(moment)}" if isinstance(moment, datetime) else day


def reasons(net: Network, found: Found) -> list[Reason]:
    """Return what holds each step back from an earlier start, the strongest reason first."""
    worked = sorted(
        (position for position, step in enumerate(net.steps) if step.quarters),
        key=lambda position: found.starts[position],
    )
    ends = {found.starts[position] + net.steps[position].quarters: position for position in worked}
    return [_reason(net, found, ends, position) for position in range(len(net.steps))]


def _reason(net: Network, found: Found, ends: dict[int, int], position: int) -> Reason:
    step, start = net.steps[position], found.starts[position]
    if position in net.pins and start >= net.pins[position][0]:
        return Reason("pin", words=f"pinned to {when(moment_of(net.time.start_clock(start)).date())}")
    for earlier, wait in net.before[position]:
        if wait and net.fits(position, net.ready_after(earlier, found.starts[earlier], wait)) == start:
            end = net.time.clock_after(net.end_clock(earlier, found.starts[earlier]), wait)
            return _waits(net, earlier, end)
    if surface := _surface(net, found, position):
        return surface
    if step.not_before is not None and net.fits(position, net.earliest[position]) == start and start:
        words = f"not before {when(step.not_before)}"
        return Reason(
            "not_before",
            until=step.not_before,
            words=f"{step.not_before_reason}: {words}" if step.not_before_reason else words,
        )
    for earlier, _ in net.before[position]:
        if found.starts[earlier] + net.steps[earlier].quarters == start:
            return Reason("after", net.steps[earlier].key, words=f"comes after {net.steps[earlier].name}")
    if not start:
        return Reason("first", words="nothing holds it back")
    if start in ends and step.quarters:
        other = net.steps[ends[start]]
        return Reason("worker", other.key, words=f"you are at {other.name} until then")
    if net.whole[position] and start == net.time.stretch_at(start)[0]:
        return Reason("fits", words="it is done in one go and doesn't fit into the time that is left before")
    return Reason("chosen", words="nothing holds it here: it can be begun earlier")


def _waits(net: Network, earlier: int, clock: int) -> Reason:
    step = net.steps[earlier]
    until = moment_of(clock)
    return Reason("waits", step.key, until, f"waits for {step.name} to dry or set, until {when(until)}")


def _surface(net: Network, found: Found, position: int) -> Reason | None:
    step, start = net.steps[position], found.starts[position]
    for other, closer in enumerate(net.steps):
        if closer.dries and found.starts[other] < start and closer.closes & step.uses:
            until = net.time.clock_after(net.end_clock(other, found.starts[other]), closer.dries)
            if net.fits(position, net.time.index_from(until)) == start:
                return Reason(
                    "surface",
                    closer.key,
                    moment_of(until),
                    f"{closer.name} must dry or set where this is done, until {when(moment_of(until))}",
                )
    return None


def latest_starts(net: Network, found: Found) -> list[int]:
    """Return the last start of each step with which, in the same order of work, the last day stays.

    Goes backward from the end of the last day: a step ends before the next one that is worked starts, and
    before what waits for it starts, by its wait; pins stay where they are.
    """
    if not net.steps:
        return []
    last_end = max(found.makespan, 1)
    until = net.time.stretch_at(last_end - 1)[1]
    latest = [0] * len(net.steps)
    by_start = sorted(
        range(len(net.steps)),
        key=lambda position: (found.starts[position], net.steps[position].quarters > 0, position),
    )
    limit = until
    for position in reversed(by_start):
        step = net.steps[position]
        start = min(limit, until) - step.quarters
        for later, wait in net.follows[position]:
            while start > found.starts[position] and net.ready_after(position, start, wait) > latest[later]:
                start -= 1
        start = _surface_limit(net, found, latest, position, start)
        if position in net.pins:
            start = found.starts[position]
        while start > found.starts[position] and net.fits(position, start) != start:
            start -= 1
        latest[position] = max(start, found.starts[position])
        if step.quarters:
            limit = latest[position]
    return latest


def _surface_limit(net: Network, found: Found, latest: list[int], position: int, start: int) -> int:
    step = net.steps[position]
    if not step.closes:
        return start
    for other, user in enumerate(net.steps):
        if found.starts[other] >= found.starts[position] and other != position and user.uses & step.closes:
            while (
                start > found.starts[position]
                and net.ready_after(position, start, step.dries) > latest[other]
            ):
                start -= 1
    return start


def why_not_pinned(net: Network, position: int, found: Found | None) -> str:
    """Return why a step can't be done when it was pinned: "tile can't go on Wed 13 Jan: ..."."""
    step = net.steps[position]
    assert step.pin is not None
    day = when(datetime.combine(step.pin.day, step.pin.at) if step.pin.at else step.pin.day)
    can_not = f"{step.name} can't go on {day}"
    if step.pin.day < moment_of(net.time.start).date():
        return f"{can_not}: that day is past."
    window = pin_window(step, net.time)
    if window is None:
        return f"{can_not}: you don't work then."
    head, at = net.earliest[position], None
    for earlier, wait in net.before[position]:
        start = net.heads[earlier] if found is None else found.starts[earlier]
        ready = net.ready_after(earlier, start, wait)
        if ready > head:
            head, at = ready, (earlier, wait, start)
    if at is not None and head > window[1]:
        earlier, wait, start = at
        other = net.steps[earlier]
        end = net.end_clock(earlier, start)
        if wait:
            until = moment_of(net.time.clock_after(end, wait))
            return f"{can_not}: {other.name} must dry or set until {when(until)}."
        return f"{can_not}: {other.name} isn't done before {when(moment_of(end))}."
    if head > window[1] and step.not_before is not None:
        reason = f"{step.not_before_reason}, " if step.not_before_reason else ""
        return f"{can_not}: {reason}not before {when(step.not_before)}."
    if net.fits(position, window[0]) > window[1]:
        return f"{can_not}: it is done in one go and doesn't fit into what is left of that day."
    return f"{can_not}: there is more to do before it than fits, or something else is pinned there."
