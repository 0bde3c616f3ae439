"""The snapshot of a letter about an invoice that is late. Sums are "1234.50", dates ISO."""

import re
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from estimating.plain_text import money, nonblank_lines
from estimating.snapshots.wording import DocumentParty


@dataclass(frozen=True)
class Letter:
    """What is written about an invoice: by whom, to whom, which step it is, what was open, and the words."""

    firm: DocumentParty
    client: DocumentParty
    job: str
    address: str
    paper_size: str
    step: str
    invoice: str
    open: Decimal
    due: date
    dated: date
    text: str


def letter_snapshot(letter: Letter) -> dict[str, Any]:
    """Return what the paper of a letter shows."""
    days = (letter.dated - letter.due).days
    return {
        "kind": "letter",
        "paper": letter.paper_size,
        "title": f"{letter.step}: {letter.invoice}",
        "firm": letter.firm.for_snapshot(),
        "client": letter.client.for_snapshot(),
        "job": {"name": letter.job, "address": nonblank_lines(letter.address)},
        "dated": letter.dated.isoformat(),
        "step": letter.step,
        "invoice": letter.invoice,
        "open": money(letter.open),
        "due": letter.due.isoformat(),
        "late": f"{days} day{'' if days == 1 else 's'} ago" if days > 0 else "",
        "text": [part.strip().splitlines() for part in re.split(r"\n\s*\n", letter.text) if part.strip()],
    }
