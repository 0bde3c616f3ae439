"""Figures as pages show them; each is one line over a rule tested elsewhere."""

from datetime import date
from decimal import Decimal
from fractions import Fraction

from django import template

from catalog.assemblies.rate_messages import price_age
from catalog.measures.units import format_length, format_percent, format_quantity
from catalog.models import Firm, Material, Package
from catalog.money.amounts import format_price
from catalog.starter import source_labels
from catalog.starter.shipped import price_is_shipped

register = template.Library()


@register.filter
def money(amount: object) -> str:
    """Dollars and cents: $1,234.50."""
    return format_price(getattr(amount, "amount", amount))


@register.filter
def quantity(amount: Fraction | Decimal, unit: str) -> str:
    """A quantity with its unit: 142.2 sq ft."""
    return format_quantity(Fraction(amount), unit)


@register.simple_tag
def firm_quantity(amount: Fraction | Decimal, unit: str, firm: Firm) -> str:
    """The same in the units that the firm works in."""
    return format_quantity(Fraction(amount), unit, firm.metric)


@register.simple_tag
def firm_length(length_nm: int, firm: Firm) -> str:
    return format_length(length_nm, firm.metric)


@register.filter
def count(number: int) -> str:
    """A count by its thousands: 1,032."""
    return f"{number:,}"


@register.filter
def plain(number: Decimal) -> str:
    """A number without trailing zeros."""
    return f"{number.normalize():f}"


@register.simple_tag
def stale_price(package: Package, firm: Firm, today: date) -> str:
    """Words for a price that came invented with the catalog, or is older than the firm trusts; empty for a
    fresh one of its own."""
    if price_is_shipped(package):
        return "an invented price: type your own"
    days = (today - package.priced_on).days if package.priced_on else None
    return price_age(days, firm.stale_after_days)


@register.filter
def material_source(material: Material) -> str:
    """Where the figures of a material come from, as its prices are now."""
    return source_labels.material_source(material)


@register.simple_tag
def in_words(requirement: object, firm: Firm) -> str:
    """The arithmetic of a requirement."""
    return requirement.in_words(firm.metric)


@register.filter
def per_cent(share: Fraction) -> str:
    return format_percent(share)
