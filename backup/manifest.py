"""What is in a backup, as its first member says it."""

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any

FORMAT = 1


class UnreadableBackup(ValueError):
    """A file that is no backup, isn't whole, or is of a newer program; the message says which."""


@dataclass(frozen=True)
class Member:
    """A file in a backup: its length in bytes and its SHA-256."""

    size: int
    sha256: str


@dataclass(frozen=True)
class Manifest:
    """When a backup was made, of what, and every file in it by its name.

    `engine` is "sqlite" or "postgresql", `engine_version` that of the library or server, `migrations` the
    newest applied migration of each app, `rows` the number of rows of each table.
    """

    made_at: datetime
    engine: str
    engine_version: str
    migrations: Mapping[str, str]
    rows: Mapping[str, int]
    members: Mapping[str, Member]

    def to_json(self) -> str:
        """Write it as the text of `manifest.json`."""
        facts = {"format": FORMAT, **asdict(self), "made_at": self.made_at.isoformat()}
        return json.dumps(facts, indent=2, sort_keys=True)


def read_manifest(text: str | bytes) -> Manifest:
    """Read the text of `manifest.json`. Raises UnreadableBackup."""
    try:
        facts: dict[str, Any] = json.loads(text)
        version = facts.pop("format")
        if version > FORMAT:
            raise UnreadableBackup("This backup was made by a newer Benchrule. Bring it back with that one.")
        members = {name: Member(**values) for name, values in facts.pop("members").items()}
        made_at = datetime.fromisoformat(facts.pop("made_at"))
        return Manifest(made_at=made_at, members=members, **facts)
    except (ValueError, TypeError, KeyError, AttributeError) as error:
        if isinstance(error, UnreadableBackup):
            raise
        raise UnreadableBackup(
            "This file says nothing readable of what is in it: it is no backup."
        ) from error
