"""The layout of documents by how much they show, for their templates."""

from collections.abc import Sequence, Sized

from django import template

from estimating.snapshots import page_layout

register = template.Library()


@register.filter
def fits_side_by_side(lines: Sequence[str]) -> bool:
    """Tell whether a list is short enough for half the width of a page."""
    return page_layout.fits_side_by_side(lines)


@register.filter
def stays_whole(rows: Sized, table: str) -> bool:
    """Tell whether a table with these rows stays on one page."""
    return page_layout.stays_whole(rows, table)
