"""What comes from outside: when it can be there, and by when it must be ordered or decided."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from jobsite.days.kept_steps import Choice
from jobsite.days.planned import PlannedStep
from jobsite.days.words import day_near

DECISION = "decision"
# What is ordered, or asked to come, before it comes; the others come on their day.
ORDERED = frozenset({"delivery", "dumpster", "trade", "inspection", "template", "setting", "other"})


@dataclass(frozen=True)
class Awaited:
    """Something from outside as it stands.

    `holds_back` is the work that waits for it: "phase:set", or "line:7:12" for the line 12 of document 7.
    """

    key: int
    job: int
    kind: str
    title: str
    on: date | None = None
    lead_days: int | None = None
    ordered_on: date | None = None
    holds_back: str = ""
    done: bool = False

    def holds(self, step: PlannedStep) -> bool:
        """Tell whether a step is work that waits for it."""
        return holds_back(self.holds_back, step.job == self.job, step.phase, step.document, step.line)


def holds_back(what: str, same_job: bool, phase: str, document: int, line: str) -> bool:
    """Tell whether work is what an event holds back."""
    return bool(what) and same_job and what in (f"phase:{phase}", f"line:{document}:{line}")


def earliest(event: Awaited, today: date) -> date | None:
    """Return the first day on which the work that waits for it can begin; None where nothing waits.

    What isn't ordered or decided yet can't come before today and its lead days, whatever day was noted.
    """
    if event.done:
        return None
    lead = timedelta(days=event.lead_days or 0)
    if event.ordered_on:
        return max(event.on, today) if event.on else max(event.ordered_on + lead, today)
    if event.kind == DECISION:
        return max(event.on or today, today) + lead
    if event.lead_days is None:
        return max(event.on, today) if event.on else None
    return max(event.on or today, today + lead)


def needed_on(event: Awaited, steps: Iterable[PlannedStep]) -> date | None:
    """Return the last day on which it costs no day; None where no planned work waits for it."""
    waiting = [step for step in steps if step.parts and event.holds(step)]
    if not waiting:
        return None
    first = min(waiting, key=lambda step: (step.begins, step.key))
    return max(first.free_to or first.begins.date(), first.begins.date())


def act_by(event: Awaited, needed: date | None) -> date | None:
    """Return the day by which it is to be ordered or decided so that it costs no day; None without one."""
    if event.done or event.ordered_on or needed is None:
        return None
    if event.kind != DECISION and event.lead_days is None:
        return None
    return needed - timedelta(days=event.lead_days or 0)


@dataclass(frozen=True)
class Decision:
    """What the client has to decide: by the contract until `by`, and until `free` without costing a day."""

    key: str
    title: str
    by: date | None
    free: date | None

    @property
    def day(self) -> date | None:
        """The earlier of both days."""
        return min((day for day in (self.by, self.free) if day), default=None)

    def in_words(self, today: date) -> str:
        """Say by when: "by the contract until Fri 4 Dec; until Tue 8 Dec it costs no day"."""
        words = [f"by the contract until {day_near(self.by, today)}"] if self.by else []
        if self.free:
            past = self.free < today
            words.append(
                f"it costs days since {day_near(self.free, today)}"
                if past
                else f"until {day_near(self.free, today)} it costs no day"
            )
        return "; ".join(words) or "no day is set for it"


def decisions(choices: Iterable[Choice], job: int, steps: Iterable[PlannedStep]) -> list[Decision]:
    """Return what the client of a job has to decide, with the last day on which that costs no day.

    That is the last day on which the first work of its phase can begin.
    """
    steps = [step for step in steps if step.job == job]
    return [
        Decision(
            choice.key,
            choice.title,
            choice.by,
            needed_on(Awaited(0, job, DECISION, choice.title, holds_back=f"phase:{choice.phase}"), steps)
            if choice.phase
            else None,
        )
        for choice in choices
    ]


def event_in_words(event: Awaited, needed: date | None, today: date) -> str:
    """Say what is to be done about an event, or when it comes: "Order by Fri 4 Dec: needed Fri 15 Jan"."""
    if event.done:
        return "It has come."
    by = act_by(event, needed)
    if by is not None and needed is not None:
        verb = "Client decides" if event.kind == DECISION else "Order"
        late = " That day is past: each day more moves the end of the job." if by < today else ""
        return f"{verb} by {day_near(by, today)}: needed {day_near(needed, today)}.{late}"
    comes = earliest(event, today)
    if comes is None:
        return "No day is known yet, so no work waits for it."
    if needed is not None and event.ordered_on:
        return f"Ordered {day_near(event.ordered_on, today)}, here by {day_near(comes, today)}."
    return f"Comes {day_near(comes, today)}."
