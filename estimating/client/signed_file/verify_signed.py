"""Check a signed paper offline. Needs Python 3.9 or later and nothing else.

    python verify_signed.py signed-estimate-1001.json [HASH FROM YOUR RECEIPT]

A signed file holds the paper as issued, the signed copy, the record of the signature, and the events that
vouch for them. Every byte of it is covered by a hash; the hash of the signing stands in the receipts that
both sides got by e-mail, so that nobody can rebuild the file unseen. Add --unpack to write the PDFs out.
"""

import base64
import hashlib
import json
import sys
from collections.abc import Iterator
from typing import Any, Union

FORMAT = "signed paper 1"
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

    `receipt` is the hash of the signing as a receipt names it; empty to leave that check out.
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
    if [event["kind"] for event in events] != ["issued", "accepted", "copied"]:
        yield "It should have three events: issued, accepted, copied."
        return
    issued, accepted, copied = events
    yield from _order_faults(issued, accepted, copied)
    record = json.loads(signed["record"])
    yield from _issued_faults(signed, record, issued, accepted)
    yield from _record_faults(signed, record, issued, accepted)
    yield from _kept_file_faults(signed, record, copied)
    if receipt and receipt.lower() != accepted["hash"]:
        yield "The hash of the signing isn't the one in your receipt."


def _event_faults(events: list[dict[str, Any]]) -> Iterator[str]:
    """Yield the events whose hash isn't that of what they say."""
    for event in events:
        covered = {key: event[key] for key in event if key not in ("hash", "previous_hash")}
        if set(covered) != {"place", "document", "kind", "at", "data"}:
            yield f"Event {event['place']} has parts that no event has."
        if sha256(event["previous_hash"] + canonical(covered)) != event["hash"]:
            yield f"Event {event['place']} ({event['kind']}) isn't what was recorded."


def _order_faults(issued: dict[str, Any], accepted: dict[str, Any], copied: dict[str, Any]) -> Iterator[str]:
    if not issued["place"] < accepted["place"] < copied["place"]:
        yield "The events are out of order."
    if len({event["document"] for event in (issued, accepted, copied)}) != 1:
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


def main(arguments: list[str]) -> int:
    """Check the file named in the arguments and print what holds; return 0, or 1 where it isn't as signed.

    Returns 2 where nothing could be checked.
    """
    unpack = "--unpack" in arguments
    named = [argument for argument in arguments if argument != "--unpack"]
    if not 1 <= len(named) <= 2:
        print(__doc__)
        return 2
    try:
        with open(named[0], "rb") as file:
            content = file.read()
    except OSError as error:
        print(f"NOT CHECKED: {named[0]} can't be read: {error.strerror}.")
        return 2
    try:
        text = content.decode("utf-8")
    except ValueError:
        print("NOT AS SIGNED: this isn't a text file.")
        return 1
    found = faults(text, named[1] if len(named) == 2 else "")
    for fault in found:
        print("NOT AS SIGNED:", fault)
    if found:
        return 1
    signed = json.loads(text)
    record = json.loads(signed["record"])
    print(f"Whole: {record['document']['kind']} {record['document']['number']}, {record['document']['job']}")
    print(f"Signed by {record['name']} at {record['at']} for {record['total']}")
    print(f"Hash of the signing, to compare with the receipt:\n{signed['events'][1]['hash']}")
    if unpack:
        for part in ("issued_pdf", "signed_pdf"):
            with open(f"{part}.pdf", "wb") as file:
                file.write(decoded(signed[part]))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
