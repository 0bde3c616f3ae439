"""Figures as pages and papers show them; each filter is one line over a tested function."""

from decimal import Decimal
from fractions import Fraction

from django import template

from catalog.markup import Markup
from catalog.money import format_price
from catalog.units import format_length, format_quantity

register = template.Library()


@register.filter
def money(amount: Decimal | None) -> str:
    """$1,234.50; an amount of Money is taken as its number; nothing for None."""
    return "" if amount is None else format_price(getattr(amount, "amount", amount))


@register.filter
def length(length_nm: int, metric: bool = False) -> str:
    return format_length(length_nm, metric)


@register.filter
def quantity(amount: Fraction, unit: str) -> str:
    return format_quantity(Fraction(amount), unit)


@register.filter
def markup(value: Markup) -> str:
    return value.in_words()
