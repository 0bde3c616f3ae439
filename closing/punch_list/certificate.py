"""The snapshot of a certificate of completion: what both sign at the end of a job.

It says what was done on the walk-through, what is left with the sum held for it, what isn't in the job, and
the warranty that begins. The day of the end is that of the signature, which the signed copy prints; the
certificate itself is issued before it. Sums are "1234.50", dates ISO.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from closing.punch_list.items import ListItem, State
from estimating.contract.warranty import term_in_words
from estimating.plain_text import money, nonblank_lines
from estimating.snapshots.wording import DocumentParty

IN_WORDS = {
    State.CHANGE: "On a change order, which counts once it is signed.",
    State.DECLINED: "Declined: {}",
    State.NOT_OURS: "Not ours.",
}


@dataclass(frozen=True)
class CertificateHeader:
    """Whose certificate it is, of which contract, and the months of warranty that the contract promises."""

    firm: DocumentParty
    client: DocumentParty
    job: str
    address: str
    dated: date
    paper_size: str
    contract: Sequence[str]
    warranty_months: int


@dataclass(frozen=True)
class SeenItem:
    """An item with its room and the day on which it was seen."""

    item: ListItem
    room: str
    noted_on: date


def certificate_snapshot(head: CertificateHeader, seen: Sequence[SeenItem], held: Decimal) -> dict[str, Any]:
    """Return what the certificate shows."""
    left = [_left(one) for one in seen if one.item.is_left]
    return {
        "kind": "completion",
        "paper": head.paper_size,
        "firm": head.firm.for_snapshot(),
        "client": head.client.for_snapshot(),
        "job": {"name": head.job, "address": nonblank_lines(head.address)},
        "dated": head.dated.isoformat(),
        "total": "0.00",
        "first_line": _first_line(len(left)),
        "contract": list(head.contract),
        "walked": sorted({one.noted_on.isoformat() for one in seen}),
        "left": left,
        "held": money(held),
        "done": [
            {"text": one.item.text, "room": one.room, "on": one.item.done_on.isoformat()}
            for one in seen
            if one.item.state == State.DONE and one.item.done_on
        ],
        "apart": [_apart(one) for one in seen if one.item.state in IN_WORDS],
        "warranty_months": head.warranty_months,
        "warranty": term_in_words(head.warranty_months) if head.warranty_months else "",
    }


def certificate_basis(seen: Sequence[SeenItem]) -> dict[str, Any]:
    """Return what is kept behind a certificate: each item that is left, and what is held for it."""
    return {
        "left": [{"item": one.item.key, "worth": money(one.item.holds)} for one in seen if one.item.is_left]
    }


def _first_line(left: int) -> str:
    if not left:
        return "All work of the contract is done."
    return (
        f"The work of the contract is done but for {left} item{'' if left == 1 else 's'} of the punch list."
    )


def _left(one: SeenItem) -> dict[str, str]:
    return {"text": one.item.text, "room": one.room, "worth": money(one.item.holds)}


def _apart(one: SeenItem) -> dict[str, str]:
    says = IN_WORDS[one.item.state].format(one.item.answer)
    if one.item.state == State.NOT_OURS and one.item.answer:
        says = f"Not ours: {one.item.answer}"
    return {"text": one.item.text, "room": one.room, "says": says}
