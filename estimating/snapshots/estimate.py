"""Everything that an estimate's paper shows, as plain text: dicts, lists and strings that JSON can keep.

Nothing of what the work costs the firm goes in: no cost, markup, margin, hourly rate or hours. Sums are
"1234.50", dates ISO; the printed rows sum to the printed total.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any, Protocol

from catalog.assemblies.expansion import MaterialSpec
from catalog.measures.units import format_quantity, half_up
from catalog.money.amounts import format_price
from estimating.plain_text import day_in_words, in_a_row, lines_of, money
from estimating.pricing.change_terms import terms_in_words
from estimating.pricing.hidden_conditions import Condition, found_on_paper
from estimating.pricing.price import NO_MONEY, AllowanceInput, Line, Policy, PricedEstimate, by_phase
from estimating.rooms.measures import RoomPlan
from estimating.snapshots.wording import AllowanceTerms, Brought, Party, Wording
from estimating.takeoff.cautions import job_cautions
from estimating.takeoff.scope_text import (
    measuring_assumptions,
    place_in_words,
    quantity_in_room,
    quantity_in_words,
    walls_in_words,
)
from estimating.takeoff.takeoff import ZERO, Conventions, Taken, TakeOff

_ADDED_LATER = ("contingency", "minimum")


class WorkedOut(Protocol):
    """A draft as the rules left it: what went in, and what it comes to."""

    @property
    def rooms(self) -> Mapping[str, RoomPlan]: ...
    @property
    def policy(self) -> Policy: ...
    @property
    def conventions(self) -> Conventions: ...
    @property
    def allowances(self) -> Sequence[AllowanceInput]: ...
    @property
    def conditions(self) -> Sequence[Condition]: ...
    @property
    def take_off(self) -> TakeOff: ...
    @property
    def priced(self) -> PricedEstimate: ...


def what_is_missing(draft: WorkedOut) -> tuple[str, ...]:
    """Why no paper can be made of this draft yet, in plain sentences; empty when one can."""
    if not draft.take_off.taken and not draft.allowances:
        return ("There is no work in the estimate yet.",)
    unpriced = (each.problem for each in draft.conditions if each.problem)
    return (*draft.take_off.problems, *unpriced)


def estimate_snapshot(wording: Wording, draft: WorkedOut) -> dict[str, Any]:
    """Everything that the client's paper of this draft shows."""
    priced = draft.priced
    numbers = _numbers(priced.lines)
    return {
        "kind": "estimate",
        "paper": wording.paper_size,
        "title": f"Estimate: {wording.job}",
        "first_line": (
            "This paper says what I'll do, what is left out and what it comes to. "
            f"If you agree, sign at the end by {day_in_words(wording.valid_to)}."
        ),
        "firm": party(wording.firm),
        "client": party(wording.client),
        "job": {"name": wording.job, "address": lines_of(wording.address)},
        "dated": wording.dated.isoformat(),
        "valid_to": wording.valid_to.isoformat(),
        "scope": _scope(wording, draft, numbers),
        "client_brings": client_brings(wording.brought, draft.take_off.taken, wording.metric),
        "not_included": [*lines_of(wording.exclusions), *wording.set_aside],
        "left_as_is": lines_of(wording.left_as_is),
        "detail": wording.detail,
        "prices": _prices(wording, draft, numbers),
        "tax": _tax(draft),
        "tax_note": _tax_note(draft.policy),
        "total": money(priced.total),
        "allowances": _allowances(wording, draft),
        "options": _options(wording, draft),
        "if_found": found_on_paper(draft.conditions, draft.policy),
        "opened": lines_of(wording.opened),
        "opened_photos": photos_on_paper(wording.opened_photos),
        "assumptions": [
            *lines_of(wording.assumptions),
            *measuring_assumptions(draft.take_off.taken, wording.metric),
        ],
        "cautions": [
            {"text": each.text, "work": in_a_row(list(each.work)) if each.work else ""}
            for each in job_cautions(wording.year_built, [each.work for each in draft.take_off.taken])
        ],
        "changes": terms_in_words(draft.policy.changes, draft.policy.tax_policy),
        "terms": lines_of(wording.terms),
    }


def party(of: Party) -> dict[str, Any]:
    return {
        "name": of.name,
        "owner": of.owner,
        "licence": of.license,
        "address": lines_of(of.address),
        "phone": of.phone,
        "email": of.email,
    }


def photos_on_paper(photos: Iterable[tuple[str, str]]) -> list[dict[str, str]]:
    """Captions with JPEG in base 64; a photo without one is called by its number."""
    return [
        {"caption": caption or f"Photo {number}", "jpeg": jpeg}
        for number, (caption, jpeg) in enumerate(photos, 1)
    ]


def client_brings(brought: Iterable[Brought], taken: Iterable[Taken], metric: bool) -> list[dict[str, str]]:
    """What the client brings: how much is needed, for which work, by when."""
    works = {each.work.key: each for each in taken}
    rows = []
    for each in brought:
        one = works[each.work]
        uses = [
            use for use in one.requirements if isinstance(use.use, MaterialSpec) and use.use.code == each.code
        ]
        needed = sum((use.quantity for use in uses), ZERO)
        rows.append(
            {
                "name": each.name,
                "quantity": format_quantity(needed, uses[0].unit, metric) if needed else "",
                "work": one.work.title,
                "needed_by": _iso(each.needed_by),
            }
        )
    return rows


def _iso(day: date | None) -> str:
    return day.isoformat() if day else ""


def _numbers(lines: Iterable[Line]) -> dict[str, str]:
    """Numbers of the work items in the sum, in the order of the work."""
    keys = [line.key for line in lines if line.kind == "work"]
    return {key: str(number) for number, key in enumerate(keys, 1)}


def _scope(wording: Wording, draft: WorkedOut, numbers: Mapping[str, str]) -> list[dict[str, Any]]:
    taken = {each.work.key: each for each in draft.take_off.taken}
    works = [taken[key] for key in numbers]
    if wording.scope_by == "room":
        return _scope_by_room(wording, draft, works, numbers)
    groups: dict[str, list[dict[str, Any]]] = {}
    for one in works:
        where = "; ".join(place_in_words(use, draft.rooms) for use in one.work.rooms)
        quantity = quantity_in_words(one, draft.conventions, wording.metric)
        heading = wording.phases.get(one.work.phase, one.work.phase)
        groups.setdefault(heading, []).append(_item(one, numbers, where, quantity))
    return [{"heading": heading, "work": items} for heading, items in groups.items()]


def _scope_by_room(
    wording: Wording, draft: WorkedOut, works: list[Taken], numbers: Mapping[str, str]
) -> list[dict[str, Any]]:
    """Rooms in their order, each with the work done in it; then the work that is in no room."""
    groups: dict[str, list[dict[str, Any]]] = {key: [] for key in draft.rooms}
    whole_job = []
    for one in works:
        for use in one.work.rooms:
            plan = draft.rooms[use.room]
            walls = walls_in_words(use)
            quantity = quantity_in_room(one, use, plan, draft.conventions, wording.metric)
            groups[use.room].append(_item(one, numbers, walls, quantity))
        if not one.work.rooms:
            quantity = quantity_in_words(one, draft.conventions, wording.metric)
            whole_job.append(_item(one, numbers, "", quantity))
    named = [{"heading": draft.rooms[key].name, "work": items} for key, items in groups.items() if items]
    return [*named, *([{"heading": "The whole job", "work": whole_job}] if whole_job else [])]


def _item(one: Taken, numbers: Mapping[str, str], where: str, quantity: str) -> dict[str, Any]:
    return {
        "number": numbers[one.work.key],
        "title": one.work.title,
        "text": lines_of(one.work.scope),
        "where": where,
        "quantity": quantity,
    }


def _prices(wording: Wording, draft: WorkedOut, numbers: Mapping[str, str]) -> list[dict[str, str]]:
    """The rows of the price: one for everything, one a phase, or one a line. They sum to the subtotal."""
    priced, places = draft.priced, _places_of_repeated(draft)
    body = [line for line in priced.lines if line.kind not in _ADDED_LATER]
    rest = [line for line in priced.lines if line.kind in _ADDED_LATER]
    if wording.detail == "line":
        rows = [
            _row(_title(line) + places.get(line.key, ""), line.client_price, numbers.get(line.key, ""))
            for line in body
        ]
    elif wording.detail == "phase":
        rows = [_row(wording.phases.get(phase, phase), sum_) for phase, sum_ in by_phase(body).items()]
    else:
        whole = sum((line.client_price for line in body), NO_MONEY)
        rows = [_row("All the work above", whole)] if body else []
    return [*rows, *(_row(line.title, line.client_price) for line in rest)]


def _places_of_repeated(draft: WorkedOut) -> dict[str, str]:
    """The rooms of work whose title is that of other work too, by its key: they tell the rows apart."""
    works = [each.work for each in draft.take_off.taken if not each.work.is_option]
    titles = Counter(each.title for each in works)
    return {
        each.key: f", {in_a_row([draft.rooms[use.room].name for use in each.rooms])}"
        for each in works
        if titles[each.title] > 1 and each.rooms
    }


def _title(line: Line) -> str:
    return f"Allowance: {line.title}" if line.kind == "allowance" else line.title


def _row(label: str, price: Decimal, number: str = "") -> dict[str, str]:
    return {"number": number, "label": label, "price": money(price)}


def _tax(draft: WorkedOut) -> dict[str, str]:
    """The tax charged to the client, with the subtotal that it comes on top of; empty without any."""
    priced, policy = draft.priced, draft.policy
    if not priced.tax:
        return {}
    on = "on all of it"
    if policy.tax_policy == "materials":
        on = f"on taxable materials, {format_price(priced.tax_base)}"
    return {
        "subtotal": money(priced.subtotal),
        "label": f"Sales tax, {tax_rate_in_words(policy.tax_rate)} {on}",
        "amount": money(priced.tax),
    }


def tax_rate_in_words(rate: Fraction) -> str:
    """A tax rate with all the decimals that it has: "6.875%". Four are the most that a rate is typed with;
    New Mexico's have as many, such as 8.1875 % (its gross receipts tax rate schedules, 2022)."""
    shown = Decimal(half_up(rate * 1_000_000)).scaleb(-4)
    return f"{shown:f}".rstrip("0").rstrip(".") + "%"


def _tax_note(policy: Policy) -> str:
    if policy.tax_policy == "consumer" and policy.tax_rate:
        return "Sales tax on materials is inside the price. Nothing is added to it."
    return ""


def _allowances(wording: Wording, draft: WorkedOut) -> list[dict[str, str]]:
    sums = {line.key: line.client_price for line in draft.priced.lines}
    rows = []
    for each in draft.allowances:
        terms = wording.allowances.get(each.key, AllowanceTerms())
        inside, outside = _covered(each, terms, draft.policy)
        rows.append(
            {
                "name": each.name,
                "price": money(sums[each.key]),
                "inside": in_a_row(inside),
                "outside": in_a_row(outside),
                "decide_by": _iso(terms.decide_by),
            }
        )
    return rows


def _covered(allowance: AllowanceInput, terms: AllowanceTerms, policy: Policy) -> tuple[list[str], list[str]]:
    """What is inside the sum of an allowance, and what isn't."""
    parts = [
        ("the material", True),
        ("delivery", terms.covers_delivery),
        ("the work to set it", terms.covers_labor),
    ]
    if policy.tax_policy == "consumer":
        parts.append(("sales tax", allowance.covers_tax))
    elif policy.tax_policy != "none":
        parts.append(("sales tax, which is added at the total", False))
    parts.append(("my markup", True))
    return [words for words, is_in in parts if is_in], [words for words, is_in in parts if not is_in]


def _options(wording: Wording, draft: WorkedOut) -> list[dict[str, Any]]:
    taxed = draft.policy.tax_policy in ("materials", "everything") and draft.policy.tax_rate
    taken = {each.work.key: each for each in draft.take_off.taken}
    return [
        {
            "title": line.title,
            "text": lines_of(line.scope),
            "where": "; ".join(place_in_words(use, draft.rooms) for use in taken[line.key].work.rooms),
            "quantity": quantity_in_words(taken[line.key], draft.conventions, wording.metric),
            "price": money(line.client_price),
            "tax": "plus sales tax" if taxed else "",
            "decide_by": _iso(wording.decide_by.get(line.key)),
        }
        for line in draft.priced.options
    ]
