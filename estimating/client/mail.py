"""Mails to the client and to the firm, in plain text; what is attached is what was kept.

Each is put down in the outbox, one to an address; call in the transaction that needs it. The environment says
where they go: to an SMTP server, or by default into files in the data folder.
"""

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime

from django.db import transaction
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone

from catalog.models import Firm
from estimating.client.outbox import issued_pdf, on_the_way, put_down
from estimating.contract.cancellation_rule import refund_by
from estimating.events import states
from estimating.models import Acceptance, ClientLink, Document, DocumentEvent, WaitingMail

PAPER, SIGNED_COPY = WaitingMail.Attached.PAPER, WaitingMail.Attached.SIGNED_COPY


def mail_document(link: ClientLink, address: str, firm: Firm, at: datetime) -> None:
    """Mail a document with its link; the history says so once it went out. Raises DamagedPdf."""
    document = link.document
    issued_pdf(document)
    text = _text(
        "document",
        link=link,
        address=address,
        firm=firm,
        snapshot=document.read_snapshot(),
        last_day=document.last_day(),
        signed=document.state() == states.ACCEPTED,
    )
    put_down(
        link.email,
        f"{document} from {firm.name}: {document.job.name}",
        text,
        at,
        document=document,
        link=link,
        attached=PAPER,
        note={"to": link.email, "by": "mail", **_link_facts(link)},
    )


def note_handed_over(link: ClientLink, at: datetime) -> None:
    """Record that the firm takes the link to the client itself, such as by text message."""
    data = {"to": f"{link.name}, by a link", "by": "link", **_link_facts(link)}
    with transaction.atomic():
        link.document.record(states.SENT, at, data)


def mail_code(link: ClientLink, code: str, firm: Firm, at: datetime, until: datetime) -> None:
    """Mail the code that a document is signed with; it isn't sent once the code is too old."""
    text = _text("code", link=link, code=code, firm=firm)
    subject = f"{code} is your code for {link.document}"
    put_down(link.email, subject, text, at, document=link.document, link=link, until=until)


def mail_receipts(
    acceptance: Acceptance, firm: Firm, at: datetime, event: DocumentEvent | None = None
) -> None:
    """Mail the signed copy to both sides; an address that it reached, or is on its way to, gets no second.

    Its last page has the hash of the signing. The history says so once it went out.
    """
    document, link = acceptance.document, acceptance.link
    text = _text("receipt", acceptance=acceptance, firm=firm, cancel_by=document.cancel_by())
    client = link.email if link else document.job.client.email
    had = {*receipts_sent(document), *receipts_on_the_way(document)}
    for address in _both(client, firm):
        if address not in had:
            put_down(
                address,
                f"Signed: {document}, {document.job.name}",
                text,
                at,
                document=document,
                event=event,
                attached=SIGNED_COPY,
                note={"to": address, "by": "receipt"},
            )


def receipts_sent(document: Document) -> list[str]:
    """Return the addresses that a receipt went to."""
    sent = [event.read_data() for event in document.events.filter(kind=states.SENT)]
    return [data["to"] for data in sent if data["by"] == "receipt"]


def receipts_on_the_way(document: Document) -> list[str]:
    """Return the addresses that a receipt is still to reach."""
    return list(on_the_way(document).filter(attached=SIGNED_COPY).values_list("to", flat=True))


def put_down_about(event: DocumentEvent, link: ClientLink | None, site: str = "") -> None:
    """Put down what is mailed about an event by the client.

    `site` is the address of the site as the client reached it; empty where it wasn't kept.
    """
    document, data, firm = event.document, event.read_data(), Firm.current()
    if event.kind == states.ACCEPTED:
        mail_receipts(document.acceptance, firm, event.at, event)
        return
    about = f"{document}, {document.job.name}"
    to = [firm.email] if firm.email else []
    if event.kind == states.DECLINED:
        subject = f"Declined: {about}"
        text = _text("declined", document=document, who=data["name"], reason=data["reason"])
    elif event.kind == states.CANCELED:
        assert link is not None  # he came by it
        to, subject, on = _both(link.email, firm), f"Canceled: {about}", timezone.localdate(event.at)
        text = _text("canceled", document=document, link=link, firm=firm, on=on, refund_by=refund_by(on))
    elif event.kind == states.QUESTION:
        address = f"{site}{reverse('document-answer', args=[document.pk])}" if site else ""
        context = {"document": document, "who": data["name"], "text": data["text"], "firm": firm}
        subject, text = f"{data['name']} asks about {about}", _text("question", address=address, **context)
    else:
        return
    for each in to:
        put_down(each, subject, text, event.at, document=document, event=event)


def mail_answer(
    document: Document, text: str, firm: Firm, address_for: Callable[[ClientLink], str], at: datetime
) -> list[str]:
    """Mail the answer to everybody with a link to the document; return the addresses.

    `address_for` gives the address of the page on which a person finds it.
    """
    links = document.links.filter(withdrawn_at=None).exclude(email="").select_related("document__job")
    by_address = {link.email: link for link in links}
    for email, link in by_address.items():
        body = _text("answer", document=document, text=text, firm=firm, address=address_for(link))
        subject = f"Your question about {document}, {document.job.name}"
        put_down(email, subject, body, at, document=document)
    return list(by_address)


def addresses_of(document: Document) -> list[str]:
    """Return the addresses of everybody with a working link to the document; else the client's own."""
    links = document.links.filter(withdrawn_at=None).exclude(email="")
    addresses = list(dict.fromkeys(links.values_list("email", flat=True)))
    return addresses or [email for email in (document.job.client.email,) if email]


def mail_days(
    document: Document,
    context: Mapping[str, object],
    calendar: bytes,
    addresses: Sequence[str],
    firm: Firm,
    at: datetime,
) -> None:
    """Mail the days of the work on a signed document, with a calendar file."""
    text = _text("days", document=document, firm=firm, **context)
    for address in addresses:
        subject = f"The days of your {document.job.name}"
        put_down(address, subject, text, at, document=document, calendar=calendar)


def mail_letter(
    document: Document, subject: str, text: str, to: str, at: datetime, note: Mapping[str, str]
) -> None:
    """Mail a letter about a document, with the document itself; the history says so once it went out.

    Raises DamagedPdf.
    """
    issued_pdf(document)
    put_down(to, subject, text, at, document=document, attached=PAPER, note=note)


def _both(client: str, firm: Firm) -> list[str]:
    return [address for address in dict.fromkeys((client, firm.email)) if address]


def _link_facts(link: ClientLink) -> dict[str, str]:
    return {"name": link.name, "link": link.named_sha256()}


def _text(name: str, **context: object) -> str:
    return render_to_string(f"client/mail_{name}.txt", context)
