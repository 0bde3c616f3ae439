"""Days and hours as pages show them, and what other pages include of the days."""

from datetime import date, datetime
from decimal import Decimal

from django import template
from django.utils import timezone

from estimating.models import ChangeOrder, Document
from jobsite.days import words
from jobsite.days.today import Today, read_today
from jobsite.days.with_change import FinishWithChange, finish_with_change
from jobsite.telling.client_days import ToldPart, told_part

register = template.Library()


@register.filter
def short_day(day: date) -> str:
    """Return a day without its year: "Wed 13 Jan"."""
    return words.short_day(day)


@register.filter
def day_seen_from(day: date, today: date) -> str:
    """Return a day, with its year where that isn't plain."""
    return words.day_near(day, today)


@register.filter
def clock(at: datetime) -> str:
    """Return a clock time: "8:00 AM"."""
    return words.clock(at)


@register.filter
def moment_seen_from(at: datetime, day: date) -> str:
    """Return a time as it is said on a day: "Thu 8:00 AM"."""
    return words.moment(at, day)


@register.filter
def site_hours(count: Decimal) -> str:
    """Return hours with as many decimals as they need: "4.25 h"."""
    return words.hours(count)


@register.filter
def bare_hours(count: Decimal) -> str:
    """Return hours to one decimal, for a column of them."""
    return f"{count:.1f}"


@register.simple_tag
def days_told_about(document: Document) -> ToldPart | None:
    """Return what the client was told of the days of a signed document's job; None before that."""
    return told_part(document, timezone.localdate())


@register.simple_tag
def days_today() -> Today | None:
    """Return what is done today on all jobs, and what is needed for it. Costs the queries of the plan."""
    return read_today(timezone.localdate())


@register.simple_tag
def finish_of_change(change: ChangeOrder) -> FinishWithChange | None:
    """Return what a change that isn't signed does to the end of its job. Costs the queries of the plan."""
    return finish_with_change(change, timezone.localdate())
