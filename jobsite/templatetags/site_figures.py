"""Figures of the site as pages show them; each filter is one line over a rule that is tested elsewhere."""

from decimal import Decimal
from fractions import Fraction

from django import template

from catalog.measures.lengths import half_up

register = template.Library()


@register.filter
def hours(amount: Fraction | Decimal) -> str:
    """Return hours with one decimal, so that a column of them lines up; nothing at all as a dash."""
    return f"{half_up(Fraction(amount) * 10) / Decimal(10):.1f}" if amount else "-"
