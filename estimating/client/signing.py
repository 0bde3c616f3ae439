"""What a client does with a paper: accepts it, declines it, asks about it. Each is one short transaction."""

from collections.abc import Callable, Collection
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from estimating.client.options import Option, Sums, choices_of, options_of, sums_with
from estimating.client.signature_record import Access, Shown, paper_record, record_in_words, signing_record
from estimating.client.uploads import CleanScan
from estimating.contract.cancellation_rule import cancel_by
from estimating.documents.billing_hooks import was_signed
from estimating.documents.pdf import make_pdf
from estimating.events import states
from estimating.events.chain import canonical, digest
from estimating.models import Acceptance, ClientLink, Document, NotAllowed, Scan, SignedCopy
from estimating.plain_text import day_in_words

MOST_QUESTIONS = 30


class Refused(ValueError):
    """It can't be done as the paper stands; the message says why in a plain sentence."""


@dataclass(frozen=True)
class Visit:
    """Who acts on the client's page, and from where."""

    link: ClientLink
    at: datetime
    today: date
    address: str
    agent: str
    on_device_of_firm: bool = False
    code_typed: bool = False


def options_for(document: Document, today: date) -> tuple[Option, ...]:
    return options_of(document.read_snapshot(), document.read_basis(), today)


def sums_for(document: Document, today: date, places: Collection[int]) -> Sums:
    """What the document comes to with the options at these places. Raises OptionLocked."""
    options = options_for(document, today)
    if options or places:
        return sums_with(document.read_basis(), options, places)
    shown = document.read_snapshot().get("tax")
    total, tax = document.total.amount, Decimal(shown["amount"] if shown else "0.00")
    return Sums((), total - tax, tax, total)


def why_closed(document: Document, today: date) -> str:
    """Why the document can't be signed any more, in a plain sentence; empty while it can."""
    standing = document.standing(today)
    if standing == states.SUPERSEDED:
        return "This was changed: a newer paper replaces it. Please read the newer one; its link is its own."
    if standing == states.WITHDRAWN:
        return "This paper was withdrawn. It can't be signed any more."
    if standing == states.CANCELED:
        return "This was canceled and binds neither side. To go ahead after all, ask for a new one."
    if standing == states.DECLINED:
        return "This paper was declined. To go ahead after all, ask for a new one."
    if standing == states.EXPIRED:
        last = document.last_day()
        return (
            f"This paper was good to {day_in_words(last) if last else 'its last day'}. Prices may have moved "
            "since: once they were looked up again, you get a new paper, or this page says that this one "
            "stands longer. Ask for it below."
        )
    return ""


def contract_stays(document: Document) -> bool:
    """Of a change that was withdrawn or declined: whether the contract stands all the same. Costs a query."""
    settled = document.state() in (states.WITHDRAWN, states.DECLINED)
    is_change = document.kind == Document.Kind.CHANGE_ORDER
    return settled and is_change and Acceptance.objects.binding(document.job).exists()


def accept(visit: Visit, name: str, places: Collection[int], seen_total: str) -> Acceptance:
    """Sign on the client's page. Signed already, it stays signed as it was the first time.

    Raises Refused where the paper can't be signed as it stands or comes to another sum than was seen,
    and OptionLocked.
    """
    document = visit.link.document
    sums = sums_for(document, visit.today, places)
    if seen_total != f"{sums.total:.2f}":
        raise Refused("The sum above has moved with the options you ticked. Read it, then sign.")
    record = signing_record(
        _shown(document, visit.today),
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


def enter_paper(
    document: Document,
    name: str,
    signed_on: date,
    places: Collection[int],
    scan: CleanScan,
    entered_by: str,
    at: datetime,
) -> Acceptance:
    """Keep a signature on paper, with its photo or scan. Raises Refused and OptionLocked."""
    sums = sums_for(document, signed_on, places)
    facts = {"type": scan.content_type, "sha256": digest(scan.content)}
    record = paper_record(_shown(document, signed_on), name, signed_on, sums.as_record, at, entered_by, facts)
    acceptance = Acceptance(way=Acceptance.Way.PAPER, name=name, at=at, signed_on=signed_on, total=sums.total)
    row = Scan(content=scan.content, content_type=facts["type"], sha256=facts["sha256"])
    kept = _keep(document, record, lambda: why_closed(document, signed_on), acceptance, row)
    if kept is not acceptance:
        raise Refused(f"{document} was signed already, by {kept.name}.")
    return kept


def decline(visit: Visit, reason: str) -> None:
    """Raises Refused where it was answered already or can't be any more."""
    _record(visit, states.DECLINED, {"reason": reason})


def ask(visit: Visit, text: str) -> None:
    """Raises Refused once there are more questions than a person asks."""
    asked = visit.link.document.events.filter(kind=states.QUESTION).count()
    if asked >= MOST_QUESTIONS:
        raise Refused("That is a lot of questions for a page. Please call instead.")
    _record(visit, states.QUESTION, {"text": text})


def answer(document: Document, text: str, at: datetime) -> None:
    """The firm's answer to what the client asked."""
    with transaction.atomic():
        document.record(states.ANSWERED, at, {"text": text})


def note_opened(visit: Visit, sign: str) -> None:
    """Once for each link, after something that a person does and a program that fetches links doesn't.
    What the firm itself looks at counts for nothing. `sign` says what was done."""
    if visit.on_device_of_firm:
        return
    link = visit.link
    with transaction.atomic():
        opened = ClientLink.objects.filter(pk=link.pk, opened_at=None).update(opened_at=visit.at)
        if opened:
            data = {"name": link.name, "sign": sign, "link": link.secret_sha256, **_from(visit)}
            link.document.record(states.OPENED, visit.at, data)


def signed_copy(acceptance: Acceptance, at: datetime) -> SignedCopy:
    """The signed PDF, drawn on first use and kept; the event of it vouches for its bytes. Call outside a
    transaction: drawing is slow. Raises PangoMissing and ForeignAddress of estimating.paper."""
    if copy := SignedCopy.objects.filter(acceptance=acceptance).first():
        return copy
    document = acceptance.document
    pdf = make_pdf(signed_paper(acceptance))
    with transaction.atomic():
        Document.objects.select_for_update(no_key=True).get(pk=document.pk)
        copy, drawn = SignedCopy.objects.get_or_create(
            acceptance=acceptance, defaults={"pdf": pdf, "pdf_sha256": digest(pdf)}
        )
        if drawn:
            document.record(states.COPIED, at, {"signed_pdf_sha256": copy.pdf_sha256})
    return copy


def signed_paper(acceptance: Acceptance) -> dict[str, Any]:
    """What the signed PDF shows: all that the document shows, and the record."""
    document = acceptance.document
    event, record = document.events.get(hash=acceptance.event_hash), acceptance.read_record()
    return {
        **document.read_snapshot(),
        "article": f"documents/_{document.kind}.html",
        "kind": "signed",
        "signing": {
            "way": acceptance.way,
            "name": acceptance.name,
            "signed_on": acceptance.signed_on.isoformat(),
            "total": f"{acceptance.total.amount:.2f}",
            "options": [each["place"] for each in record["options"]],
            "cancel_by": record["document"].get("cancel_by", ""),
            "rows": record_in_words(record),
            "record_sha256": acceptance.record_sha256,
            "event": f"{event.place}",
            "event_hash": event.hash,
        },
    }


def _shown(document: Document, signed_on: date) -> Shown:
    paper = document.read_snapshot()
    return Shown(
        document.kind,
        document.number,
        paper["job"]["name"],
        document.snapshot_sha256,
        document.pdf_sha256,
        cancel_by(signed_on) if paper.get("cancellation") else None,
        document.extended_to(),
        tuple(each.name for each in choices_of(paper, signed_on) if each.locked),
    )


def _from(visit: Visit) -> dict[str, str]:
    return {"address": visit.address, "agent": visit.agent[:400]}


def _access(visit: Visit) -> Access:
    link = visit.link
    return Access(
        link_sha256=link.secret_sha256,
        made_for=link.name,
        mailed_to=link.email,
        made_at=link.made_at,
        mailed_at=link.mailed_at,
        first_used_at=link.first_used_at,
        opened_at=link.opened_at,
        code_mailed_at=link.code_sent_at,
        code_typed_at=visit.at if visit.code_typed else None,
        on_device_of_firm=visit.on_device_of_firm,
    )


def _record(visit: Visit, kind: str, data: dict[str, str]) -> None:
    document = visit.link.document
    with transaction.atomic():
        try:
            document.record(kind, visit.at, {**data, "name": visit.link.name, **_from(visit)})
        except NotAllowed as error:
            raise Refused(why_closed(document, visit.today) or "This paper is signed already.") from error


def _keep(
    document: Document,
    record: dict[str, Any],
    closed: Callable[[], str],
    acceptance: Acceptance,
    scan: Scan | None = None,
) -> Acceptance:
    """One acceptance of a document: the event's lock lets one in at a time, the unique row one for ever."""
    text = canonical(record)
    data = {
        "name": acceptance.name,
        "way": acceptance.way,
        "total": f"{acceptance.total.amount:.2f}",
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
            was_signed(document)
    except NotAllowed as error:
        if earlier := Acceptance.objects.filter(document=document).first():
            return earlier
        raise Refused(closed() or str(error)) from error
    return acceptance
