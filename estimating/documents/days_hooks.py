"""What the plan of days adds to estimates and changes of this app.

Days belong to an app above, which imports this one and never the other way round. Its `AppConfig.ready`
registers one object that answers; where nothing is registered, nothing is said of days.
"""

from datetime import date
from typing import Protocol

from estimating.models import Estimate


class DaysHooks(Protocol):
    """The questions that this app asks of the plan of days."""

    def first_day(self, estimate: Estimate, today: date) -> date | None:
        """Return the day on which the work of a draft can begin if it is signed on its last day; None where
        that can't be planned."""
        ...


class NoDays(DaysHooks):
    """The answer where no app plans days."""

    def first_day(self, estimate: Estimate, today: date) -> date | None:
        return None


_registered: DaysHooks = NoDays()


def register(hooks: DaysHooks) -> None:
    """Let these hooks answer from now on. Called once, by the `ready` of the app above."""
    global _registered
    _registered = hooks


def planned_days() -> DaysHooks:
    """Return the registered hooks, or those that answer nothing."""
    return _registered
