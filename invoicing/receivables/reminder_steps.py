"""The steps in which a client is reminded of an overdue invoice, and which one is next."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta


@dataclass(frozen=True)
class ReminderStep:
    """What is sent, and how many days after the due date."""

    name: str
    days: int


# Invented for the demo; the firm sets its own spacing.
DEFAULT_STEPS = (
    ReminderStep("Reminder", 3),
    ReminderStep("Second reminder", 10),
    ReminderStep("Formal demand", 30),
)


@dataclass(frozen=True)
class DatedReminderStep:
    """A step with its day for one invoice, and whether that day has come."""

    name: str
    on: date
    has_come: bool


def reminder_steps(
    due: date, today: date, steps: Iterable[ReminderStep] = DEFAULT_STEPS
) -> tuple[DatedReminderStep, ...]:
    """Return the steps with their days for an invoice, earliest first."""
    dated = sorted((due + timedelta(days=step.days), step.name) for step in steps)
    return tuple(DatedReminderStep(name, on, on <= today) for on, name in dated)


def next_reminder_step(
    steps: Sequence[DatedReminderStep], sent: Mapping[str, date], today: date
) -> DatedReminderStep | None:
    """Return the step after the last one that was sent; None after the last of all.

    `sent` has the days of sending by the steps' names. No step is left out, so that a demand never comes
    first. Where a step was sent late, the next comes as long after it as the spacing says.
    """
    positions = [position for position, step in enumerate(steps) if step.name in sent]
    if not positions:
        return steps[0] if steps else None
    last = steps[positions[-1]]
    if last == steps[-1]:
        return None
    following = steps[positions[-1] + 1]
    on = max(following.on, sent[last.name] + (following.on - last.on))
    return DatedReminderStep(following.name, on, on <= today)
