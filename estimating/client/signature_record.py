"""The record of a signature: what it holds as plain values, and the same in words.

What the Electronic Signatures Act (ESIGN, 15 USC 7001 and 7006) and the Uniform Electronic Transactions Act
(UETA) ask, and how it is met. This is how the program works, not legal advice; state law on home improvement
may ask for more.

- Intent (15 USC 7006(5); UETA 2(8), 9). The page says above the button what signing means, with the sum; the
  button says it again; a typed name and a tick are needed. The record keeps those very words. A signature
  holds in so far as it can be shown whose act it was, so the record also says how access was limited to the
  signer: for whom the link was made, to which address it was mailed and when, when it was first fetched and
  first touched, the code mailed for larger sums (`Firm.code_required_above`), or that the device was the
  firm's own.
- Consent (15 USC 7001(b)(2), (c); UETA 5). Nobody must sign electronically. The consent is a tick of its own,
  names its scope (this document), the right to paper free of charge, how to withdraw, and what is needed to
  read and keep it; it is given on a page that shows the document and a PDF. Words and version
  (CONSENT_VERSION) are in the record. Change the words only with the version.
- Association (15 USC 7006(5); UETA 2(8)). The record names the document with the SHA-256 of its snapshot and
  its PDF; the event of the signing covers the record; the signed copy holds the document's pages and the
  record.
- Retention (15 USC 7001(d), (e); UETA 8, 12). Both sides get the signed copy by mail at once, with the
  chain's hash, and can fetch and print it at any time: the client's link stays good for what was signed
  unless it is withdrawn. The database refuses to change it; `verify_documents` checks it.
"""

import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

from catalog.money.amounts import format_price
from estimating.contract.contract_sum import CHANGE_ORDER
from estimating.plain_text import day_in_words

# How a document was signed, as in `Acceptance.Way`.
ON_PAGE, ON_PAPER, GIVEN, ON_DEVICE = "page", "paper", "given", "here"

DRAWN_WIDTH, DRAWN_HEIGHT = 600, 200  # of the field that a signature is drawn in

MOST_OF_AGENT = 400  # letters kept of what a browser says that it is
CONSENT_VERSION = "1"
CONSENT = "I agree to sign this paper electronically"
CONSENT_TERMS = (
    "I sign by typing my name and pressing the button, and get my copy as a PDF on this page and by e-mail. "
    "This covers this paper only. I can have it on paper instead, free of charge, and sign that: I ask for "
    "it here or at the address on top of the paper. Until I sign I can take this back by leaving the page. "
    "I can open and keep PDF files on my device."
)
INTENT = "I agree to the work described on this paper for {total}, and I mean my typed name as my signature."
BUTTON = "Sign and accept for {total}"
INTENT_OF_CHANGE = (
    "I agree to this change, which moves the contract sum by {total}, and I mean my typed name as my "
    "signature."
)
BUTTON_OF_CHANGE = "Sign this change of {total}"
COMPLETION = "completion"  # as in `Document.Kind`
INTENT_OF_COMPLETION = (
    "I agree that the work is done but for what this certificate lists as left, and I mean my typed name as "
    "my signature."
)
BUTTON_OF_COMPLETION = "Sign that the work is done"


@dataclass(frozen=True)
class Access:
    """How access to the page was limited to the signer: moments in UTC, None for what didn't happen.

    `put_on_page_at` is when the document was put on the page of its job, whose link then led to it.
    """

    link_sha256: str
    made_for: str
    mailed_to: str
    made_at: datetime
    mailed_at: datetime | None = None
    first_used_at: datetime | None = None
    opened_at: datetime | None = None
    put_on_page_at: datetime | None = None
    code_mailed_at: datetime | None = None
    code_typed_at: datetime | None = None
    on_device_of_firm: bool = False


@dataclass(frozen=True)
class DocumentFacts:
    """The document that was signed: what it is, and the digests of what it shows.

    `cancel_by` is the day at whose end the right to cancel ends, None without one; `extended_to` the last day
    to sign where the firm moved it; `late_choices` are allowances whose day to choose was past.
    """

    kind: str
    number: int
    job: str
    snapshot_sha256: str
    pdf_sha256: str
    cancel_by: date | None = None
    extended_to: date | None = None
    late_choices: tuple[str, ...] = ()


def meaning_of_signing(kind: str, total: Decimal) -> tuple[str, str]:
    """Return what the page says that signing a document of a kind means, and the words on its button."""
    if kind == COMPLETION:
        return INTENT_OF_COMPLETION, BUTTON_OF_COMPLETION
    is_change = kind == CHANGE_ORDER
    intent, button = (INTENT_OF_CHANGE, BUTTON_OF_CHANGE) if is_change else (INTENT, BUTTON)
    price = format_price(total)
    return intent.format(total=price), button.format(total=price)


def page_signature_record(
    document: DocumentFacts,
    name: str,
    at: datetime,
    address: str,
    agent: str,
    sums: Mapping[str, Any],
    access: Access,
) -> dict[str, Any]:
    """Return the record of a signature on the client's page.

    `address` is the network address that it came from, `agent` the browser, `sums` those of
    `Sums.as_record`.
    """
    intent, button = meaning_of_signing(document.kind, Decimal(sums["total"]))
    return {
        "way": ON_PAGE,
        "document": _document(document),
        "name": name,
        "at": _moment(at),
        "address": address,
        "agent": agent[:MOST_OF_AGENT],
        "intent": intent,
        "button": button,
        "consent": {"version": CONSENT_VERSION, "text": f"{CONSENT}. {CONSENT_TERMS}"},
        **sums,
        "access": {
            "link_sha256": access.link_sha256,
            "made_for": access.made_for,
            "made_at": _moment(access.made_at),
            "mailed_to": access.mailed_to if access.mailed_at else "",
            "mailed_at": _moment(access.mailed_at),
            "first_used_at": _moment(access.first_used_at),
            "opened_at": _moment(access.opened_at),
            "code_mailed_to": access.mailed_to if access.code_typed_at else "",
            "code_mailed_at": _moment(access.code_mailed_at if access.code_typed_at else None),
            "code_typed_at": _moment(access.code_typed_at),
            "on_device_of_firm": access.on_device_of_firm,
            **({"put_on_page_at": _moment(access.put_on_page_at)} if access.put_on_page_at else {}),
        },
    }


def device_signature_record(
    document: DocumentFacts,
    name: str,
    at: datetime,
    address: str,
    agent: str,
    sums: Mapping[str, Any],
    entered_by: str,
    drawn: str = "",
    waiver: Mapping[str, str] | None = None,
) -> dict[str, Any]:
    """Return the record of a signature on the contractor's own device, handed to the signer on the spot.

    `drawn` is what was drawn on the glass, as the path of a drawing; empty where the name alone was typed.
    `waiver` are the facts of the photo or scan of a written waiver of the right to cancel.
    """
    intent, button = meaning_of_signing(document.kind, Decimal(sums["total"]))
    return {
        "way": ON_DEVICE,
        "document": _document(document),
        "name": name,
        "at": _moment(at),
        "address": address,
        "agent": agent[:MOST_OF_AGENT],
        "intent": intent,
        "button": button,
        "consent": {"version": CONSENT_VERSION, "text": f"{CONSENT}. {CONSENT_TERMS}"},
        **sums,
        "entered_by": entered_by,
        "drawn": drawn,
        **({"scan": dict(waiver)} if waiver else {}),
    }


def paper_signature_record(
    document: DocumentFacts,
    name: str,
    signed_on: date,
    sums: Mapping[str, Any],
    at: datetime,
    entered_by: str,
    scan: Mapping[str, str],
) -> dict[str, Any]:
    """Return the record of a signature on paper that the firm entered, with a photo or scan of it."""
    return {
        "way": ON_PAPER,
        "document": _document(document),
        "name": name,
        "signed_on": signed_on.isoformat(),
        **sums,
        "at": _moment(at),
        "entered_by": entered_by,
        "scan": dict(scan),
    }


def given_record(
    document: DocumentFacts,
    name: str,
    on: date,
    sums: Mapping[str, Any],
    at: datetime,
    entered_by: str,
    grounds: str,
) -> dict[str, Any]:
    """Return the record of a change that the firm gives without its client's signature, on these grounds."""
    return {
        "way": GIVEN,
        "document": _document(document),
        "name": name,
        "given_on": on.isoformat(),
        **sums,
        "at": _moment(at),
        "entered_by": entered_by,
        "grounds": grounds,
    }


def record_in_words(record: Mapping[str, Any]) -> list[tuple[str, str]]:
    """Return the rows of the record as its page prints them: a label and a text each, none empty."""
    rows_of = {ON_PAGE: _page_rows, ON_PAPER: _paper_rows, GIVEN: _given_rows, ON_DEVICE: _device_rows}[
        record["way"]
    ]
    return [(label, text) for label, text in rows_of(record) if text]


def plain_name(name: str) -> str:
    """Return a typed name on one line, without characters that can't be seen."""
    visible = "".join(" " if unicodedata.category(letter)[0] in "CZ" else letter for letter in name)
    return " ".join(unicodedata.normalize("NFC", visible).split())


def _document(document: DocumentFacts) -> dict[str, Any]:
    days = {"cancel_by": document.cancel_by, "extended_to": document.extended_to}
    facts: dict[str, Any] = {name: day.isoformat() for name, day in days.items() if day}
    if document.late_choices:
        facts["late_choices"] = list(document.late_choices)
    return facts | {
        "kind": document.kind,
        "number": document.number,
        "job": document.job,
        "snapshot_sha256": document.snapshot_sha256,
        "pdf_sha256": document.pdf_sha256,
    }


def _moment(at: datetime | None) -> str:
    return at.astimezone(UTC).isoformat(timespec="seconds") if at else ""


def _day_in_words(iso: str) -> str:
    return day_in_words(date.fromisoformat(iso))


def _moment_in_words(iso: str) -> str:
    at = datetime.fromisoformat(iso)
    return f"{day_in_words(at.date())}, {at:%H:%M:%S} UTC"


def _page_rows(record: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    yield "Signed by", record["name"]
    yield "When", _moment_in_words(record["at"])
    yield from _agreement_rows(record)
    yield "Meant as a signature", f"{record['intent']} Button pressed: “{record['button']}”."
    yield f"Consent, version {record['consent']['version']}", record["consent"]["text"]
    yield "How access was limited to the signer", _access_in_words(record["access"])
    yield "Network address", record["address"]
    yield "Browser", record["agent"]
    yield from _digest_rows(record)


def _device_rows(record: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    yield "Signed by", record["name"]
    yield "When", _moment_in_words(record["at"])
    yield from _agreement_rows(record)
    yield "Meant as a signature", f"{record['intent']} Button pressed: “{record['button']}”."
    yield f"Consent, version {record['consent']['version']}", record["consent"]["text"]
    drew = ", drew the signature on the glass" if record["drawn"] else ""
    yield (
        "How access was limited to the signer",
        f"The contractor's own device, signed in as {record['entered_by']}, was handed to the signer, who "
        f"read the paper on it, typed the name{drew} and pressed the button.",
    )
    yield "Network address", record["address"]
    yield "Browser", record["agent"]
    if "scan" in record:
        yield "SHA-256 of the written waiver of the right to cancel", record["scan"]["sha256"]
    yield from _digest_rows(record)


def _paper_rows(record: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    yield "Signed on paper by", record["name"]
    yield "On", _day_in_words(record["signed_on"])
    yield from _agreement_rows(record)
    yield "Entered by the firm", f"by {record['entered_by']}, {_moment_in_words(record['at'])}"
    yield "SHA-256 of the photo or scan kept with it", record["scan"]["sha256"]
    yield from _digest_rows(record)


def _given_rows(record: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    yield "Given by", record["name"]
    yield "On", _day_in_words(record["given_on"])
    yield "Sum given up", format_price(-Decimal(record["total"]))
    yield "Why it stands without the client's signature", record["grounds"]
    yield "Entered by the firm", f"by {record['entered_by']}, {_moment_in_words(record['at'])}"
    yield from _digest_rows(record)


def _agreement_rows(record: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """Yield the options, sums and last days that the signer agreed to, which a certificate lacks."""
    if record["document"]["kind"] == COMPLETION:
        return
    options = [f"{option['title']}, {format_price(Decimal(option['price']))}" for option in record["options"]]
    yield "Options taken", "; ".join(options) or "none"
    if Decimal(record["tax"]):
        yield "Before tax", format_price(Decimal(record["before_tax"]))
        yield "Sales tax", format_price(Decimal(record["tax"]))
    yield "Sum agreed to", format_price(Decimal(record["total"]))
    payments = record.get("payments", ())
    in_words = [f"{row['name']}, {format_price(Decimal(row['amount']))}" for row in payments]
    yield "Payments with the options taken", "; ".join(in_words)
    document = record["document"]
    if "extended_to" in document:
        day = _day_in_words(document["extended_to"])
        yield "Last day to sign", f"moved by the firm to {day}, as the events say"
    yield "Allowances whose day to choose was past", "; ".join(document.get("late_choices", ()))
    if last := document.get("cancel_by"):
        yield "Can be canceled until", f"midnight of {_day_in_words(last)}"


def _digest_rows(record: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    yield "SHA-256 of the paper as issued (PDF)", record["document"]["pdf_sha256"]
    yield "SHA-256 of what it shows", record["document"]["snapshot_sha256"]


def _access_in_words(access: Mapping[str, Any]) -> str:
    sentences = [_link_in_words(access)]
    if access["mailed_at"]:
        sentences.append(f"It was mailed to {access['mailed_to']}, {_moment_in_words(access['mailed_at'])}.")
    else:
        sentences.append("It was handed over by the firm itself, not mailed.")
    if access["first_used_at"]:
        sentences.append(
            "The link was first fetched, by a person or a mail program, "
            f"{_moment_in_words(access['first_used_at'])}."
        )
    if access["opened_at"]:
        sentences.append(
            f"A person's touch on the page was first seen {_moment_in_words(access['opened_at'])}."
        )
    if access["code_typed_at"]:
        sentences.append(
            f"A six-digit code was mailed to {access['code_mailed_to']}, "
            f"{_moment_in_words(access['code_mailed_at'])}, and typed here "
            f"{_moment_in_words(access['code_typed_at'])}."
        )
    if access["on_device_of_firm"]:
        sentences.append("The device was signed in as the firm: it was signed in the firm's presence.")
    return " ".join(sentences)


def _link_in_words(access: Mapping[str, Any]) -> str:
    made = f"made for {access['made_for']} on {_moment_in_words(access['made_at'])}"
    if on_page := access.get("put_on_page_at"):
        return (
            f"A link with a secret of 256 bits to the page of the job was {made}; its hash is kept, and the "
            "firm's site can work it out anew to send it again. This paper was put on that page "
            f"{_moment_in_words(on_page)}."
        )
    return f"A link with a secret of 256 bits was {made}; only its hash is kept."
