"""Which sign-in a phone is, and ending one from elsewhere."""

from datetime import datetime
from uuid import uuid4

from django.contrib.auth.models import AbstractBaseUser
from django.http import HttpRequest

from account.models import Device
from phone.models import Phone

IDENT = "phone"  # of the session


def known_phone(request: HttpRequest, now: datetime) -> Phone:
    """Return the phone of who is signed in, new at its first contact, and note that it came."""
    ident = request.session.setdefault(IDENT, uuid4().hex)
    assert isinstance(request.user, AbstractBaseUser)
    agent = request.headers.get("User-Agent", "")[:300]
    came = {"user": request.user, "agent": agent, "session_key": request.session.session_key, "last_at": now}
    phone, _ = Phone.objects.update_or_create(
        ident=ident, defaults=came, create_defaults={**came, "first_at": now}
    )
    return phone


def has_ended(ident: str) -> bool:
    """Return whether a sign-in was ended from elsewhere. Costs a query."""
    return Phone.objects.filter(ident=ident, ended_at__isnull=False).exists()


def end(phone: Phone, now: datetime) -> None:
    """End a sign-in: its session, and what it would still send."""
    Device.objects.filter(session_key=phone.session_key).delete()
    Phone.objects.filter(pk=phone.pk, ended_at=None).update(ended_at=now)
