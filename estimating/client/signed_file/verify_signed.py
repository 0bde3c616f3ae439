"""Check a signed paper offline. Needs Python 3.9 or later and nothing else.

    python verify_signed.py signed-estimate-1001.json [HASH OF THE SIGNING] [A PDF THAT YOU GOT BY MAIL]

A signed file holds the paper as issued, the signed copy, the record of the signature, and the events that
vouch for them; its name ends in .json, and you get it on the page that your link opens. Every byte of it is
covered by a hash; the hash of the signing stands on the last page of the signed copy that both sides got by
e-mail, so that nobody can rebuild the file unseen. With the name of a PDF, that is compared with the two in
the file. Add --unpack to write both out.
"""

import base64
import hashlib
import json
import sys
from collections.abc import Iterator
from typing import Any, Union

FORMAT = "signed paper 1"
KINDS = ("issued", "accepted", "copied", "canceled")
WANTED = (
    "This program checks the signed file, whose name ends in .json: get it with 'Signed file' on the page "
    "that your link opens. The hash of the signing is on the last page of the signed copy."
)
PARTS = {"format", "snapshot", "issued_pdf", "signed_pdf", "record", "scan", "events"}


def sha256(content: Union[str, bytes]) -> str:  # noqa: UP007 (older Pythons read this file too)
    """Return the SHA-256 as 64 hexadecimal digits; a text counts as its UTF-8 bytes."""
    return hashlib.sha256(content.encode() if isinstance(content, str) else content).hexdigest()


def canonical(value: Any) -> str:
    """Return the one JSON text of a value: keys in order, no spaces, letters as they are."""
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False)


def decoded(letters: str) -> bytes:
    """Return the bytes that Base64 stands for. Raises ValueError where it could be written otherwise."""
    content = base64.b64decode(letters, validate=True)
    if base64.b64encode(content).decode() != letters:
        raise ValueError("an attachment isn't written the one way it can be")
    return content


def faults(text: str, receipt: str = "") -> list[str]:
    """Return what doesn't hold in a signed file, in plain sentences; nothing when it is what was signed.

    `receipt` is the hash of the signing as the signed copy names it; empty to leave that check out.
    """
    try:
        signed = json.loads(text)
        if canonical(signed) != text or set(signed) != PARTS or signed["format"] != FORMAT:
            return ["This isn't a signed file as it was written."]
        return list(_faults(signed, receipt))
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        return [f"This can't be read as a signed file: {error}."]


def _faults(signed: dict[str, Any], receipt: str) -> Iterator[str]:
    events = signed["events"]
    yield from _event_faults(events)
    by_kind = {event["kind"]: event for event in events}
    named = [kind for kind in KINDS if kind in by_kind]
    if len(by_kind) != len(events) or named[:3] != list(KINDS[:3]) or len(named) != len(events):
        yield "It should have these events: issued, accepted, copied, and canceled where it was."
        return
    issued, accepted, copied = (by_kind[kind] for kind in KINDS[:3])
    yield from _order_faults(events, issued, accepted, by_kind)
    record = json.loads(signed["record"])
    yield from _issued_faults(signed, record, issued, accepted)
    yield from _record_faults(signed, record, issued, accepted)
    yield from _kept_file_faults(signed, record, copied)
    if receipt and receipt.lower() != accepted["hash"]:
        yield "The hash of the signing isn't the one in your copy."


def _event_faults(events: list[dict[str, Any]]) -> Iterator[str]:
    """Yield the events whose hash isn't that of what they say."""
    for event in events:
        covered = {key: event[key] for key in event if key not in ("hash", "previous_hash")}
        if set(covered) != {"place", "document", "kind", "at", "data"}:
            yield f"Event {event['place']} has parts that no event has."
        if sha256(event["previous_hash"] + canonical(covered)) != event["hash"]:
            yield f"Event {event['place']} ({event['kind']}) isn't what was recorded."


def _order_faults(
    events: list[dict[str, Any]],
    issued: dict[str, Any],
    accepted: dict[str, Any],
    by_kind: dict[str, dict[str, Any]],
) -> Iterator[str]:
    """Yield where the events don't follow each other, or are of different papers."""
    places = [event["place"] for event in events]
    later = (by_kind[kind]["place"] for kind in KINDS[2:] if kind in by_kind)
    if places != sorted(set(places)) or not issued["place"] < accepted["place"] < min(later):
        yield "The events are out of order."
    if len({event["document"] for event in events}) != 1:
        yield "The events belong to different papers."


def _issued_faults(
    signed: dict[str, Any], record: dict[str, Any], issued: dict[str, Any], accepted: dict[str, Any]
) -> Iterator[str]:
    """Yield what of the issued document both events and the record don't vouch for."""
    shown = record["document"]
    for part, key, name in (
        ("snapshot", "snapshot_sha256", "what the paper shows"),
        ("issued_pdf", "pdf_sha256", "the PDF as issued"),
    ):
        content = signed[part] if part == "snapshot" else decoded(signed[part])
        if {sha256(content)} != {issued["data"][key], accepted["data"][key], shown[key]}:
            yield f"It isn't what was signed: {name}."


def _record_faults(
    signed: dict[str, Any], record: dict[str, Any], issued: dict[str, Any], accepted: dict[str, Any]
) -> Iterator[str]:
    """Yield where the record isn't that of the signing, or is of another document."""
    shown = record["document"]
    if sha256(signed["record"]) != accepted["data"]["record_sha256"]:
        yield "The record isn't the one of the signing."
    if (record["name"], record["total"]) != (accepted["data"]["name"], accepted["data"]["total"]):
        yield "Name or sum differ between the record and the event."
    if (shown["kind"], shown["number"]) != (issued["data"]["kind"], issued["data"]["number"]):
        yield "The record is of another paper."


def _kept_file_faults(
    signed: dict[str, Any], record: dict[str, Any], copied: dict[str, Any]
) -> Iterator[str]:
    """Yield the signed copy and the scan where they aren't those that were kept."""
    if sha256(decoded(signed["signed_pdf"])) != copied["data"]["signed_pdf_sha256"]:
        yield "The signed copy isn't the one that was kept."
    scan = record.get("scan", {}).get("sha256", "")
    if (sha256(decoded(signed["scan"])) if signed["scan"] else "") != scan:
        yield "The scan isn't the one that was kept."


def fate(signed: dict[str, Any]) -> str:
    """Return what became of the paper after the signature, as far as the file tells."""
    canceled = [event for event in signed["events"] if event["kind"] == "canceled"]
    if canceled:
        data = canceled[0]["data"]
        on = data.get("on") or canceled[0]["at"]
        with_it = f", with {data['with']}" if "with" in data else ""
        return f"CANCELED by {data['name']} on {on}{with_it}: it binds neither side any more."
    last = signed["events"][-1]
    return f"The file tells what happened to {last['at']}. Get it anew to see whether it was canceled since."


def pdf_words(signed: dict[str, Any], content: bytes) -> str:
    """Return which of the two PDFs in the file a PDF is; empty where it is neither."""
    for part, name in (("signed_pdf", "the signed copy"), ("issued_pdf", "the paper as issued")):
        if decoded(signed[part]) == content:
            return name
    return ""


def read_file(name: str) -> Union[bytes, None]:  # noqa: UP007
    """Return the bytes of a file; None, and say why, where it can't be read."""
    try:
        with open(name, "rb") as file:
            return file.read()
    except OSError as error:
        print(f"NOT CHECKED: {name} can't be read: {error.strerror}.")
        return None


def main(arguments: list[str]) -> int:
    """Check the file named in the arguments and print what holds; return 0, or 1 where it isn't as signed.

    Returns 2 where nothing could be checked.
    """
    unpack = "--unpack" in arguments
    named = [argument for argument in arguments if argument != "--unpack"]
    pdfs = [argument for argument in named[1:] if argument.lower().endswith(".pdf")]
    receipts = [argument for argument in named[1:] if argument not in pdfs]
    if not named or len(receipts) > 1:
        print(__doc__)
        return 2
    content = read_file(named[0])
    if content is None:
        return 2
    if content.startswith(b"%PDF"):
        print(f"NOT CHECKED: {named[0]} is a PDF. {WANTED}")
        return 2
    try:
        text = content.decode("utf-8")
    except ValueError:
        print("NOT AS SIGNED: this isn't a text file.")
        return 1
    found = faults(text, receipts[0] if receipts else "")
    for fault in found:
        print("NOT AS SIGNED:", fault)
    if found:
        return 1
    signed = json.loads(text)
    record = json.loads(signed["record"])
    print(f"Whole: {record['document']['kind']} {record['document']['number']}, {record['document']['job']}")
    print(f"Signed by {record['name']} at {record['at']} for {record['total']}")
    print(fate(signed))
    for name in pdfs:
        pdf = read_file(name)
        if pdf is None:
            return 2
        which = pdf_words(signed, pdf)
        print(f"{name} is {which}, byte for byte." if which else f"NOT AS SIGNED: {name} is another PDF.")
        if not which:
            return 1
    print("Hash of the signing, to compare with the last page of the signed copy:")
    print(next(event["hash"] for event in signed["events"] if event["kind"] == "accepted"))
    if unpack:
        for part in ("issued_pdf", "signed_pdf"):
            with open(f"{part}.pdf", "wb") as file:
                file.write(decoded(signed[part]))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
