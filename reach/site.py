"""What is seen of this site, by its settings."""

import secrets
import shutil
import sqlite3
from concurrent.futures import ThreadPoolExecutor
from datetime import datetime

from django.conf import settings
from django.db import connection
from django.urls import reverse
from django.utils import timezone
from django.utils.crypto import salted_hmac

from backup.folder import caution
from estimating.database.sqlite3.base import has_wal_reset_fault
from estimating.database.start import WAL_RESET
from estimating.events import states
from estimating.models import DocumentEvent
from reach.findings import Answer, Seen, comes_from_outside, leads_outside
from reach.probes import MailServer, ask_site, clock_off, mail_fault

MOST_LOOKED_AT = 200


def outside_names() -> list[str]:
    """Return the names of this site that can lead to it from outside."""
    return [name for name in settings.ALLOWED_HOSTS if leads_outside(name)]


def proof_of(nonce: str) -> str:
    """Return what only this site answers to a nonce."""
    return salted_hmac("reach", nonce, algorithm="sha256").hexdigest()


def ask_names() -> list[tuple[str, Answer]]:
    """Ask for this site by each name that leads outside, all at once."""
    names, nonce = outside_names(), secrets.token_urlsafe(16)
    path, proof = reverse("reach-proof", args=[nonce]), proof_of(nonce)
    with ThreadPoolExecutor(max(len(names), 1)) as pool:
        return list(zip(names, pool.map(lambda name: ask_site(name, path, proof), names), strict=True))


def look(now: datetime) -> Seen:
    """Look at everything; takes some seconds where something doesn't answer."""
    disk = shutil.disk_usage(settings.DATA_DIR)
    return Seen(
        names=ask_names() if settings.HTTPS else [(name, Answer.CLOSED) for name in outside_names()],
        https=settings.HTTPS,
        mail_fault=mail_fault(_mail_server()) if settings.EMAIL_HOST else None,
        disk_free=disk.free,
        disk_size=disk.total,
        clock_off=clock_off(),
        backup_fault=caution(now),
        database_fault=_database_fault(),
    )


def last_opened_from_outside() -> datetime | None:
    """Return when a client last opened a paper from outside this network; None where that isn't known."""
    opened = DocumentEvent.objects.filter(kind=states.OPENED).order_by("-place")[:MOST_LOOKED_AT]
    from_outside = (event.at for event in opened if comes_from_outside(event.read_data().get("address", "")))
    found: datetime | None = next(from_outside, None)
    return timezone.localtime(found) if found else None


def _mail_server() -> MailServer:
    return MailServer(
        settings.EMAIL_HOST,
        settings.EMAIL_PORT,
        settings.EMAIL_HOST_USER,
        settings.EMAIL_HOST_PASSWORD,
        settings.EMAIL_USE_SSL,
        settings.EMAIL_USE_TLS,
    )


def _database_fault() -> str:
    is_faulty = connection.vendor == "sqlite" and has_wal_reset_fault(sqlite3.sqlite_version_info)
    return WAL_RESET.format(sqlite3.sqlite_version) if is_faulty else ""
