"""Noting what happened to how somebody signs in, and mailing it to him."""

from datetime import datetime

from django.contrib.auth.models import AbstractBaseUser, User
from django.db import transaction
from django.http import HttpRequest
from django.template.loader import render_to_string
from django.utils import timezone

from access.addresses import client_address
from account.models import SignInEvent
from account.sessions import browser_of
from catalog.models import Firm
from estimating.client import outbox

Kind = SignInEvent.Kind
NOT_MAILED = {Kind.SIGNED_IN, Kind.REFUSED}  # every day's; the first is on a device that he knows


def note(
    user: AbstractBaseUser, kind: SignInEvent.Kind, request: HttpRequest | None, *, to: str = ""
) -> None:
    """Note an event, and put the mail about it down with it. `to` is an address that was his until now."""
    at = timezone.now()
    address, browser = (client_address(request), browser_of(request)) if request else ("", "")
    with transaction.atomic():
        event = SignInEvent.objects.create(
            user_id=user.pk, kind=kind, at=at, address=address, browser=browser
        )
        if kind not in NOT_MAILED:
            for mailed in dict.fromkeys((to, mailed_to(user))):
                if mailed:
                    _mail(event, mailed, at)


def mailed_to(user: AbstractBaseUser) -> str:
    """Return where mail about signing in goes: his own address, else the firm's."""
    return str(getattr(User.objects.filter(pk=user.pk).first(), "email", "") or Firm.current().email)


def _mail(event: SignInEvent, to: str, at: datetime) -> None:
    text = render_to_string("account/mail_event.txt", {"event": event})
    outbox.put_down(to, f"{event.get_kind_display()}: your Benchrule", text, at)
