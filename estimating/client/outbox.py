"""The outbox: every mail is put down in the transaction that needs it, and sent after it, beside the pages.

Nobody waits for a mail server. A thread beside the pages sends what waits as soon as it is put down, and
tries again with growing waits while the server doesn't take it; `manage.py send_mail` does the same for a
timer of the machine. Nothing is mailed twice: a mail is noted as handed over before the server gets it, and
where the machine or the connection stops before the server has answered, it isn't sent again by itself. The
owner reads that on Today, and decides.
"""

import json
import logging
import smtplib
import threading
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any

from django.conf import settings
from django.core.mail import EmailMessage, get_connection
from django.db import connections, transaction
from django.db.models import F, Min, Q, QuerySet
from django.utils import timezone
from django.utils.crypto import salted_hmac

from catalog.models import Firm
from estimating.client.signed_copy import signed_copy, signed_copy_name
from estimating.documents.pdf import PangoMissing
from estimating.estimates.snapshots import pdf_file_name
from estimating.events import states
from estimating.models import ClientLink, Document, DocumentEvent, NotAllowed, SignedCopy, WaitingMail
from reading.prepared import prepared

FIRST_WAIT, LONGEST_WAIT, MOST_TRIES = timedelta(minutes=1), timedelta(hours=6), 16  # about three days
LOOK_AGAIN = timedelta(minutes=10)  # for what another process put down
NOBODY_SENDS_LONGER = timedelta(minutes=10)  # than this, from handing over to the server's answer
SECONDS_TO_END = 20
REFUSED_FOR_GOOD = 500  # replies of a mail server from here up, RFC 5321 section 4.2.1

PDF, CALENDAR = "application/pdf", "text/calendar"
UNSURE = "it broke off while the mail was handed over, so it may have gone out. Ask before you send it again."
TOO_LATE = "It couldn't be sent in time, so it isn't sent any more."

log = logging.getLogger(__name__)
_called = threading.Event()
_starting = threading.Lock()
_sending = threading.RLock()
_sender: threading.Thread | None = None
_serves_pages = False
_ends = False

File = tuple[str, bytes, str]  # name, content, type


class DamagedPdf(RuntimeError):
    """A PDF that is no longer the one that was kept, so that it isn't sent."""


class _NotSent(RuntimeError):
    """A mail that didn't go out, with what is wrong in a plain sentence; `for_good` where no try helps."""

    def __init__(self, fault: str, *, for_good: bool = False) -> None:
        super().__init__(fault)
        self.for_good = for_good


def wait_after(tries: int) -> timedelta | None:
    """Return how long to wait after so many tries that failed; None where it is given up.

    Common practice of mail servers: longer each time, for some days.
    """
    if tries >= MOST_TRIES:
        return None
    wait: timedelta = FIRST_WAIT * 3 ** (tries - 1)
    return min(wait, LONGEST_WAIT)


def put_down(
    to: str,
    subject: str,
    text: str,
    at: datetime,
    *,
    document: Document | None = None,
    event: DocumentEvent | None = None,
    link: ClientLink | None = None,
    attached: str = "",
    calendar: bytes | None = None,
    note: Mapping[str, Any] | None = None,
    until: datetime | None = None,
) -> WaitingMail:
    """Put a mail down in the transaction that needs it; it goes out once that is through."""
    mail = WaitingMail.objects.create(
        to=to,
        subject=" ".join(subject.split())[:300],
        text=text,
        next_at=at,
        document=document,
        event=event,
        link=link,
        attached=attached,
        calendar=calendar,
        note=json.dumps(note) if note else "",
        until=until,
    )
    transaction.on_commit(wake)
    return mail


def serve_pages(**kwargs: Any) -> None:
    """Note that this process answers requests, so that a thread of it may send: a command ends too soon."""
    global _serves_pages
    _serves_pages = True


def wake() -> None:
    """Send what waits, beside this thread; in this thread where settings say so."""
    global _sender
    if not settings.MAIL_BESIDE_PAGES:
        send_waiting(timezone.now())
        return
    _called.set()
    if not _serves_pages:
        return
    with _starting:
        if _sender is None or not _sender.is_alive():
            _sender = threading.Thread(target=_send_for_good, name="outbox", daemon=True)
            _sender.start()


def end(**kwargs: Any) -> None:
    """Take no further mail, and wait for the server's answer to the one that is handed over."""
    global _ends
    _ends = True
    if _sending.acquire(timeout=SECONDS_TO_END):
        _sending.release()


def given_up() -> QuerySet[WaitingMail]:
    """Return the mails that no longer are tried, the newest first."""
    return failing().filter(next_at=None)


def failing() -> QuerySet[WaitingMail]:
    """Return the mails that failed and haven't gone out, the newest first."""
    failed = WaitingMail.objects.filter(sent_at=None).exclude(fault="").order_by("-pk")
    return failed.select_related("document__job", "event__document__job")


read_failing = prepared(failing)


def on_the_way(document: Document) -> QuerySet[WaitingMail]:
    """Return the mails about a document that haven't gone out, the newest first."""
    about = Q(document=document) | Q(event__document=document)
    return WaitingMail.objects.filter(about, sent_at=None).order_by("-pk")


def try_again(now: datetime) -> None:
    """Begin anew with the mails that failed."""
    failing().update(next_at=now, tries=0, handed_at=None)
    transaction.on_commit(wake)


def hurry(document: Document, now: datetime) -> None:
    """Try the mails about a document now; but not those of which nobody knows whether they went out."""
    on_the_way(document).filter(handed_at=None).update(next_at=now, tries=0)


def drop(pk: int) -> None:
    """Send a mail that failed no more."""
    failing().filter(pk=pk).delete()


def waits() -> bool:
    """Return whether a mail is still to be sent."""
    return WaitingMail.objects.filter(next_at__isnull=False).exists()


def send_waiting(now: datetime) -> None:
    """Send the mails whose time has come: first those that somebody waits for, such as a code."""
    _note_unsure(now)
    due = WaitingMail.objects.filter(next_at__lte=now).select_related("event__document__job", "link")
    due = due.order_by(F("until").asc(nulls_last=True), "pk")
    looked_at: list[int] = []
    while True:
        with _sending:
            mail = None if _ends else due.exclude(pk__in=looked_at).first()
            if mail is None:
                return
            looked_at.append(mail.pk)
            if mail.to:
                _try(mail, now)
            else:
                _put_down_anew(mail)


def _note_unsure(now: datetime) -> None:
    """Say of mails whose sender stopped between handing over and the answer that nobody knows."""
    lost = WaitingMail.objects.filter(handed_at__lt=now - NOBODY_SENDS_LONGER, sent_at=None, fault="")
    for mail in lost:
        lost.filter(pk=mail.pk).update(fault=_fault(mail, UNSURE), next_at=None)


def _put_down_anew(mail: WaitingMail) -> None:
    """Put down what an earlier release kept as an event alone."""
    from estimating.client.mail import put_down_about  # which puts its mails down here

    assert mail.event is not None
    with transaction.atomic():
        if WaitingMail.objects.filter(pk=mail.pk).delete()[0]:
            put_down_about(mail.event, mail.link, mail.site)


def _try(mail: WaitingMail, now: datetime) -> None:
    """Send a mail, unless another process has taken it meanwhile, and note how it went."""
    mine = WaitingMail.objects.filter(pk=mail.pk, tries=mail.tries + 1, sent_at=None, handed_at=None)
    wait = wait_after(mail.tries + 1)
    taken = WaitingMail.objects.filter(pk=mail.pk, tries=mail.tries, sent_at=None, handed_at=None)
    if not taken.update(tries=mail.tries + 1, next_at=now + wait if wait else None):
        return
    kept = WaitingMail.objects.filter(pk=mail.pk)
    try:
        note = _deliver(mail, mine, now)
    except _NotSent as error:
        log.warning("%s: %s", mail, error)
        kept.update(fault=str(error)[:300], **({"next_at": None} if error.for_good else {}))
        return
    if note is not None:
        _note_sent(mail, note, now)


def _deliver(mail: WaitingMail, mine: QuerySet[WaitingMail], now: datetime) -> dict[str, Any] | None:
    """Hand a mail to the server; return what the history says of it, None where another has taken it.

    Raises _NotSent. Until it is handed over, whatever happens, it is tried again.
    """
    if reason := _why_not(mail, now):
        raise _NotSent(reason, for_good=True)
    try:
        files, note = _files(mail, now)
    except (DamagedPdf, PangoMissing) as error:
        raise _NotSent(str(error)) from error
    server = get_connection()
    try:
        server.open()
    except (smtplib.SMTPException, OSError) as error:
        raise _NotSent(_fault(mail, _closed(error))) from error
    try:
        if not mine.update(handed_at=now, next_at=None):
            return None
        _message(mail, files, server).send()
    except smtplib.SMTPRecipientsRefused as error:
        code, said = next(iter(error.recipients.values()))
        raise _refused(mail, code, said, now) from error
    except smtplib.SMTPResponseException as error:
        raise _refused(mail, error.smtp_code, error.smtp_error, now) from error
    except (smtplib.SMTPException, OSError) as error:
        raise _NotSent(_fault(mail, UNSURE), for_good=True) from error
    finally:
        server.close()
    return note


def _refused(mail: WaitingMail, code: int, said: bytes | str, now: datetime) -> _NotSent:
    """Take back that a mail was handed over, and return what the server said against it."""
    wait = wait_after(mail.tries + 1)
    WaitingMail.objects.filter(pk=mail.pk).update(handed_at=None, next_at=now + wait if wait else None)
    words = said.decode(errors="replace") if isinstance(said, bytes) else said
    fault = _fault(mail, f"the mail server refused it ({code} {' '.join(words.split())[:120]}).")
    return _NotSent(fault, for_good=code >= REFUSED_FOR_GOOD)


def _note_sent(mail: WaitingMail, note: Mapping[str, Any], now: datetime) -> None:
    """Note that a mail went out, in the history, too; its text may open something, and isn't kept."""
    went = {"sent_at": now, "next_at": None, "fault": "", "text": "", "calendar": None}
    with transaction.atomic():
        WaitingMail.objects.filter(pk=mail.pk).update(**went)
        if note.get("by") == "mail" and mail.link:
            ClientLink.objects.filter(pk=mail.link.pk).update(mailed_at=now)
    if note and mail.document:
        try:
            with transaction.atomic():
                mail.document.record(states.SENT, now, note)
        except NotAllowed:
            log.warning("%s went out as its document was replaced or withdrawn.", mail)


def _why_not(mail: WaitingMail, now: datetime) -> str:
    """Return why a mail isn't sent any more; empty where it is."""
    if mail.until and mail.until < now:
        return TOO_LATE
    if mail.attached == WaitingMail.Attached.PAPER and mail.link and mail.link.withdrawn_at:
        return "The link in it was withdrawn before it went out, so it isn't sent."
    if mail.note and mail.document and not states.may_follow(mail.document.state(), states.SENT):
        return "The paper was replaced or withdrawn before the mail went out, so it isn't sent."
    return ""


def _files(mail: WaitingMail, now: datetime) -> tuple[list[File], dict[str, Any]]:
    """Return what is attached to a mail, and what the history says of it. Raises DamagedPdf, PangoMissing."""
    note: dict[str, Any] = json.loads(mail.note) if mail.note else {}
    files: list[File] = []
    if mail.calendar is not None:
        files.append(("days.ics", bytes(mail.calendar), CALENDAR))
    if mail.attached == WaitingMail.Attached.PAPER:
        assert mail.document is not None
        files.append(issued_pdf(mail.document))
    elif mail.attached == WaitingMail.Attached.SIGNED_COPY:
        assert mail.document is not None
        copy = signed_copy(mail.document.acceptance, now)
        files.append(_signed_pdf(mail.document, copy))
        note |= {
            "event_hash": mail.document.acceptance.event_hash,
            "signed_pdf_sha256": copy.pdf_sha256,
        }
    return files, note


def issued_pdf(document: Document) -> File:
    """Return the PDF as it was issued. Raises DamagedPdf."""
    if not document.pdf_is_whole():
        raise DamagedPdf(f"The PDF of {document} is no longer the one that was issued. Nothing was sent.")
    name = pdf_file_name(f"{document.kind} {document.printed_number}", document.job)
    return name, bytes(document.pdf), PDF


def _signed_pdf(document: Document, copy: SignedCopy) -> File:
    if not copy.is_whole():
        raise DamagedPdf(f"The signed copy of {document} is no longer the one that was kept.")
    return signed_copy_name(document), bytes(copy.pdf), PDF


def _message(mail: WaitingMail, files: Sequence[File], server: Any) -> EmailMessage:
    """Return a mail that is answered to the firm, with one name however often it is tried."""
    firm = Firm.current()
    domain = settings.DEFAULT_FROM_EMAIL.rpartition("@")[2].strip("> ")
    unique = salted_hmac("mail", f"waiting-{mail.pk}", algorithm="sha256").hexdigest()
    return EmailMessage(
        mail.subject,
        mail.text,
        settings.DEFAULT_FROM_EMAIL,
        [mail.to],
        reply_to=[firm.email] if firm.email else None,
        attachments=list(files),
        headers={"Message-ID": f"<{unique}@{domain}>"},
        connection=server,
    )


def _fault(mail: WaitingMail, why: str) -> str:
    return f"The mail to {mail.to} didn't go out: {why}"[:300]


def _closed(error: Exception) -> str:
    """Return why a mail server couldn't be asked, as a sentence goes on."""
    if isinstance(error, smtplib.SMTPAuthenticationError):
        return "the mail server didn't take the user and password of the settings."
    if isinstance(error, smtplib.SMTPException):
        return "the mail server didn't let us in."
    return "the mail server doesn't answer."


def _send_for_good() -> None:
    while not _ends:
        _called.clear()
        try:
            send_waiting(timezone.now())
            next_at = WaitingMail.objects.aggregate(at=Min("next_at"))["at"]
        except Exception:
            log.exception("Waiting mails couldn't be looked through.")
            next_at = None
        connections.close_all()
        soon = min(next_at - timezone.now(), LOOK_AGAIN) if next_at else LOOK_AGAIN
        _called.wait(max(soon.total_seconds(), 1))
