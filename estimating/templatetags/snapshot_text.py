"""Filters that print the sums and dates of a snapshot as documents print them."""

from datetime import date
from decimal import Decimal

from django import template

from catalog.money.amounts import format_price
from estimating.plain_text import day_in_words

register = template.Library()


@register.filter
def dollars(amount: str) -> str:
    """Format "1234.50" as $1,234.50."""
    return format_price(Decimal(amount))


@register.filter
def day(iso: str) -> str:
    """Format "2026-11-24" as Tue 24 Nov 2026."""
    return day_in_words(date.fromisoformat(iso))
