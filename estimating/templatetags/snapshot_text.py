"""Filters that print what a snapshot holds as documents print it: sums, dates, tables and drawings."""

from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal
from typing import Any
from urllib.parse import urlsplit

import segno
from django import template
from django.utils.safestring import SafeString, mark_safe

from catalog.money.amounts import format_price
from catalog.money.pay_link import fill_pay_link
from estimating.contract import warranty
from estimating.plain_text import day_in_words, list_in_words
from estimating.snapshots import phase_bars as bars
from estimating.snapshots import short_cautions as cautions
from estimating.snapshots import work_table as table

register = template.Library()

QUIET = 4  # modules of margin around a code, ISO/IEC 18004


@register.filter
def dollars(amount: str) -> str:
    """Format "1234.50" as $1,234.50."""
    return format_price(Decimal(amount))


@register.filter
def signed_dollars(amount: str) -> str:
    """Format "1234.50" as +$1,234.50, and "-1234.50" as -$1,234.50."""
    return f"{'+' if Decimal(amount) > 0 else ''}{format_price(Decimal(amount))}"


@register.filter
def day(iso: str) -> str:
    """Format "2026-11-24" as Tue 24 Nov 2026."""
    return day_in_words(date.fromisoformat(iso))


@register.filter
def warranty_from(iso: str, months: int) -> str:
    """Return the last day of a warranty of so many months that begins on a day, as "Wed 24 Nov 2027"."""
    return day_in_words(warranty.last_day(date.fromisoformat(iso), months))


@register.filter
def in_words(words: Sequence[str]) -> str:
    """Join words as a sentence lists them."""
    return list_in_words(words)


@register.filter
def work_table(snapshot: Mapping[str, Any]) -> list[table.TableGroup]:
    """Return the table of an estimate: what is done beside what it costs."""
    return table.work_table(snapshot)


@register.filter
def change_table(snapshot: Mapping[str, Any]) -> list[table.ChangeTableRow]:
    """Return the table of a change order: what is done beside what it adds or takes away."""
    return table.change_table(snapshot)


@register.filter
def phase_bars(snapshot: Mapping[str, Any]) -> list[bars.PhaseBar]:
    """Return where the money goes, a bar a phase."""
    return bars.phase_bars(snapshot)


@register.filter
def short_cautions(snapshot: Mapping[str, Any]) -> cautions.ShortCautions:
    """Return the cautions of a paper, set short."""
    return cautions.short_cautions(snapshot)


@register.filter
def pay_address(snapshot: Mapping[str, Any]) -> str:
    """Return where an invoice is paid, for its amount and number; empty where nothing is to pay."""
    template, due = snapshot.get("pay_link", ""), Decimal(snapshot["due"])
    return fill_pay_link(template, due, snapshot.get("number", "")) if template and due else ""


@register.filter
def host_of(address: str) -> str:
    """Return the name of the site that an address leads to."""
    return urlsplit(address).hostname or ""


@register.filter
def qr_code(address: str) -> SafeString:
    """Return the code that a phone's camera opens an address from, as a drawing of dark squares on white."""
    code = segno.make(address, error="m", micro=False)
    drawn = code.svg_inline(border=QUIET, light="#fff", omitsize=True, svgclass="qr-code", lineclass=None)
    named = drawn.replace("<svg ", '<svg role="img" aria-label="Code that opens the page to pay" ', 1)
    return mark_safe(named)  # segno writes numbers and names of its own alone


@register.filter
def cut_title(title: str) -> str:
    """Return what a cut sheet is of, without the name of the paper before it."""
    return title.removeprefix("Cut sheet: ")
