"""Asking whether the machine's date is right before anything is dated by it."""

from datetime import date, datetime

from django.contrib.auth import get_user_model
from django.db.models import Max
from django.utils import timezone

from estimating.events.clock import date_in_doubt
from estimating.models import DocumentEvent

TICK = "date_is_right"  # the name of the box to tick
NOT_TICKED = "Tick that the date is right, or set this machine's clock first."


class DateInDoubt(ValueError):
    """The machine's date doesn't fit what was noted before; the message asks whether it is right."""


def date_question(at: datetime) -> str:
    """Return what to ask before something is dated by the clock; empty where its date fits.

    Costs two queries.
    """
    return date_in_doubt(timezone.localdate(at), *last_days())


def check_date(at: datetime, date_is_right: bool) -> None:
    """Raise DateInDoubt where the date doesn't fit and nobody said that it is right."""
    if not date_is_right and (question := date_question(at)):
        raise DateInDoubt(question)


def last_days() -> tuple[date | None, date | None]:
    """Return the days of the newest event of the papers and of the last sign-in."""
    event = DocumentEvent.objects.order_by("-place").values_list("at", flat=True).first()
    signed_in = get_user_model().objects.aggregate(last=Max("last_login"))["last"]
    return _day(event), _day(signed_in)


def _day(at: datetime | None) -> date | None:
    return timezone.localdate(at) if at else None
