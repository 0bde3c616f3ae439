"""The two papers of lead-safe work, filled in from what is known: snapshots of plain text.

What the record asks for is that of the agency's sample renovation recordkeeping checklist (OMB 2070-0155).
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from estimating.plain_text import nonblank_lines
from estimating.snapshots.wording import DocumentParty

CHECKS: Mapping[str, tuple[tuple[str, str], ...]] = {
    "Who did it": (
        ("certificates", "Copies of the renovator's certificates are on file"),
        ("trained", "Helpers were trained by the certified renovator for what they did"),
    ),
    "Before the work": (
        ("signs", "Warning signs at the entrance to the work area"),
        ("objects", "All objects in the work area removed or covered"),
        ("ducts", "Ducts in the work area closed and covered"),
        ("windows", "Windows in the work area closed"),
        ("doors", "Doors in the work area closed and sealed"),
        ("way_through", "Doors that are used covered so that dust stays in"),
        ("floors", "Floors in the work area covered with taped-down plastic"),
    ),
    "Outside": (
        ("outside_openings", "Windows and doors in and within 20 feet closed"),
        ("ground", "Ground covered with plastic 10 feet from the work, anchored and weighted"),
    ),
    "Waste and cleaning": (
        ("waste_on_site", "Waste contained on site"),
        ("waste_hauled", "Waste contained while it was hauled away"),
        ("debris", "Chips and debris picked up; sheeting misted, folded dirty side in, taped"),
        ("cleaned", "Surfaces cleaned with a HEPA vacuum, wet cloths or mops"),
        ("verified", "Cleaning verified by the certified renovator"),
    ),
}


@dataclass(frozen=True)
class LeadHead:
    """Whose paper it is, for whom, and which house."""

    firm: DocumentParty
    client: DocumentParty
    job: str
    address: str
    year_built: int | None
    paper_size: str
    dated: date


@dataclass(frozen=True)
class LeadWork:
    """What is kept of the work; empty text is a blank line to fill in by hand."""

    renovator: str
    certificate: str
    helpers: str
    tests: str
    cloths: str
    done: Collection[str]
    ended_on: date | None


def pamphlet_snapshot(head: LeadHead, begins: date | None, rooms: str) -> dict[str, Any]:
    """Return the acknowledgment that the owner signs for the lead pamphlet."""
    return {
        **_head(head, "lead_pamphlet", "Lead pamphlet received"),
        "begins": begins.isoformat() if begins else "",
        "rooms": rooms,
    }


def record_snapshot(head: LeadHead, work: LeadWork, rooms: str) -> dict[str, Any]:
    """Return the record of the work, ticked as far as it is known."""
    return {
        **_head(head, "lead_record", "Record of lead-safe work"),
        "rooms": rooms,
        "facts": [
            {"label": label, "text": text}
            for label, text in (
                ("Certified renovator", ", ".join(filter(None, (work.renovator, work.certificate)))),
                ("Trained helpers", work.helpers),
                ("Test kits or samples, where, and results", work.tests),
                ("Result of the cleaning verification, with the wet and dry cloths used", work.cloths),
            )
        ],
        "parts": [
            {
                "title": title,
                "checks": [{"says": says, "done": code in work.done} for code, says in checks],
            }
            for title, checks in CHECKS.items()
        ],
        "ended": work.ended_on.isoformat() if work.ended_on else "",
    }


def _head(head: LeadHead, kind: str, title: str) -> dict[str, Any]:
    return {
        "kind": kind,
        "paper": head.paper_size,
        "title": f"{title}: {head.job}",
        "label": title,
        "firm": head.firm.for_snapshot(),
        "client": head.client.for_snapshot(),
        "job": {"name": head.job, "address": nonblank_lines(head.address)},
        "year_built": head.year_built or "",
        "dated": head.dated.isoformat(),
    }
