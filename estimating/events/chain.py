"""A hash chain of records: none can be changed, left out or moved without a visible break.

The hash of a record is SHA-256 over the hash before it, as 64 hexadecimal digits, followed by the record's
canonical JSON, both in UTF-8. Somebody who can write everything can also rebuild the chain; a copy of its
last hash that is kept elsewhere, such as in a receipt, shows that.
"""

import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

FIRST_PREVIOUS = "0" * 64  # what stands before the first record


@dataclass(frozen=True)
class Link:
    """A record in its chain. `place` counts from 1; `data` is canonical JSON; `document` a primary key."""

    place: int
    document: int
    kind: str
    at: datetime
    data: str
    previous_hash: str
    hash: str = ""


def canonical(value: Any) -> str:
    """Return the one JSON text of a value: keys sorted, no spaces, no escaped letters. Leave out floats."""
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def digest(content: str | bytes) -> str:
    """Return the SHA-256 of bytes, or of a text in UTF-8, as 64 hexadecimal digits."""
    return hashlib.sha256(content.encode() if isinstance(content, str) else content).hexdigest()


def record_of(link: Link) -> str:
    """Return what the hash of a link covers beside the hash before it: canonical JSON, the time in UTC."""
    record: Mapping[str, Any] = {
        "place": link.place,
        "document": link.document,
        "kind": link.kind,
        "at": link.at.astimezone(UTC).isoformat(timespec="microseconds"),
        "data": json.loads(link.data),
    }
    return canonical(record)


def hash_of(link: Link) -> str:
    """Return the hash that a link must have."""
    return digest(link.previous_hash + record_of(link))


def breaks(links: Iterable[Link]) -> Iterator[str]:
    """Yield a sentence for each break of a chain; `links` come in the order of their places."""
    previous, expected = FIRST_PREVIOUS, 1
    for link in links:
        if link.place != expected:
            yield f"Event {expected} is missing: after it comes event {link.place}."
        if link.previous_hash != previous:
            yield f"Event {link.place} ({link.kind}) doesn't follow from the event before it."
        if not _is_canonical(link.data) or hash_of(link) != link.hash:
            yield f"Event {link.place} ({link.kind}) isn't what was recorded: its hash differs."
        previous, expected = link.hash, link.place + 1


def _is_canonical(text: str) -> bool:
    try:
        return canonical(json.loads(text)) == text
    except ValueError:
        return False
