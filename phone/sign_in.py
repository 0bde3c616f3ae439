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


def end_session(device: Device, now: datetime) -> None:
    """Sign a device out; what it would still send of what it kept is refused from now on."""
    Phone.objects.filter(session_key=device.session_key, ended_at=None).update(ended_at=now)
    device.delete()


def end_signed_out(phone: Phone, now: datetime) -> None:
    """Refuse from now on what a phone would still send that is signed out already."""
    Phone.objects.filter(pk=phone.pk, ended_at=None).update(ended_at=now)
