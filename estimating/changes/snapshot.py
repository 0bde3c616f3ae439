"""Everything that a change order's paper shows, as plain text that JSON can keep; and the statement of a
contract. Photos are in it as JPEG, so that the paper depends on its snapshot alone."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from catalog.money.amounts import format_price
from estimating.changes.price import ChangeRow, PricedChange
from estimating.contract.contract_sum import Contract, Signed, Step
from estimating.contract.lines import ContractRules
from estimating.plain_text import day_in_words, lines_of, money
from estimating.snapshots.estimate import photos_on_paper, tax_rate_in_words

REASONS = {
    "client": "You asked for it",
    "hidden": "Something hidden was found",
    "design": "The design changed",
    "code": "The code requires it",
    "ours": "The error is ours",
}
# What a change order takes over as an estimate says it.
_TAKEN_OVER = (
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


@dataclass(frozen=True)
class ChangeWords:
    """What a change order says beside work and sums. `photos` are captions with JPEG in base 64; `days` are
    working days that it adds, below zero those that it saves."""

    about: str
    reason: str
    found: str = ""
    asked_by: str = ""
    photos: Sequence[tuple[str, str]] = ()
    days: int = 0
    days_before: int = 0
    payment: str = ""


def change_snapshot(
    estimate: Mapping[str, Any],
    words: ChangeWords,
    priced: PricedChange,
    rules: ContractRules,
    contract: Contract,
    waiting: Sequence[tuple[str, Decimal]],
) -> dict[str, Any]:
    """The paper of a change. `estimate` is the snapshot of the work that it adds, `waiting` the changes
    that were issued and aren't signed."""
    return {
        **{name: estimate[name] for name in _TAKEN_OVER},
        "kind": "change_order",
        "title": f"Change order: {estimate['job']['name']}",
        "first_line": (
            "This paper changes what we agreed: why, by what, and to which sum. "
            "Its work starts once you have signed."
        ),
        "about": words.about,
        "reason": REASONS[words.reason],
        "found": lines_of(words.found),
        "asked_by": words.asked_by,
        "photos": photos_on_paper(words.photos),
        "prices": _rows(priced.rows),
        "tax": _tax(priced, rules),
        "total": money(priced.total),
        "contract": _contract(contract, priced.total, waiting),
        "days": days_in_words(words.days),
        "days_before": _about_days(words.days_before),
        "days_after": _about_days(words.days_before + words.days),
        "payment": words.payment,
    }


def _rows(rows: Sequence[ChangeRow]) -> list[dict[str, str]]:
    """Work that is added carries the number that it has in the scope."""
    numbers = {row.key: f"{place}" for place, row in enumerate(rows, 1) if row.kind in ("work", "at_most")}
    heads = {
        "taken_out": "Taken out: ",
        "brought": "You bring: ",
        "choice": "Chosen: ",
        "found": "Found: ",
        "option": "Option taken: ",
    }
    return [
        {
            "number": numbers.get(row.key, ""),
            "label": f"{heads.get(row.kind, '')}{row.title}",
            "rule": row.rule,
            "price": money(row.price),
        }
        for row in rows
    ]


def _tax(priced: PricedChange, rules: ContractRules) -> dict[str, str]:
    if not priced.tax:
        return {}
    on = "on all of it"
    if rules.tax_policy == "materials":
        on = f"on taxable materials, {format_price(priced.tax_base)}"
    return {
        "subtotal": money(priced.subtotal),
        "label": f"Sales tax, {tax_rate_in_words(rules.tax_rate)} {on}",
        "amount": money(priced.tax),
    }


def _contract(contract: Contract, change: Decimal, waiting: Sequence[tuple[str, Decimal]]) -> dict[str, Any]:
    first, *rest = contract.steps
    return {
        "original": {"label": _signed_words(first.signed), "price": money(first.signed.amount)},
        "earlier": [
            {"label": _signed_words(step.signed), "price": money(step.signed.amount)} for step in rest
        ],
        "before": money(contract.total),
        "change": money(change),
        "after": money(contract.total + change),
        "waiting": [{"label": name, "price": money(amount)} for name, amount in waiting],
    }


def _signed_words(signed: Signed) -> str:
    name = "Estimate" if signed.kind == "estimate" else "Change order"
    about = f", {signed.about}" if signed.about else ""
    return f"{name} {signed.number}{about}, signed {day_in_words(signed.signed_on)}"


def days_in_words(days: int) -> str:
    """ "Adds 2 working days", "Saves 1 working day", "The finish stays as it was"."""
    if not days:
        return "The finish stays as it was"
    many = "" if abs(days) == 1 else "s"
    return f"{'Adds' if days > 0 else 'Saves'} {abs(days)} working day{many}"


def _about_days(days: int) -> str:
    return f"about {days} working day{'' if days == 1 else 's'} from the start"


def statement_snapshot(
    paper: Mapping[str, Any],
    dated: str,
    contract: Contract,
    days: int,
    waiting: Sequence[tuple[str, Decimal]],
) -> dict[str, Any]:
    """The statement of a contract: every signed paper, with the sum after it. `paper` is the snapshot of
    the signed estimate, from which parties and job are taken."""
    return {
        **{name: paper[name] for name in ("paper", "firm", "client", "job")},
        "kind": "contract",
        "title": f"Contract sum to date: {paper['job']['name']}",
        "first_line": "What was signed, paper by paper, and what it comes to. Nothing unsigned counts.",
        "dated": dated,
        "steps": [_step(step) for step in contract.steps],
        "original": money(contract.original),
        "changes": money(contract.changes),
        "total": money(contract.total),
        "days": _about_days(days),
        "waiting": [{"label": name, "price": money(amount)} for name, amount in waiting],
    }


def _step(step: Step) -> dict[str, str]:
    return {
        "label": _signed_words(step.signed),
        "price": money(step.signed.amount),
        "after": money(step.after),
    }
