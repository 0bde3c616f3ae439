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

PARTS = {"format", "snapshot", "issued_pdf", "signed_pdf", "record", "scan", "events"}


def sha256(content: Union[str, bytes]) -> str:  # noqa: UP007 (older Pythons read this file too)
    return hashlib.sha256(content.encode() if isinstance(content, str) else content).hexdigest()


def canonical(value: Any) -> str:
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False)


def decoded(letters: str) -> bytes:
    content = base64.b64decode(letters, validate=True)
    if base64.b64encode(content).decode() != letters:
        raise ValueError("an attachment isn't written the one way it can be")
    return content


def faults(text: str, receipt: str = "") -> list[str]:
    """What doesn't hold, in plain sentences; nothing when the file is what was signed."""
    try:
        paper = json.loads(text)
        if canonical(paper) != text or set(paper) != PARTS or paper["format"] != "signed paper 1":
            return ["This isn't a signed file as it was written."]
        return list(_faults(paper, receipt))
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        return [f"This can't be read as a signed file: {error}."]


def _faults(paper: dict[str, Any], receipt: str) -> Iterator[str]:
    events = paper["events"]
    for event in events:
        covered = {key: event[key] for key in event if key not in ("hash", "previous_hash")}
        if set(covered) != {"place", "document", "kind", "at", "data"}:
            yield f"Event {event['place']} has parts that no event has."
        if sha256(event["previous_hash"] + canonical(covered)) != event["hash"]:
            yield f"Event {event['place']} ({event['kind']}) isn't what was recorded."
    if [event["kind"] for event in events] != ["issued", "accepted", "copied"]:
        yield "It should have three events: issued, accepted, copied."
        return
    issued, accepted, copied = events
    if not issued["place"] < accepted["place"] < copied["place"]:
        yield "The events are out of order."
    if len({event["document"] for event in events}) != 1:
        yield "The events belong to different papers."
    record = json.loads(paper["record"])
    shown = record["document"]
    for part, name in (("snapshot", "what the paper shows"), ("issued_pdf", "the PDF as issued")):
        content = paper[part] if part == "snapshot" else decoded(paper[part])
        key = "snapshot_sha256" if part == "snapshot" else "pdf_sha256"
        if {sha256(content)} != {issued["data"][key], accepted["data"][key], shown[key]}:
            yield f"It isn't what was signed: {name}."
    if sha256(paper["record"]) != accepted["data"]["record_sha256"]:
        yield "The record isn't the one of the signing."
    if (record["name"], record["total"]) != (accepted["data"]["name"], accepted["data"]["total"]):
        yield "Name or sum differ between the record and the event."
    if (shown["kind"], shown["number"]) != (issued["data"]["kind"], issued["data"]["number"]):
        yield "The record is of another paper."
    if sha256(decoded(paper["signed_pdf"])) != copied["data"]["signed_pdf_sha256"]:
        yield "The signed copy isn't the one that was kept."
    scan = record.get("scan", {}).get("sha256", "")
    if (sha256(decoded(paper["scan"])) if paper["scan"] else "") != scan:
        yield "The scan isn't the one that was kept."
    if receipt and receipt.lower() != accepted["hash"]:
        yield "The hash of the signing isn't the one in your receipt."


def main(arguments: list[str]) -> int:
    unpack = "--unpack" in arguments
    named = [each for each in arguments if each != "--unpack"]
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
    paper = json.loads(text)
    record = json.loads(paper["record"])
    print(f"Whole: {record['document']['kind']} {record['document']['number']}, {record['document']['job']}")
    print(f"Signed by {record['name']} at {record['at']} for {record['total']}")
    print(f"Hash of the signing, to compare with the receipt:\n{paper['events'][1]['hash']}")
    if unpack:
        for part in ("issued_pdf", "signed_pdf"):
            with open(f"{part}.pdf", "wb") as file:
                file.write(decoded(paper[part]))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
