"""Numbers as pages show them; each filter is one line over a rule that is tested elsewhere."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Protocol

from django import template
from djmoney.money import Money

from catalog.measures import room_measures
from catalog.measures.lengths import format_length
from catalog.measures.units import format_amount, format_percent
from catalog.models import Firm, Material, Package
from catalog.money.amounts import format_price
from catalog.money.price_age import price_age
from catalog.starter import source_labels
from catalog.starter.shipped import price_is_shipped

register = template.Library()


class Explained(Protocol):
    """A quantity that can say its arithmetic."""

    def in_words(self, metric: bool = False) -> str: ...


@register.filter
def money(amount: Money | Decimal) -> str:
    """Return dollars and cents: $1,234.50."""
    return format_price(amount.amount if hasattr(amount, "amount") else amount)


@register.filter
def quantity(amount: Fraction | Decimal, unit: str) -> str:
    """Return a quantity with its unit: 142.2 sq ft."""
    return format_amount(Fraction(amount), unit)


@register.filter
def by_what(code: str) -> str:
    """Say how work is priced: by the sq ft of floor."""
    return room_measures.by_what(code)


@register.simple_tag
def firm_quantity(amount: Fraction | Decimal, unit: str, firm: Firm) -> str:
    """Return a quantity in the units that the firm works in."""
    return format_amount(Fraction(amount), unit, firm.metric)


@register.simple_tag
def firm_length(length_nm: int, firm: Firm) -> str:
    """Return a length in the units that the firm works in."""
    return format_length(length_nm, firm.metric)


@register.filter
def count(number: int) -> str:
    """Return a count with commas between thousands: 1,032."""
    return f"{number:,}"


@register.filter
def plain(number: Decimal) -> str:
    """Return a number without trailing zeros."""
    return f"{number.normalize():f}"


@register.simple_tag
def stale_price(package: Package, firm: Firm, today: date) -> str:
    """Return words for a price that shouldn't be trusted; empty for a fresh one of the firm's own.

    Such a price came invented with the catalog, or is older than the firm's settings allow.
    """
    if price_is_shipped(package):
        return "an invented price: type your own"
    days = (today - package.priced_on).days if package.priced_on else None
    return price_age(days, firm.stale_after_days)


@register.simple_tag
def priced_alike(packages: Sequence[Package], firm: Firm, today: date) -> Package | None:
    """Return the first of the packages where all were priced by one supplier on one day; else None."""
    alike = {
        (row.supplier_id, row.priced_on, row.estimated_by, stale_price(row, firm, today)) for row in packages
    }
    return packages[0] if len(alike) == 1 else None


@register.filter
def material_source(material: Material) -> str:
    """Return where the numbers of a material come from, as its prices are now."""
    return source_labels.material_source(material)


@register.simple_tag
def in_words(requirement: Explained, firm: Firm) -> str:
    """Return the arithmetic of a requirement."""
    return requirement.in_words(firm.metric)


@register.filter
def per_cent(share: Fraction) -> str:
    """Return a share in percent with one decimal: 14.3%."""
    return format_percent(share)
