"""The snapshot of an estimate: everything that it shows, as dicts, lists and strings that JSON can keep.

Nothing of what the work costs the firm goes in: no cost, markup, margin, hourly rate or hours. Sums are
"1234.50", dates ISO; the printed rows sum to the printed total.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from typing import Any

from catalog.assemblies.specs import MaterialSpec
from catalog.measures.units import format_amount
from catalog.money.amounts import format_price
from estimating.boards.description import layout_found
from estimating.contract.cancellation_rule import estimate_notice
from estimating.plain_text import day_in_words, list_in_words, money, nonblank_lines
from estimating.pricing.change_terms import terms_in_words
from estimating.pricing.hidden_conditions import hidden_conditions_for_snapshot
from estimating.pricing.percentages import tax_rate_in_words
from estimating.pricing.price import AllowanceInput, Policy, PricedLine, by_phase
from estimating.snapshots.cabinets import cabinets_for_snapshot
from estimating.snapshots.first_page import plan_for_snapshot, proposed_summary
from estimating.snapshots.priced_draft import PricedDraft
from estimating.snapshots.wording import AllowanceTerms, ClientMaterial, Wording, iso_day, last_day
from estimating.takeoff.cautions import job_cautions
from estimating.takeoff.scope_text import (
    measuring_assumptions,
    places_in_words,
    quantity_in_room,
    quantity_in_words,
    walls_in_words,
)
from estimating.takeoff.work import NO_MONEY, ZERO, ItemQuantities

_ADDED_LATER = ("contingency", "minimum")


def estimate_snapshot(wording: Wording, draft: PricedDraft) -> dict[str, Any]:
    """Return everything that the estimate of this draft shows its client."""
    numbers = _numbers(draft.priced.lines)
    snapshot: dict[str, Any] = {
        "kind": "estimate",
        "paper": wording.paper_size,
        "title": f"Estimate: {wording.job}",
        "first_line": (
            "This paper says what I'll do, what is left out and what it comes to. "
            f"If you agree, sign at the end by {day_in_words(wording.valid_to)}."
        ),
        "firm": wording.firm.for_snapshot(),
        "client": wording.client.for_snapshot(),
        "job": {"name": wording.job, "address": nonblank_lines(wording.address)},
        "dated": wording.dated.isoformat(),
        "valid_to": wording.valid_to.isoformat(),
        "scope": _scope(wording, draft, numbers),
        "client_brings": client_materials(wording.brought, draft.take_off.items_by_key(), wording.metric),
        "not_included": [*_listed(wording.exclusions), *wording.set_aside],
        "left_as_is": _listed(wording.left_as_is),
        "detail": wording.detail,
        "scope_by": wording.scope_by,
        "prices": _prices(wording, draft, numbers),
        "tax": _tax(draft),
        "tax_note": _tax_note(draft.policy),
        "total": money(draft.priced.total),
        "allowances": _allowances(wording, draft),
        "options": _options(wording, draft),
        "if_found": hidden_conditions_for_snapshot(draft.conditions, draft.policy),
        "opened": nonblank_lines(wording.opened),
        "photos": photos_for_snapshot(wording.photos),
        **cabinets_for_snapshot(draft, wording.show_walls, wording.metric),
        "opened_photos": photos_for_snapshot(wording.opened_photos),
        "assumptions": [
            *nonblank_lines(wording.assumptions),
            *measuring_assumptions(draft.take_off.items, wording.metric),
        ],
        "cautions": [
            {"text": caution.text, "work": list_in_words(caution.work) if caution.work else ""}
            for caution in job_cautions(
                wording.year_built, [item.work for item in draft.take_off.items], wording.state
            )
        ],
        "changes": terms_in_words(draft.policy.changes, draft.policy.tax_policy),
        "terms": nonblank_lines(wording.terms),
    }
    snapshot |= _first_page(wording, draft)
    if wording.signing_place:
        snapshot["cancellation"] = estimate_notice(
            wording.signing_place, snapshot["firm"], snapshot["total"], snapshot["options"]
        )
    return snapshot


def _first_page(wording: Wording, draft: PricedDraft) -> dict[str, Any]:
    """Return what the first page says beside the sums: the work in two sentences, the room, the days."""
    days = draft.priced.working_days
    return {
        "summary": nonblank_lines(wording.summary) or list(proposed_summary(wording, draft)),
        "letter": nonblank_lines(wording.letter),
        "on_site": {"days": f"About {days} working day{'' if days == 1 else 's'}"} if days else {},
        **plan_for_snapshot(draft.rooms, wording.metric),
    }


def photos_for_snapshot(photos: Iterable[tuple[str, str]]) -> list[dict[str, str]]:
    """Return the photos of a snapshot, from captions and JPEG in base 64.

    A photo without a caption is called by its number.
    """
    return [
        {"caption": caption or f"Photo {number}", "jpeg": jpeg}
        for number, (caption, jpeg) in enumerate(photos, 1)
    ]


def client_materials(
    brought: Iterable[ClientMaterial], items: Mapping[str, ItemQuantities], metric: bool
) -> list[dict[str, str]]:
    """Return what the client brings: how much is needed, for which work, by when.

    `items` are the work items by their key.
    """
    rows = []
    for material in brought:
        item = items[material.work]
        uses = [
            requirement
            for requirement in item.requirements
            if isinstance(requirement.use, MaterialSpec) and requirement.use.code == material.code
        ]
        needed = sum((requirement.quantity for requirement in uses), ZERO)
        rows.append(
            {
                "name": material.name,
                "quantity": (format_amount(needed, uses[0].unit, metric) if needed else ""),
                "work": item.work.title,
                "needed_by": iso_day(material.needed_by),
            }
        )
    return rows


def _numbers(lines: Iterable[PricedLine]) -> dict[str, str]:
    """Number the work items in the sum, by their key, in the order of the work."""
    keys = [line.key for line in lines if line.kind == "work"]
    return {key: str(number) for number, key in enumerate(keys, 1)}


def _scope(wording: Wording, draft: PricedDraft, numbers: Mapping[str, str]) -> list[dict[str, Any]]:
    """Describe the work in the sum, under its phases or its rooms."""
    items_by_key = draft.take_off.items_by_key()
    items = [items_by_key[key] for key in numbers]
    if wording.scope_by == "room":
        return _scope_by_room(wording, draft, items, numbers)
    groups: dict[str, list[dict[str, Any]]] = {}
    for item in items:
        where = places_in_words(item.work.rooms, draft.rooms)
        quantity = quantity_in_words(item, draft.conventions, wording.metric)
        heading = wording.phases.get(item.work.phase, item.work.phase)
        groups.setdefault(heading, []).append(
            _scope_row(item, numbers, where, quantity, _said(item, wording.metric))
        )
    return [{"heading": heading, "work": rows} for heading, rows in groups.items()]


def _scope_by_room(
    wording: Wording, draft: PricedDraft, items: list[ItemQuantities], numbers: Mapping[str, str]
) -> list[dict[str, Any]]:
    """Describe the work under its rooms, in their order; then the work that is in no room."""
    groups: dict[str, list[dict[str, Any]]] = {key: [] for key in draft.rooms}
    whole_job = []
    for item in items:
        for use in item.work.rooms:
            quantity = quantity_in_room(
                item, use, draft.take_off.use_measures, draft.conventions, wording.metric
            )
            found = _said(item, wording.metric, use.room)
            groups[use.room].append(_scope_row(item, numbers, walls_in_words(use), quantity, found))
        if not item.work.rooms:
            quantity = quantity_in_words(item, draft.conventions, wording.metric)
            whole_job.append(_scope_row(item, numbers, "", quantity, _said(item, wording.metric)))
    named = [{"heading": draft.rooms[key].name, "work": rows} for key, rows in groups.items() if rows]
    return [*named, *([{"heading": "The whole job", "work": whole_job}] if whole_job else [])]


def _said(item: ItemQuantities, metric: bool, room: str | None = None) -> list[str]:
    """Return the scope of the work, with what the layouts of its tile and boards keep, in one room or all."""
    bought = [layout for layout in item.board_layouts if layout.shared]
    words = layout_found((layout for layout in bought if room in (None, layout.request.room)), metric)
    return [*nonblank_lines(item.scope(metric)), *([words] if words else [])]


def _scope_row(
    item: ItemQuantities, numbers: Mapping[str, str], where: str, quantity: str, text: Sequence[str]
) -> dict[str, Any]:
    return {
        "number": numbers[item.work.key],
        "title": item.work.title,
        "text": list(text),
        "where": where,
        "quantity": quantity,
    }


def _listed(text: str) -> list[str]:
    """Return the lines of a text as parts of one list, which the paper ends with a full stop."""
    return [line.removesuffix(".") for line in nonblank_lines(text)]


def _prices(wording: Wording, draft: PricedDraft, numbers: Mapping[str, str]) -> list[dict[str, str]]:
    """Return the rows of the price: one for everything, one a phase, or one a line.

    They sum to the subtotal.
    """
    priced, rooms = draft.priced, _rooms_of_repeated_titles(draft)
    shown = [line for line in priced.lines if line.kind != "trips" or line.client_price]
    body = [line for line in shown if line.kind not in _ADDED_LATER]
    rest = [line for line in shown if line.kind in _ADDED_LATER]
    if wording.detail == "line":
        rows = [
            {
                **_price_row(
                    _title(line) + rooms.get(line.key, ""), line.client_price, numbers.get(line.key, "")
                ),
                "phase": wording.phases.get(line.phase, line.phase),
            }
            for line in body
        ]
    elif wording.detail == "phase":
        rows = [
            _price_row(wording.phases.get(phase, phase), amount) for phase, amount in by_phase(body).items()
        ]
    else:
        whole = sum((line.client_price for line in body), NO_MONEY)
        rows = [_price_row("All the work above", whole)] if body else []
    last = {"phase": rows[-1]["phase"]} if rows and "phase" in rows[-1] else {}
    return [*rows, *({**_price_row(line.title, line.client_price), **last} for line in rest)]


def _rooms_of_repeated_titles(draft: PricedDraft) -> dict[str, str]:
    """Name the rooms of work whose title other work has too, by its key: they tell the rows apart."""
    works = [item.work for item in draft.take_off.items_in_sum]
    titles = Counter(work.title for work in works)
    return {
        work.key: f", {list_in_words([draft.rooms[use.room].name for use in work.rooms])}"
        for work in works
        if titles[work.title] > 1 and work.rooms
    }


def _title(line: PricedLine) -> str:
    return f"Allowance: {line.title}" if line.kind == "allowance" else line.title


def _price_row(label: str, price: Decimal, number: str = "") -> dict[str, str]:
    return {"number": number, "label": label, "price": money(price)}


def _tax(draft: PricedDraft) -> dict[str, str]:
    """Return the tax charged to the client, with the subtotal that it comes on top of; empty without any."""
    priced, policy = draft.priced, draft.policy
    if not priced.tax:
        return {}
    base = "on all of it"
    if policy.tax_policy == "materials":
        base = f"on taxable materials, {format_price(priced.tax_base)}"
    return {
        "subtotal": money(priced.subtotal),
        "label": f"Sales tax, {tax_rate_in_words(policy.tax_rate)} {base}",
        "amount": money(priced.tax),
    }


def _tax_note(policy: Policy) -> str:
    if policy.tax_policy == "consumer" and policy.tax_rate:
        return "Sales tax on materials is inside the price. Nothing is added to it."
    return ""


def _allowances(wording: Wording, draft: PricedDraft) -> list[dict[str, str]]:
    sums = {line.key: line.client_price for line in draft.priced.lines}
    rows = []
    for allowance in draft.allowances:
        terms = wording.allowances.get(allowance.key, AllowanceTerms())
        inside, outside = _covered(allowance, terms, draft.policy)
        rows.append(
            {
                "name": allowance.name,
                "price": money(sums[allowance.key]),
                "inside": list_in_words(inside),
                "outside": list_in_words(outside),
                "decide_by": iso_day(terms.decide_by),
            }
        )
    return rows


def _covered(allowance: AllowanceInput, terms: AllowanceTerms, policy: Policy) -> tuple[list[str], list[str]]:
    """Return what is inside the sum of an allowance, and what isn't."""
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


def _options(wording: Wording, draft: PricedDraft) -> list[dict[str, Any]]:
    taxed = draft.policy.tax_policy in ("materials", "everything") and draft.policy.tax_rate
    return [
        {
            "title": line.title,
            **(
                {"text": [], "where": "", "quantity": "", "parts": _option_parts(wording, draft, line)}
                if line.parts
                else _option_work(wording, draft, line)
            ),
            "price": money(line.client_price),
            "tax": "plus sales tax" if taxed else "",
            "decide_by": iso_day(last_day(line, wording.decide_by)),
        }
        for line in draft.priced.options
    ]


def _option_parts(wording: Wording, draft: PricedDraft, option: PricedLine) -> list[dict[str, Any]]:
    """Describe the lines of an option; it is taken as a whole, so they have no price of their own."""
    return [{"title": part.title, **_option_work(wording, draft, part)} for part in option.parts]


def _option_work(wording: Wording, draft: PricedDraft, line: PricedLine) -> dict[str, Any]:
    item = draft.take_off.items_by_key()[line.key]
    return {
        "text": _said(item, wording.metric),
        "where": places_in_words(item.work.rooms, draft.rooms),
        "quantity": quantity_in_words(item, draft.conventions, wording.metric),
    }
