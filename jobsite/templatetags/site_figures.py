"""Figures of the site as pages show them, and what is over; each is one line over a rule tested elsewhere."""

from decimal import Decimal
from fractions import Fraction

from django import template

from catalog.measures.lengths import half_up
from estimating.models import Job
from jobsite.outcome.over_runs import OverRun, read_over_runs

register = template.Library()


@register.filter
def hours(amount: Fraction | Decimal) -> str:
    """Return hours with one decimal, so that a column of them lines up; nothing at all as a dash."""
    return f"{half_up(Fraction(amount) * 10) / Decimal(10):,.1f}" if amount else "-"


@register.simple_tag
def over_runs(job: Job | None = None) -> list[OverRun]:
    """Return the open jobs, or this one, that are over what was priced, or about to be."""
    return read_over_runs(job)
