"""Knowing a browser again on which somebody has signed in, by a signed cookie that outlives his session."""

import secrets
from collections.abc import Mapping
from datetime import timedelta

from django.conf import settings
from django.core import signing
from django.http import HttpResponse

KNOWN_FOR = timedelta(days=400)  # browsers keep no cookie longer
_SALT = "access.device"


def cookie_name() -> str:
    """Return the name of the cookie, bound to the host under HTTPS."""
    return f"{'__Host-' if settings.SESSION_COOKIE_SECURE else ''}device"


def remember_device(response: HttpResponse, username: str) -> None:
    """Give the browser a cookie by which it is known again as a device of this account."""
    response.set_cookie(
        cookie_name(),
        signing.dumps([username, secrets.token_urlsafe(16)], salt=_SALT),
        max_age=KNOWN_FOR,
        secure=settings.SESSION_COOKIE_SECURE,
        httponly=True,
        samesite="Lax",
    )


def known_device(cookies: Mapping[str, str]) -> tuple[str, str] | None:
    """Return the account that signed in on a browser and the name of the device; None for a stranger's."""
    try:
        username, device = signing.loads(cookies.get(cookie_name(), ""), salt=_SALT, max_age=KNOWN_FOR)
    except (signing.BadSignature, ValueError):
        return None
    return username, device
