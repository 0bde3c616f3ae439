"""The snapshots of a change order and of the statement of a contract: everything that they show.

A snapshot is dicts, lists and strings that JSON can keep. Photos are in it as JPEG, so that the PDF depends
on its snapshot alone.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from catalog.money.amounts import format_price
from estimating.changes.price import ChangeRow, PricedChange, RowKind
from estimating.contract.contract_sum import CHANGE_ORDER, Contract, ContractStep
from estimating.contract.lines import ContractRules
from estimating.plain_text import money, nonblank_lines
from estimating.pricing.hidden_conditions import in_units
from estimating.pricing.percentages import tax_rate_in_words
from estimating.snapshots.estimate import photos_for_snapshot
from estimating.snapshots.work_table import phase_sums

# The reasons of `ChangeOrder.Reason` as the client reads them.
REASONS = {
    "client": "You asked for it",
    "hidden": "Something hidden was found",
    "design": "The design changed",
    "code": "The code requires it",
    "ours": "The error is ours",
    "given": "I give up part of the price",
}
# The parts of an estimate's snapshot that a change order shows as they are.
_FROM_ESTIMATE = (
    "paper",
    "firm",
    "client",
    "job",
    "dated",
    "valid_to",
    "scope",
    "client_brings",
    "assumptions",
    "cautions",
)
_FROM_ESTIMATE_TO_STATEMENT = ("paper", "firm", "client", "job")
FIRST_LINE = (
    "This paper changes what we agreed: why, by what, and to which sum. Its work starts once you have signed."
)
GIVEN_FIRST_LINE = "This paper lowers the price that we agreed. You needn't sign it: you only gain."
_HEADINGS = {
    RowKind.TAKEN_OUT: "Removed: ",
    RowKind.PART_OUT: "Part removed: ",
    RowKind.BROUGHT: "You bring: ",
    RowKind.CHOICE: "Chosen: ",
    RowKind.FOUND: "Found: ",
    RowKind.OPTION: "Option taken: ",
    RowKind.GIVEN_UP: "Given up: ",
}

# Names of changes that wait for a signature, with what each adds, tax included.
Waiting = Iterable[tuple[str, Decimal]]


@dataclass(frozen=True)
class ChangeWords:
    """What a change order says beside its work and its sums.

    `photos` are captions with JPEG in base 64; `days` are the working days that it adds, below zero those
    that it saves; `days_before` and `days_after` are those of the job without it and with it. `stands` says
    why it stands without the client's signature; empty where it is to be signed.
    """

    about: str
    reason: str
    found: str = ""
    asked_by: str = ""
    photos: Sequence[tuple[str, str]] = ()
    days: int = 0
    days_before: int = 0
    days_after: int = 0
    payment: str = ""
    stands: str = ""


def change_snapshot(
    estimate: Mapping[str, Any],
    words: ChangeWords,
    priced: PricedChange,
    rules: ContractRules,
    contract: Contract,
    waiting: Waiting,
) -> dict[str, Any]:
    """Return everything that a change order shows its client.

    `estimate` is the snapshot of the work that the change adds; `waiting` are the changes that were issued
    and aren't signed.
    """
    return {
        **{name: estimate[name] for name in _FROM_ESTIMATE},
        "scope": [*_scope_at_unit_prices(priced.rows), *estimate["scope"]],
        "kind": CHANGE_ORDER,
        "title": f"Change order: {estimate['job']['name']}",
        "first_line": GIVEN_FIRST_LINE if words.stands else FIRST_LINE,
        "stands": words.stands,
        "about": words.about,
        "reason": REASONS[words.reason],
        "found": nonblank_lines(words.found),
        "asked_by": words.asked_by,
        "photos": photos_for_snapshot(words.photos),
        "prices": _rows(priced.rows),
        "tax": _tax(priced, rules),
        "total": money(priced.total),
        "contract": _contract(contract, priced.total, waiting),
        "days": days_in_words(words.days),
        "days_before": _about_days(words.days_before),
        "days_after": _about_days(words.days_after),
        "payment": words.payment,
    }


def _scope_at_unit_prices(rows: Sequence[ChangeRow]) -> list[dict[str, Any]]:
    """Describe the work that was picked from what was signed outside the sum, under a heading of its kind."""
    groups: dict[str, list[dict[str, Any]]] = {}
    for row in rows:
        if row.unit_price is None:
            continue
        is_found = row.kind == RowKind.FOUND
        heading = "Found, from the list that you signed" if is_found else "Option that you take"
        work = {
            "number": "",
            "title": row.title,
            "text": [f"As described in {row.unit_price.document_name.lower()}."],
            "where": "",
            "quantity": in_units(row.quantity, row.unit_price.unit) if is_found else "",
        }
        groups.setdefault(heading, []).append(work)
    return [{"heading": heading, "work": work} for heading, work in groups.items()]


def _rows(rows: Sequence[ChangeRow]) -> list[dict[str, str]]:
    """Return the printed rows of a change; work that is added carries the number that it has in the scope."""
    scope = (RowKind.WORK, RowKind.AT_MOST)
    return [
        {
            "number": f"{position}" if row.kind in scope else "",
            "label": f"{_HEADINGS.get(row.kind, '')}{row.title}",
            "rule": row.rule,
            "price": money(row.price),
        }
        for position, row in enumerate(rows, 1)
    ]


def _tax(priced: PricedChange, rules: ContractRules) -> dict[str, str]:
    if not priced.tax:
        return {}
    base = "on all of it"
    if rules.tax_policy == "materials":
        base = f"on taxable materials, {format_price(priced.tax_base)}"
    return {
        "subtotal": money(priced.subtotal),
        "label": f"Sales tax, {tax_rate_in_words(rules.tax_rate)} {base}",
        "amount": money(priced.tax),
    }


def _contract(contract: Contract, change: Decimal, waiting: Waiting) -> dict[str, Any]:
    """Return the rows that lead from the original contract sum to the one after the change."""
    first, *later = contract.steps
    return {
        "original": _signed_amount(first),
        "earlier": [_signed_amount(step) for step in later],
        "before": money(contract.total),
        "change": money(change),
        "after": money(contract.total + change),
        "waiting": waiting_rows(waiting),
    }


def waiting_rows(waiting: Waiting) -> list[dict[str, str]]:
    """Return the rows of the changes that wait for a signature."""
    return [{"label": name, "price": money(amount)} for name, amount in waiting]


def _signed_amount(step: ContractStep) -> dict[str, str]:
    """Return a step's name and amount, such as "Change order 2, Rot, signed Mon 7 Dec 2026"."""
    return {"label": step.label, "price": money(step.amount)}


def days_in_words(days: int) -> str:
    """Return what a change does to the end: "Adds 2 working days", "The completion date stays as it was"."""
    if not days:
        return "The completion date stays as it was"
    plural = "" if abs(days) == 1 else "s"
    return f"{'Adds' if days > 0 else 'Saves'} {abs(days)} working day{plural}"


def _about_days(days: int) -> str:
    """Return how long the work takes; empty where no hours of the firm's own are in it."""
    return "" if not days else f"about {days} working day{'' if days == 1 else 's'} from the start"


def statement_snapshot(
    estimate: Mapping[str, Any], dated: str, contract: Contract, days: int, waiting: Waiting
) -> dict[str, Any]:
    """Return the statement of a contract: every signed document, with the sum after it.

    `estimate` is the snapshot of the signed estimate, `dated` an ISO date.
    """
    return {
        **{name: estimate[name] for name in _FROM_ESTIMATE_TO_STATEMENT},
        "kind": "contract",
        "title": f"Contract sum to date: {estimate['job']['name']}",
        "first_line": "What was signed, paper by paper, and what it comes to. Nothing unsigned counts.",
        "dated": dated,
        "steps": [_step(step) for step in contract.steps],
        "parts": _parts(estimate, contract.original),
        "original": money(contract.original),
        "changes": money(contract.changes),
        "tax": money(contract.tax),
        "total": money(contract.total),
        "days": _about_days(days),
        "waiting": waiting_rows(waiting),
    }


def _parts(estimate: Mapping[str, Any], original: Decimal) -> list[dict[str, str]]:
    """Return what the original sum is made of, by phase; empty where the estimate shows no phases."""
    parts = phase_sums(estimate)
    if not parts:
        return []
    if estimate["tax"]:
        parts.append((estimate["tax"]["label"], Decimal(estimate["tax"]["amount"])))
    if options := original - Decimal(estimate["total"]):
        parts.append(("Options taken" + (", with their tax" if estimate["tax"] else ""), options))
    return [{"label": label, "price": money(price)} for label, price in parts]


def _step(step: ContractStep) -> dict[str, str]:
    return {**_signed_amount(step), "after": money(step.after)}
