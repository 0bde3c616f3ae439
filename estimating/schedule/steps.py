"""What is to be done: steps with their work, what they wait for, and the surfaces they need or close."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from fractions import Fraction


class CannotPlan(ValueError):
    """The steps can't be planned at all; the message says why in a plain sentence."""


@dataclass(frozen=True)
class Wait:
    """A step that must be done before, and the quarter hours of the clock to wait after its end."""

    step: str
    quarters: int = 0


@dataclass(frozen=True)
class Pin:
    """A day that a step was pinned to by hand, with or without the time at which it starts."""

    day: date
    at: time | None = None


@dataclass(frozen=True)
class HoursRange:
    """The hours that a step takes when all goes well, likely, and when little goes well."""

    low: Fraction
    likely: Fraction
    high: Fraction


@dataclass(frozen=True)
class Step:
    """One piece of work of one job, or with no quarters an event from outside that takes no work.

    `quarters` are quarter hours of work. What isn't splittable is begun and ended in one go. `uses` are
    surfaces that it walks on, leans on or works on; `closes` those that nothing may use for `dries` quarter
    hours of the clock after its end. A surface is any text, such as "floor:12". `not_before` and `pin` are
    set by hand or by what comes from outside. `done` is when it ended, for a step that is finished: it
    takes no more work, and what waits for it waits from then.
    """

    key: str
    name: str
    quarters: int
    work_item: str = ""
    job: str = ""
    splittable: bool = True
    after: tuple[Wait, ...] = ()
    uses: frozenset[str] = frozenset()
    closes: frozenset[str] = frozenset()
    dries: int = 0
    not_before: datetime | None = None
    not_before_reason: str = ""
    pin: Pin | None = None
    done: datetime | None = None
    hours: HoursRange | None = None


def cycle_among(after: Mapping[str, Iterable[str]]) -> tuple[str, ...]:
    """Return the keys along one cycle of what waits for what, the first again at the end; none is empty."""
    state: dict[str, bool] = {}  # False while on the way, True when left
    for root in after:
        path: list[str] = []
        waiting: list[tuple[str, bool]] = [(root, False)]
        while waiting:
            key, leaving = waiting.pop()
            if leaving:
                state[key] = True
                path.pop()
                continue
            if key in state:
                if not state[key]:
                    return (*path[path.index(key) :], key)
                continue
            state[key] = False
            path.append(key)
            waiting.append((key, True))
            waiting += [(earlier, False) for earlier in after.get(key, ())]
    return ()


def refuse_what_cannot_be_planned(steps: Sequence[Step]) -> None:
    """Raise CannotPlan for a key used twice, a wait for a step that isn't there, a cycle or negative work."""
    by_key = {step.key: step for step in steps}
    if len(by_key) < len(steps):
        raise CannotPlan("Two steps have the same key.")
    for step in steps:
        if step.quarters < 0 or step.dries < 0 or any(wait.quarters < 0 for wait in step.after):
            raise CannotPlan(f"{step.name} has fewer than no hours.")
        for wait in step.after:
            if wait.step not in by_key:
                raise CannotPlan(f"{step.name} waits for a step that isn't there.")
    cycle = cycle_among({step.key: [wait.step for wait in step.after] for step in steps})
    if cycle:
        names = [by_key[key].name for key in reversed(cycle)]
        raise CannotPlan(f"These steps wait for each other, so none can begin: {' > '.join(names)}.")


def hours_of(quarters: int) -> Fraction:
    """Return quarter hours as hours."""
    return Fraction(quarters, 4)
