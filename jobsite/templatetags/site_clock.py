"""The clock as other pages show it."""

from typing import Any

from django import template
from django.utils import timezone

from jobsite.hours.running import read_clock, time_of

register = template.Library()


@register.simple_tag
def running_clock() -> dict[str, Any] | None:
    """Return the clock that runs and how long it does; None where none does. Costs a query."""
    clock = read_clock()
    return {"clock": clock, "time": time_of(clock, timezone.now())} if clock else None
