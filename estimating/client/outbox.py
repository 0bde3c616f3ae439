"""Mails that are put down with what they tell, sent after it, and tried again while they fail.

The client's answer never waits for a mail server. A thread beside the pages sends what waits; a mail may go
out twice where the machine stops between sending and noting it, and never not at all.
"""

import logging
import threading
from datetime import datetime, timedelta

from django.conf import settings
from django.db import close_old_connections, transaction
from django.db.models import Min, QuerySet
from django.utils import timezone

from catalog.models import Firm
from estimating.client.mail import (
    DamagedPdf,
    MailFailed,
    send_cancellation,
    send_declined,
    send_plain,
    send_question,
    send_receipts,
)
from estimating.client.signed_copy import signed_copy
from estimating.documents.pdf import PangoMissing
from estimating.events import states
from estimating.models import WaitingMail

FIRST_WAIT, LONGEST_WAIT, MOST_TRIES = timedelta(minutes=1), timedelta(hours=6), 16  # about three days
LOOK_AGAIN = timedelta(minutes=10)  # for what another process put down

log = logging.getLogger(__name__)
_called = threading.Event()
_starting = threading.Lock()
_sender: threading.Thread | None = None


def wait_after(tries: int) -> timedelta | None:
    """Return how long to wait after so many tries that failed; None where it is given up.

    Common practice of mail servers: longer each time, for some days.
    """
    if tries >= MOST_TRIES:
        return None
    wait: timedelta = FIRST_WAIT * 3 ** (tries - 1)
    return min(wait, LONGEST_WAIT)


def wake() -> None:
    """Send what waits, beside this thread; in this thread where settings say so."""
    global _sender
    if not settings.MAIL_BESIDE_PAGES:
        send_waiting(timezone.now())
        return
    _called.set()
    with _starting:
        if _sender is None or not _sender.is_alive():
            _sender = threading.Thread(target=_send_for_good, name="outbox", daemon=True)
            _sender.start()


def put_down(to: str, subject: str, text: str, at: datetime) -> None:
    """Put a mail down in the transaction that needs it; it goes out once that is through."""
    WaitingMail.objects.create(to=to, subject=" ".join(subject.split())[:300], text=text, next_at=at)
    transaction.on_commit(wake)


def given_up() -> QuerySet[WaitingMail]:
    """Return the mails that no longer are tried, the newest first."""
    return WaitingMail.objects.filter(next_at=None, sent_at=None).order_by("-pk")


def failing() -> QuerySet[WaitingMail]:
    """Return the mails that failed and haven't gone out, the newest first."""
    failed = WaitingMail.objects.filter(sent_at=None).exclude(fault="").order_by("-pk")
    return failed.select_related("event__document__job")


def try_again(now: datetime) -> None:
    """Begin anew with the mails that failed."""
    failing().update(next_at=now, tries=0)
    transaction.on_commit(wake)


def waits() -> bool:
    """Return whether a mail is still to be sent."""
    return WaitingMail.objects.filter(next_at__isnull=False).exists()


def send_waiting(now: datetime) -> None:
    """Send the mails whose time has come."""
    for mail in WaitingMail.objects.filter(next_at__lte=now).select_related("event__document__job", "link"):
        wait = wait_after(mail.tries + 1)
        next_at = now + wait if wait else None
        mine = WaitingMail.objects.filter(pk=mail.pk, tries=mail.tries, sent_at=None)
        if not mine.update(tries=mail.tries + 1, next_at=next_at):
            continue  # another process has it
        kept = WaitingMail.objects.filter(pk=mail.pk)
        try:
            _send(mail, now)
        except (MailFailed, DamagedPdf, PangoMissing) as error:
            log.warning("%s: %s", mail, error)
            kept.update(fault=str(error)[:300])
        else:
            kept.update(sent_at=now, next_at=None, fault="", text="")  # the text may open something


def _send(mail: WaitingMail, now: datetime) -> None:
    """Send the mail of an event. Raises MailFailed, DamagedPdf and PangoMissing."""
    event, firm = mail.event, Firm.current()
    if event is None:
        send_plain(mail.to, mail.subject, mail.text, firm, f"waiting-{mail.pk}")
        return
    document, data = event.document, event.read_data()
    if event.kind == states.ACCEPTED:
        send_receipts(document.acceptance, signed_copy(document.acceptance, now), firm, now)
    elif event.kind == states.DECLINED:
        send_declined(document, data["name"], data["reason"], firm)
    elif event.kind == states.CANCELED:
        assert mail.link is not None  # he came by it
        send_cancellation(document, mail.link, firm, timezone.localdate(event.at))
    else:
        send_question(document, data["name"], data["text"], firm, mail.site)


def _send_for_good() -> None:
    while True:
        _called.clear()
        close_old_connections()
        try:
            send_waiting(timezone.now())
            next_at = WaitingMail.objects.aggregate(at=Min("next_at"))["at"]
        except Exception:
            log.exception("Waiting mails couldn't be looked through.")
            next_at = None
        close_old_connections()
        soon = min(next_at - timezone.now(), LOOK_AGAIN) if next_at else LOOK_AGAIN
        _called.wait(max(soon.total_seconds(), 1))
