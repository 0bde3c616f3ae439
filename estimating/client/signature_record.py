"""What the record of a signing holds, as plain values and in words.

It says how access was limited to the signer, and not only that a name was typed: a mark stands up in so
far as it can be shown whose act it was (UETA section 9; 15 USC 7006(5)).
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


@dataclass(frozen=True)
class Access:
    """How the way to the page was limited to the signer. Moments in UTC; None for what didn't happen."""

    link_sha256: str
    made_for: str
    mailed_to: str
    made_at: datetime
    mailed_at: datetime | None = None
    first_used_at: datetime | None = None
    opened_at: datetime | None = None
    code_mailed_at: datetime | None = None
    code_typed_at: datetime | None = None
    on_device_of_firm: bool = False


@dataclass(frozen=True)
class Shown:
    """The document that was signed, by what it is and the digests of what it shows. `cancel_by` is the
    day to whose end it can be canceled, where it can; `extended_to` the last day to sign, where the firm
    moved it; `late_choices` are allowances whose day to choose was past."""

    kind: str
    number: int
    job: str
    snapshot_sha256: str
    pdf_sha256: str
    cancel_by: date | None = None
    extended_to: date | None = None
    late_choices: tuple[str, ...] = ()


def what_is_meant(kind: str, total: Decimal) -> tuple[str, str]:
    """What the page says that signing a paper of a kind means, and the words on its button."""
    of_change = kind == CHANGE_ORDER
    intent, button = (INTENT_OF_CHANGE, BUTTON_OF_CHANGE) if of_change else (INTENT, BUTTON)
    price = format_price(total)
    return intent.format(total=price), button.format(total=price)


def signing_record(
    shown: Shown, name: str, at: datetime, address: str, agent: str, sums: Mapping[str, Any], access: Access
) -> dict[str, Any]:
    """The record of a signature on the client's page."""
    intent, button = what_is_meant(shown.kind, Decimal(sums["total"]))
    return {
        "way": "page",
        "document": _document(shown),
        "name": name,
        "at": _moment(at),
        "address": address,
        "agent": agent[:400],
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
        },
    }


def paper_record(
    shown: Shown,
    name: str,
    signed_on: date,
    sums: Mapping[str, Any],
    at: datetime,
    entered_by: str,
    scan: Mapping[str, str],
) -> dict[str, Any]:
    """The record of a signature on paper that the firm entered, with a photo or scan of it."""
    return {
        "way": "paper",
        "document": _document(shown),
        "name": name,
        "signed_on": signed_on.isoformat(),
        **sums,
        "at": _moment(at),
        "entered_by": entered_by,
        "scan": dict(scan),
    }


def record_in_words(record: Mapping[str, Any]) -> list[tuple[str, str]]:
    """What the page of the record says: a label and a text a row."""
    rows = _paper_rows(record) if record["way"] == "paper" else _page_rows(record)
    return [(label, text) for label, text in rows if text]


def plain_name(name: str) -> str:
    """A typed name on one line, without characters that can't be seen."""
    seen = "".join(" " if unicodedata.category(each)[0] in "CZ" else each for each in name)
    return " ".join(unicodedata.normalize("NFC", seen).split())


def _document(shown: Shown) -> dict[str, Any]:
    days = {"cancel_by": shown.cancel_by, "extended_to": shown.extended_to}
    last: dict[str, Any] = {name: day.isoformat() for name, day in days.items() if day}
    if shown.late_choices:
        last["late_choices"] = list(shown.late_choices)
    return last | {
        "kind": shown.kind,
        "number": shown.number,
        "job": shown.job,
        "snapshot_sha256": shown.snapshot_sha256,
        "pdf_sha256": shown.pdf_sha256,
    }


def _moment(at: datetime | None) -> str:
    return at.astimezone(UTC).isoformat(timespec="seconds") if at else ""


def _moment_in_words(iso: str) -> str:
    at = datetime.fromisoformat(iso)
    return f"{day_in_words(at.date())}, {at:%H:%M:%S} UTC"


def _page_rows(record: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    yield "Signed by", record["name"]
    yield "When", _moment_in_words(record["at"])
    yield from _agreed(record)
    yield "Meant as a signature", f"{record['intent']} Button pressed: “{record['button']}”."
    yield f"Consent, version {record['consent']['version']}", record["consent"]["text"]
    yield "How access was limited to the signer", _access_in_words(record["access"])
    yield "Network address", record["address"]
    yield "Browser", record["agent"]
    yield from _digests(record)


def _paper_rows(record: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    yield "Signed on paper by", record["name"]
    yield "On", day_in_words(date.fromisoformat(record["signed_on"]))
    yield from _agreed(record)
    yield "Entered by the firm", f"by {record['entered_by']}, {_moment_in_words(record['at'])}"
    yield "SHA-256 of the photo or scan kept with it", record["scan"]["sha256"]
    yield from _digests(record)


def _agreed(record: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    options = [f"{each['title']}, {format_price(Decimal(each['price']))}" for each in record["options"]]
    yield "Options taken", "; ".join(options) or "none"
    if Decimal(record["tax"]):
        yield "Before tax", format_price(Decimal(record["before_tax"]))
        yield "Sales tax", format_price(Decimal(record["tax"]))
    yield "Sum agreed to", format_price(Decimal(record["total"]))
    document = record["document"]
    if "extended_to" in document:
        day = day_in_words(date.fromisoformat(document["extended_to"]))
        yield "Last day to sign", f"moved by the firm to {day}, as the events say"
    yield "Allowances whose day to choose was past", "; ".join(document.get("late_choices", ()))
    if last := record["document"].get("cancel_by"):
        yield "Can be canceled until", f"midnight of {day_in_words(date.fromisoformat(last))}"


def _digests(record: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    yield "SHA-256 of the paper as issued (PDF)", record["document"]["pdf_sha256"]
    yield "SHA-256 of what it shows", record["document"]["snapshot_sha256"]


def _access_in_words(access: Mapping[str, Any]) -> str:
    said = [
        f"A link with a secret of 256 bits was made for {access['made_for']} on "
        f"{_moment_in_words(access['made_at'])}; only its hash is kept."
    ]
    if access["mailed_at"]:
        said.append(f"It was mailed to {access['mailed_to']}, {_moment_in_words(access['mailed_at'])}.")
    else:
        said.append("It was handed over by the firm itself, not mailed.")
    if access["first_used_at"]:
        said.append(
            "The link was first fetched, by a person or a mail program, "
            f"{_moment_in_words(access['first_used_at'])}."
        )
    if access["opened_at"]:
        said.append(f"A person's touch on the page was first seen {_moment_in_words(access['opened_at'])}.")
    if access["code_typed_at"]:
        said.append(
            f"A six-digit code was mailed to {access['code_mailed_to']}, "
            f"{_moment_in_words(access['code_mailed_at'])}, and typed here "
            f"{_moment_in_words(access['code_typed_at'])}."
        )
    if access["on_device_of_firm"]:
        said.append("The device was signed in as the firm: it was signed in the firm's presence.")
    return " ".join(said)
