"""Mails to the client and to the firm, in plain text; what is attached is what was kept.

The environment says where they go: to an SMTP server, or by default into files in the data folder.
"""

import smtplib
from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime

from django.conf import settings
from django.core.mail import EmailMessage
from django.db import transaction
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.crypto import salted_hmac

from catalog.models import Firm
from estimating.client.signed_copy import signed_copy_name
from estimating.contract.cancellation_rule import refund_by
from estimating.estimates.snapshots import pdf_file_name
from estimating.events import states
from estimating.models import Acceptance, ClientLink, Document, SignedCopy

PDF = "application/pdf"


class MailFailed(RuntimeError):
    """A mail that didn't go out; the message says so in a plain sentence."""


class DamagedPdf(RuntimeError):
    """A PDF that is no longer the one that was kept, so that it isn't sent."""


def send_document(link: ClientLink, address: str, firm: Firm, at: datetime) -> None:
    """Mail a document with its link, and record that it was sent. Raises MailFailed and DamagedPdf."""
    document = link.document
    pdf = _issued_pdf(document)
    subject = f"{document} from {firm.name}: {document.job.name}"
    text = _text(
        "document",
        link=link,
        address=address,
        firm=firm,
        snapshot=document.read_snapshot(),
        last_day=document.last_day(),
        signed=document.state() == states.ACCEPTED,
    )
    _send(subject, text, link.email, firm, [pdf])
    with transaction.atomic():
        ClientLink.objects.filter(pk=link.pk).update(mailed_at=at)
        document.record(states.SENT, at, {"to": link.email, "by": "mail", **_link_facts(link)})


def note_handed_over(link: ClientLink, at: datetime) -> None:
    """Record that the firm takes the link to the client itself, such as by text message."""
    data = {"to": f"{link.name}, by a link", "by": "link", **_link_facts(link)}
    with transaction.atomic():
        link.document.record(states.SENT, at, data)


def send_code(link: ClientLink, code: str, firm: Firm) -> None:
    """Mail the code that a document is signed with. Raises MailFailed."""
    text = _text("code", link=link, code=code, firm=firm)
    _send(f"{code} is your code for {link.document}", text, link.email, firm)


def send_receipts(acceptance: Acceptance, copy: SignedCopy, firm: Firm, at: datetime) -> list[str]:
    """Mail the signed copy to both sides; return the addresses that it has reached.

    Its last page has the hash of the signing. Each address is recorded once its mail went out, and gets no
    second one. Raises MailFailed and DamagedPdf.
    """
    document, link = acceptance.document, acceptance.link
    if not copy.is_whole():
        raise DamagedPdf(f"The signed copy of {document} is no longer the one that was kept.")
    pdf = (signed_copy_name(document), bytes(copy.pdf), PDF)
    last = document.cancel_by()
    text = _text("receipt", acceptance=acceptance, firm=firm, cancel_by=last)
    client = link.email if link else document.job.client.email
    reached = receipts_sent(document)
    for address in dict.fromkeys((client, firm.email)):
        if address and address not in reached:
            _send(f"Signed: {document}, {document.job.name}", text, address, firm, [pdf])
            _note_receipt(document, address, acceptance, copy, at)
            reached.append(address)
    return reached


def receipts_sent(document: Document) -> list[str]:
    """Return the addresses that a receipt went to."""
    sent = [event.read_data() for event in document.events.filter(kind=states.SENT)]
    return [data["to"] for data in sent if data["by"] == "receipt"]


def send_cancellation(document: Document, link: ClientLink, firm: Firm, on: date) -> None:
    """Tell both sides that the client canceled. Raises MailFailed."""
    text = _text("canceled", document=document, link=link, firm=firm, on=on, refund_by=refund_by(on))
    for address in dict.fromkeys((link.email, firm.email)):
        if address:
            _send(f"Canceled: {document}, {document.job.name}", text, address, firm)


def send_question(document: Document, who: str, text: str, firm: Firm, site: str) -> None:
    """Tell the firm what the client asks, with the link to where it is answered. Raises MailFailed.

    `site` is the address of the site as the client reached it; empty where it wasn't kept.
    """
    if firm.email:
        address = f"{site}{reverse('document-answer', args=[document.pk])}" if site else ""
        body = _text("question", document=document, who=who, text=text, firm=firm, address=address)
        _send(f"{who} asks about {document}, {document.job.name}", body, firm.email, firm)


def send_declined(document: Document, who: str, reason: str, firm: Firm) -> None:
    """Tell the firm that the client declined, and why. Raises MailFailed."""
    if firm.email:
        body = _text("declined", document=document, who=who, reason=reason)
        _send(f"Declined: {document}, {document.job.name}", body, firm.email, firm)


def send_answer(
    document: Document, text: str, firm: Firm, address_for: Callable[[ClientLink], str]
) -> list[str]:
    """Mail the answer to everybody with a link to the document; return the addresses. Raises MailFailed.

    `address_for` gives the address of the page on which a person finds it.
    """
    links = document.links.filter(withdrawn_at=None).exclude(email="").select_related("document__job")
    by_address = {link.email: link for link in links}
    for email, link in by_address.items():
        body = _text("answer", document=document, text=text, firm=firm, address=address_for(link))
        _send(f"Your question about {document}, {document.job.name}", body, email, firm)
    return list(by_address)


def send_plain(to: str, subject: str, text: str, firm: Firm, name: str) -> None:
    """Mail a text. Sent twice, it is one mail to whoever reads it, by its name. Raises MailFailed."""
    _send(subject, text, to, firm, name=name)


def addresses_of(document: Document) -> list[str]:
    """Return the addresses of everybody with a working link to the document; else the client's own."""
    links = document.links.filter(withdrawn_at=None).exclude(email="")
    addresses = list(dict.fromkeys(links.values_list("email", flat=True)))
    return addresses or [email for email in (document.job.client.email,) if email]


def send_days(
    document: Document, context: Mapping[str, object], calendar: bytes, addresses: Sequence[str], firm: Firm
) -> None:
    """Mail the days of the work on a signed document, with a calendar file. Raises MailFailed."""
    text = _text("days", document=document, firm=firm, **context)
    attached = [("days.ics", calendar, "text/calendar")]
    for address in addresses:
        _send(f"The days of your {document.job.name}", text, address, firm, attached)


def send_letter(document: Document, subject: str, text: str, to: str, firm: Firm) -> None:
    """Mail a letter about a document, with the document itself. Raises MailFailed and DamagedPdf."""
    _send(subject, text, to, firm, [_issued_pdf(document)])


def _link_facts(link: ClientLink) -> dict[str, str]:
    return {"name": link.name, "link": link.named_sha256()}


def _issued_pdf(document: Document) -> tuple[str, bytes, str]:
    """Return the PDF as it was issued, with its file name and type. Raises DamagedPdf."""
    if not document.pdf_is_whole():
        raise DamagedPdf(f"The PDF of {document} is no longer the one that was issued. Nothing was sent.")
    name = pdf_file_name(f"{document.kind} {document.printed_number}", document.job)
    return name, bytes(document.pdf), PDF


def _note_receipt(
    document: Document, address: str, acceptance: Acceptance, copy: SignedCopy, at: datetime
) -> None:
    data = {
        "to": address,
        "by": "receipt",
        "event_hash": acceptance.event_hash,
        "signed_pdf_sha256": copy.pdf_sha256,
    }
    with transaction.atomic():
        document.record(states.SENT, at, data)


def _text(name: str, **context: object) -> str:
    return render_to_string(f"client/mail_{name}.txt", context)


def _send(
    subject: str,
    text: str,
    to: str,
    firm: Firm,
    files: Sequence[tuple[str, bytes, str]] = (),
    name: str = "",
) -> None:
    """Send a mail that is answered to the firm, with these files: name, content, type. Raises MailFailed.

    `name` is of this mail alone, and the same however often it is tried.
    """
    domain = settings.DEFAULT_FROM_EMAIL.rpartition("@")[2].strip("> ")
    unique = salted_hmac("mail", name, algorithm="sha256").hexdigest()
    message = EmailMessage(
        " ".join(subject.split()),
        text,
        settings.DEFAULT_FROM_EMAIL,
        [to],
        reply_to=[firm.email] if firm.email else None,
        attachments=list(files),
        headers={"Message-ID": f"<{unique}@{domain}>"} if name else None,
    )
    try:
        message.send()
    except (smtplib.SMTPException, OSError) as error:
        raise MailFailed(f"The mail to {to} didn't go out ({type(error).__name__}).") from error
