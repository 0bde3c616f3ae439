"""How a job is paid, on papers of ours. Milestones belong to the app above, which imports us and not we
it: its `ready` puts its answers into these slots. Empty, papers say nothing of milestones."""

from collections.abc import Callable, Mapping
from typing import Any

from estimating.models import ChangeOrder, Document, Job


class PaymentsUnfit(ValueError):
    """What would be printed of payments can't stand; the message says in a plain sentence why."""


# Of an estimate: what its paper shows under "payments", from its basis. Empty: nothing.
ON_ESTIMATE: list[Callable[[Job, Mapping[str, Any]], dict[str, Any]]] = []
# Of a change: what its paper shows under "payments", and what its basis keeps under "plan".
ON_CHANGE: list[Callable[[ChangeOrder, Mapping[str, Any]], tuple[dict[str, Any], list[dict[str, Any]]]]] = []
# What follows once a document is signed, in the same transaction.
SIGNED: list[Callable[[Document], None]] = []
# How a bill stands since it was issued, a sentence for its client. Empty: as it was issued.
STANDS: list[Callable[[Document], str]] = []


def estimate_payments(job: Job, basis: Mapping[str, Any]) -> dict[str, Any]:
    """What the paper of an estimate adds to its snapshot. Raises PaymentsUnfit."""
    shown: dict[str, Any] = {}
    for ask in ON_ESTIMATE:
        shown |= ask(job, basis)
    return {"payments": shown} if shown else {}


def change_payments(change: ChangeOrder, basis: Mapping[str, Any]) -> tuple[dict[str, Any], dict[str, Any]]:
    """What a change order adds to its snapshot, and to its basis. Raises PaymentsUnfit."""
    shown: dict[str, Any] = {}
    kept: list[dict[str, Any]] = []
    for ask in ON_CHANGE:
        more, parts = ask(change, basis)
        shown |= more
        kept += parts
    return ({"payments": shown}, {"plan": kept}) if shown else ({}, {})


def was_signed(document: Document) -> None:
    """Tell the app above. Call in the transaction that keeps the signature."""
    for tell in SIGNED:
        tell(document)


def bill_stands(document: Document) -> str:
    """What the client's page of a bill says of money that came since."""
    return " ".join(filter(None, (say(document) for say in STANDS)))
