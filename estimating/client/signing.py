"""What a client does with a document: signs it, declines it, asks about it. Each is one short transaction.

Without the client's signature stands one thing: a change in which the firm gives up some of the price.

A signature fails where a newer document came first, because its event takes the lock of the chain; and a
document has one `Acceptance`, so that two tabs make one signature. The sum that was on the page comes back
with the form: another sum isn't signed. The database protects `Acceptance`, `SignedCopy` and `Scan` like
documents. The contract sum is `signed_job(job).contract`.

Nothing happens on GET: "opened" is recorded after a touch, a key or a scroll, so that mail scanners don't
count.
"""

from collections.abc import Callable, Collection
from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from estimating.changes.draft import signed_job
from estimating.client.mail import put_down_about
from estimating.client.options import OpenChoice, Option, Sums, choices_of, options_of, sums_with
from estimating.client.signature_record import (
    MOST_OF_AGENT,
    Access,
    DocumentFacts,
    device_signature_record,
    given_record,
    page_signature_record,
    paper_signature_record,
)
from estimating.client.uploads import CleanScan
from estimating.contract.cancellation_rule import cancel_by
from estimating.documents.billing_hooks import billing
from estimating.events import states
from estimating.events.chain import canonical, digest
from estimating.models import Acceptance, ClientLink, Document, NotAllowed, Scan
from estimating.plain_text import day_in_words, money

MOST_QUESTIONS = 30


class Refused(ValueError):
    """What the document's state doesn't allow; the message says why in a plain sentence."""


@dataclass(frozen=True)
class Visit:
    """A request by a client's link: the link, when it came, and from where.

    `address` is the network address, `agent` the browser, `site` the address of the site as the client
    reached it. `by_page` says that the link of the job's page opened the paper, `on_device_of_firm` that the
    browser is signed in as the firm, `code_typed` that the mailed code was typed right.
    """

    link: ClientLink
    at: datetime
    today: date
    address: str
    agent: str
    site: str = ""
    by_page: bool = False
    on_device_of_firm: bool = False
    code_typed: bool = False

    @property
    def origin(self) -> dict[str, str]:
        """Where it came from, as facts of an event."""
        return {"address": self.address, "agent": self.agent[:MOST_OF_AGENT]}


@dataclass(frozen=True)
class HandedOver:
    """The contractor's device in the hand of who signs: the document on it, when, and from where.

    `entered_by` is who is signed in on it.
    """

    document: Document
    at: datetime
    today: date
    address: str
    agent: str
    entered_by: str


def options_for(document: Document, today: date) -> tuple[Option, ...]:
    """Return the options of a document as of a day."""
    return options_of(document.read_snapshot(), document.read_basis(), today)


def sums_for(document: Document, today: date, positions: Collection[int]) -> Sums:
    """Return what the document comes to with the options at these positions. Raises OptionLocked."""
    options = options_for(document, today)
    if options or positions:
        basis = document.read_basis()
        sums = sums_with(basis, options, positions)
        payments = billing().payments_with(basis, sums.subtotal) if sums.chosen else []
        return replace(sums, payments=tuple(payments))
    shown = document.read_snapshot().get("tax")
    total, tax = document.total.amount, Decimal(shown["amount"] if shown else "0.00")
    return Sums((), total - tax, tax, total)


def choices_left(document: Document, today: date, is_signed: bool) -> tuple[OpenChoice, ...]:
    """Return the allowances of a document that are still to choose.

    Once the document is signed, those that no signed change has settled and for which the client has chosen
    nothing; that costs a query, and one more where the events aren't read yet.
    """
    choices = choices_of(document.read_snapshot(), today)
    signed = signed_job(document.job) if is_signed and choices else None
    if signed is None:
        return choices
    chosen = [event.read_data()["place"] for event in document.events.all() if event.kind == states.CHOSEN]
    left = (allowance.line for allowance in signed.left_to_settle())
    names = {line.title for line in left if [*line.place] not in chosen}
    return tuple(choice for choice in choices if choice.name in names)


def is_to_be_signed(document: Document) -> bool:
    """Return whether the client is asked to sign a document, and hasn't."""
    return document.asks_for_answer and document.state() != states.ACCEPTED


def why_closed(document: Document, today: date) -> str:
    """Return why the document can't be signed any more, in a plain sentence; empty while it can."""
    state = document.state_as_of(today)
    if state == states.SUPERSEDED:
        return "This was changed: a newer paper replaces it. Please read the newer one."
    if state == states.WITHDRAWN:
        return "This paper was withdrawn. It can't be signed any more."
    if state == states.CANCELED:
        return "This was canceled and binds neither side. To go ahead after all, ask for a new one."
    if state == states.DECLINED:
        return "This paper was declined. To go ahead after all, ask for a new one."
    if state == states.EXPIRED:
        last = document.last_day()
        return (
            f"This paper was good to {day_in_words(last) if last else 'its last day'}. Prices may have moved "
            "since: once they were looked up again, you get a new paper, or this page says that this one "
            "stands longer. Ask for it below."
        )
    return ""


def contract_stays(document: Document) -> bool:
    """Return whether a contract stays signed although this change of it was withdrawn or declined.

    False for any other document. Costs a query.
    """
    is_closed = document.state() in (states.WITHDRAWN, states.DECLINED)
    is_change = document.kind == Document.Kind.CHANGE_ORDER
    return is_closed and is_change and Acceptance.objects.binding(document.job).exists()


def accept(visit: Visit, name: str, positions: Collection[int], seen_total: str) -> Acceptance:
    """Sign a document on the client's page; one that is signed already keeps its first signature.

    `positions` are those of the options chosen, `seen_total` the sum that the page showed. Raises Refused
    where the document can't be signed any more or comes to another sum than was seen, and OptionLocked.
    """
    document = visit.link.document
    sums = sums_for(document, visit.today, positions)
    if seen_total != money(sums.total):
        raise Refused("The sum above has moved with the options you ticked. Read it, then sign.")
    record = page_signature_record(
        _document_facts(document, visit.today),
        name,
        visit.at,
        visit.address,
        visit.agent,
        sums.as_record,
        _access(visit),
    )
    return _keep(
        document,
        record,
        lambda: why_closed(document, visit.today),
        Acceptance(
            link=visit.link,
            way=Acceptance.Way.PAGE,
            name=name,
            at=visit.at,
            signed_on=visit.today,
            total=sums.total,
        ),
    )


def enter_paper_signature(
    document: Document,
    name: str,
    signed_on: date,
    positions: Collection[int],
    scan: CleanScan,
    entered_by: str,
    at: datetime,
) -> Acceptance:
    """Keep a signature on paper, with its photo or scan. Raises Refused and OptionLocked."""
    sums = sums_for(document, signed_on, positions)
    facts = {"type": scan.content_type, "sha256": digest(scan.content)}
    record = paper_signature_record(
        _document_facts(document, signed_on), name, signed_on, sums.as_record, at, entered_by, facts
    )
    acceptance = Acceptance(way=Acceptance.Way.PAPER, name=name, at=at, signed_on=signed_on, total=sums.total)
    row = Scan(content=scan.content, content_type=facts["type"], sha256=facts["sha256"])
    signature = _keep(document, record, lambda: why_closed(document, signed_on), acceptance, row)
    if signature is not acceptance:
        raise Refused(f"{document} was signed already, by {signature.name}.")
    return signature


def accept_here(
    visit: HandedOver,
    name: str,
    positions: Collection[int],
    seen_total: str,
    drawn: str,
    waiver: CleanScan | None,
) -> Acceptance:
    """Sign a document on the contractor's own device; one that is signed already keeps its first signature.

    `drawn` is what was drawn on the glass, `waiver` a photo or scan of a written waiver of the right to
    cancel, which is kept: what it does is for the law to say, and the days to cancel stay as they are. Raises
    Refused and OptionLocked.
    """
    document = visit.document
    sums = sums_for(document, visit.today, positions)
    if seen_total != money(sums.total):
        raise Refused("The sum above has moved with the options you ticked. Read it, then sign.")
    facts = {"type": waiver.content_type, "sha256": digest(waiver.content)} if waiver else None
    record = device_signature_record(
        _document_facts(document, visit.today),
        name,
        visit.at,
        visit.address,
        visit.agent,
        sums.as_record,
        visit.entered_by,
        drawn,
        facts,
    )
    acceptance = Acceptance(
        way=Acceptance.Way.HERE, name=name, at=visit.at, signed_on=visit.today, total=sums.total
    )
    row = None
    if waiver and facts:
        row = Scan(content=waiver.content, content_type=facts["type"], sha256=facts["sha256"])
    return _keep(document, record, lambda: why_closed(document, visit.today), acceptance, row)


def give(document: Document, name: str, on: date, entered_by: str, at: datetime) -> Acceptance:
    """Let a change stand in which the firm gives up part of the price, without the client's signature.

    `name` is who gives it. One that stands already keeps its record. Raises Refused for a document that says
    of itself that it is to be signed, and for one that adds anything.
    """
    grounds = document.read_snapshot().get("stands", "")
    if not grounds or document.total.amount >= 0:
        raise Refused(f"{document} stands only once the client has signed it.")
    sums = sums_for(document, on, ())
    record = given_record(_document_facts(document, on), name, on, sums.as_record, at, entered_by, grounds)
    acceptance = Acceptance(way=Acceptance.Way.GIVEN, name=name, at=at, signed_on=on, total=sums.total)
    return _keep(document, record, lambda: why_closed(document, on), acceptance)


def decline(visit: Visit, reason: str) -> None:
    """Record that the client declines, and why.

    Raises Refused where the document was answered already or can't be answered any more.
    """
    _record(visit, states.DECLINED, {"reason": reason})


def ask(visit: Visit, text: str) -> None:
    """Record a question of the client. Raises Refused once there are more than a person asks."""
    questions = visit.link.document.events.filter(kind=states.QUESTION).count()
    if questions >= MOST_QUESTIONS:
        raise Refused("That is a lot of questions for a page. Please call instead.")
    _record(visit, states.QUESTION, {"text": text})


def answer(document: Document, text: str, at: datetime) -> None:
    """Record the firm's answer to what the client asked."""
    with transaction.atomic():
        document.record(states.ANSWERED, at, {"text": text})


def note_opened(visit: Visit, sign: str) -> None:
    """Record once for each link that a person has opened the page.

    `sign` says what shows it: something that a person does, and a program that fetches links doesn't. What
    the firm itself looks at doesn't count.
    """
    if visit.on_device_of_firm:
        return
    link = visit.link
    with transaction.atomic():
        opened = ClientLink.objects.filter(pk=link.pk, opened_at=None).update(opened_at=visit.at)
        if opened:
            data = {"name": link.name, "sign": sign, "link": link.named_sha256(), **visit.origin}
            link.document.record(states.OPENED, visit.at, data)


def _document_facts(document: Document, signed_on: date) -> DocumentFacts:
    snapshot = document.read_snapshot()
    return DocumentFacts(
        kind=document.kind,
        number=document.number,
        job=snapshot["job"]["name"],
        snapshot_sha256=document.snapshot_sha256,
        pdf_sha256=document.pdf_sha256,
        cancel_by=cancel_by(signed_on) if snapshot.get("cancellation") else None,
        extended_to=document.extended_to(),
        late_choices=tuple(choice.name for choice in choices_of(snapshot, signed_on) if choice.locked),
    )


def _access(visit: Visit) -> Access:
    link = visit.link
    page = link.job_link if visit.by_page else None
    return Access(
        link_sha256=page.secret_sha256 if page else link.secret_sha256 or "",
        made_for=link.name,
        mailed_to=link.email,
        made_at=page.made_at if page else link.made_at,
        mailed_at=link.mailed_at,
        first_used_at=page.first_used_at if page else link.first_used_at,
        put_on_page_at=link.made_at if page else None,
        opened_at=link.opened_at,
        code_mailed_at=link.code_sent_at,
        code_typed_at=visit.at if visit.code_typed else None,
        on_device_of_firm=visit.on_device_of_firm,
    )


def _record(visit: Visit, kind: str, data: dict[str, str]) -> None:
    """Record an event by the client. Raises Refused where it can't follow what happened."""
    document = visit.link.document
    with transaction.atomic():
        try:
            event = document.record(kind, visit.at, {**data, "name": visit.link.name, **visit.origin})
            put_down_about(event, visit.link, visit.site)
        except NotAllowed as error:
            raise Refused(why_closed(document, visit.today) or "This paper is signed already.") from error


def _keep(
    document: Document,
    record: dict[str, Any],
    closed: Callable[[], str],
    acceptance: Acceptance,
    scan: Scan | None = None,
) -> Acceptance:
    """Keep the one signature of a document; return an earlier one where there is one already.

    `closed` says why the document can't be signed, once others can't sign it at the same moment: the lock
    under which events are numbered lets in one at a time, and the unique row lets in one for ever. Raises
    Refused.
    """
    text = canonical(record)
    data = {
        "name": acceptance.name,
        "way": acceptance.way,
        "total": money(acceptance.total.amount),
        "snapshot_sha256": document.snapshot_sha256,
        "pdf_sha256": document.pdf_sha256,
        "record_sha256": digest(text),
        "cancel_by": record["document"].get("cancel_by"),
    }
    try:
        with transaction.atomic():
            if reason := closed():
                raise NotAllowed(reason)
            event = document.record(states.ACCEPTED, acceptance.at, data)
            acceptance.document, acceptance.event_hash = document, event.hash
            acceptance.record, acceptance.record_sha256 = text, data["record_sha256"]
            acceptance.save(force_insert=True)
            if scan:
                scan.acceptance = acceptance
                scan.save(force_insert=True)
            billing().document_signed(document)
            if acceptance.link or acceptance.way == Acceptance.Way.HERE:
                put_down_about(event, acceptance.link)
    except NotAllowed as error:
        if earlier := Acceptance.objects.filter(document=document).first():
            return earlier
        raise Refused(closed() or str(error)) from error
    return acceptance
