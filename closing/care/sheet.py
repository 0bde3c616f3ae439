"""The snapshot of a care sheet. Dates are ISO."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from estimating.plain_text import nonblank_lines
from estimating.snapshots.wording import DocumentParty


@dataclass(frozen=True)
class CareEntry:
    """A material of a job: what was installed, when, how it is cared for, and which papers its maker has.

    `facts` are labels with what was filled in, none empty.
    """

    name: str
    facts: tuple[tuple[str, str], ...] = ()
    installed_on: date | None = None
    care: str = ""
    papers: tuple[str, ...] = ()

    @property
    def says_something(self) -> bool:
        """Whether it stands on the sheet."""
        return bool(self.facts or self.installed_on or self.care.strip() or self.papers)


@dataclass(frozen=True)
class CareHeader:
    """Whose sheet it is, of which job and rooms, and the days of the end and of the warranty where known."""

    firm: DocumentParty
    client: DocumentParty
    job: str
    address: str
    rooms: Sequence[str]
    dated: date
    paper_size: str
    ended_on: date | None = None
    warranty_to: date | None = None


def title_of(rooms: Sequence[str]) -> str:
    """Return the headline: of one room its name, of several what they have in common."""
    return f"Care of your new {rooms[0].lower()}" if len(rooms) == 1 else "Care of your new rooms"


def care_snapshot(head: CareHeader, entries: Sequence[CareEntry]) -> dict[str, Any]:
    """Return what the care sheet shows."""
    title = title_of(head.rooms)
    return {
        "kind": "care",
        "paper": head.paper_size,
        "title": f"{title}: {head.job}",
        "headline": title,
        "firm": head.firm.for_snapshot(),
        "client": head.client.for_snapshot(),
        "job": {"name": head.job, "address": nonblank_lines(head.address)},
        "dated": head.dated.isoformat(),
        "ended_on": head.ended_on.isoformat() if head.ended_on else "",
        "warranty_to": head.warranty_to.isoformat() if head.warranty_to else "",
        "has_papers": any(entry.papers for entry in entries),
        "entries": [
            {
                "name": entry.name,
                "facts": [f"{label}: {text}" for label, text in entry.facts],
                "installed_on": entry.installed_on.isoformat() if entry.installed_on else "",
                "care": nonblank_lines(entry.care),
                "papers": list(entry.papers),
            }
            for entry in entries
            if entry.says_something
        ],
    }
