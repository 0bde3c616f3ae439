"""Django's sessions in the database, each a row that says whose browser it is."""

from datetime import datetime, timedelta
from typing import Any

from django.conf import settings
from django.contrib.auth import SESSION_KEY
from django.contrib.auth.models import AbstractBaseUser
from django.contrib.sessions.backends.base import SessionBase
from django.contrib.sessions.backends.db import SessionStore as DatabaseSessions
from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django.utils import timezone

from access.addresses import client_address
from account.models import Device

CAME_FROM = "came_from"
MUST_ADD_SECOND = "must_add_second"
SEEN_EVERY = timedelta(hours=1)


class SessionStore(DatabaseSessions):
    """Sessions as rows of `Device`."""

    @classmethod
    def get_model_class(cls) -> type[Device]:
        return Device

    def create_model_instance(self, data: dict[str, Any]) -> Device:
        """Return the row, with what the session knows of its browser."""
        row: Device = super().create_model_instance(data)  # type: ignore[assignment]
        came: dict[str, str] = data.get(CAME_FROM, {})
        row.user_id = int(data[SESSION_KEY]) if SESSION_KEY in data else None
        row.browser, row.address = came.get("browser", ""), came.get("address", "")
        row.signed_in_at, row.seen_at = _time(came.get("at")), _time(came.get("seen"))
        return row


def browser_of(request: HttpRequest) -> str:
    """Return what a browser calls itself, cut to what is kept."""
    agent: str = request.META.get("HTTP_USER_AGENT", "")
    return agent[:200].replace("\x00", "")


def note_where_from(sender: object, request: HttpRequest, user: AbstractBaseUser, **kwargs: Any) -> None:
    """Keep with a session where it was signed in."""
    now = timezone.now().isoformat()
    came = {"address": client_address(request), "browser": browser_of(request), "at": now, "seen": now}
    request.session[CAME_FROM] = came


def note_seen(request: HttpRequest, response: HttpResponseBase) -> None:
    """Keep, once an hour, that a signed-in browser was here."""
    session: SessionBase = request.session
    came = session.get(CAME_FROM) if session.accessed else None
    if came is None or response.status_code >= 400:
        return
    seen = _time(came["seen"])
    if seen and timezone.now() - seen > SEEN_EVERY:
        session[CAME_FROM] = {**came, "seen": timezone.now().isoformat(), "address": client_address(request)}


def end_of_age(request: HttpRequest) -> None:
    """End a sign-in that is as old as one may get."""
    came = _of_signed_in(request, CAME_FROM)
    began = _time(came["at"]) if came else None
    if began and timezone.now() - began > timedelta(seconds=settings.SESSION_LONGEST):
        request.session.flush()


def must_add_second(request: HttpRequest) -> bool:
    """Return whether somebody signed in without the second step that the firm requires."""
    return bool(_of_signed_in(request, MUST_ADD_SECOND))


def _of_signed_in(request: HttpRequest, name: str) -> Any:
    """Return what a session holds; it isn't even looked for where a browser brings none."""
    return request.session.get(name) if settings.SESSION_COOKIE_NAME in request.COOKIES else None


def _time(text: str | None) -> datetime | None:
    return datetime.fromisoformat(text) if text else None
