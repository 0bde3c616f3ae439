"""A priced draft as plain values for JSON: quantities as text with their unit, money as "1234.50"."""

from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction
from typing import Any

from catalog.assemblies.expansion import MaterialSpec, Requirement
from catalog.measures.room_measures import MEASURES, MeasureSet
from catalog.measures.units import format_percent, format_quantity
from estimating.estimates.draft import Draft
from estimating.plain_text import money
from estimating.pricing.price import Line, by_phase
from estimating.takeoff.takeoff import NO_MONEY, Conventions, MaterialLine, Taken


def answer(draft: Draft, metric: bool = False) -> dict[str, Any]:
    """The whole way from the rooms to the total, in the order in which it is worked out."""
    taken, priced = draft.take_off, draft.priced
    return {
        "problems": list(taken.problems),
        "rooms": [
            {
                "room": draft.rooms[key].name,
                "measures": _measures(measured, draft.conventions, metric),
            }
            for key, measured in taken.room_measures.items()
        ],
        "work": [_work(each, metric) for each in taken.taken],
        "materials": [_material(each, metric) for each in taken.materials],
        "trips": {
            "supply_runs": priced.trips.runs,
            "visits_forced": priced.trips.visits_forced,
            "return_visits": priced.trips.extra_visits,
            "hours": _hours(priced.trips.hours),
        },
        "lines": [_line(each) for each in priced.lines],
        "options": [_line(each) for each in priced.options],
        "phases": {phase: money(amount) for phase, amount in by_phase(priced.lines).items()},
        "totals": {
            "hours": _hours(priced.hours),
            "working_days": priced.working_days,
            "labour": _sum(each.labor_cost for each in priced.lines),
            "material": _sum(each.material_cost for each in priced.lines),
            "equipment": _sum(each.equipment_cost for each in priced.lines),
            "subcontract": _sum(each.bought.subcontract for each in priced.lines),
            "tax_paid_at_the_store": _sum(each.store_tax for each in priced.lines),
            "cost": money(priced.cost),
            "contingency": money(priced.contingency),
            "subtotal": money(priced.subtotal),
            "profit": money(priced.profit),
            "margin": format_percent(priced.margin),
            "tax_policy": draft.policy.tax_policy,
            "taxed_at_the_total": money(priced.tax_base),
            "tax": money(priced.tax),
            "total": money(priced.total),
        },
    }


def _measures(measured: MeasureSet, conventions: Conventions, metric: bool) -> dict[str, str]:
    return {
        code: format_quantity(measured.amount(code, conventions.deduct), measure.unit, metric)
        for code, measure in MEASURES.items()
        if measured.has(code)
    }


def _work(taken: Taken, metric: bool) -> dict[str, Any]:
    work = taken.work
    return {
        "key": work.key,
        "title": work.title,
        "assembly": work.assembly.code if work.assembly else None,
        "phase": work.phase,
        "option": work.is_option,
        "problem": taken.problem,
        "hours": _hours(taken.hours),
        "requirements": [_requirement(each, work.client_supplies, metric) for each in taken.requirements],
    }


def _requirement(required: Requirement, brought: frozenset[str], metric: bool) -> dict[str, Any]:
    return {
        "what": required.use.name,
        "code": required.use.code,
        "kind": required.use.kind if isinstance(required.use, MaterialSpec) else "labour",
        "quantity": format_quantity(required.quantity, required.unit, metric),
        "arithmetic": required.in_words(metric),
        "path": list(required.path),
        "source": required.source or getattr(required.use, "source", ""),
        "client_supplies": required.use.code in brought,
    }


def _material(line: MaterialLine, metric: bool) -> dict[str, Any]:
    unit, purchase = line.material.unit, line.purchase
    packages = purchase.counts if purchase else ()
    return {
        "material": line.material.name,
        "code": line.material.code,
        "kind": line.material.kind,
        "required": format_quantity(line.required, unit, metric),
        "by_work": {key: format_quantity(amount, unit, metric) for key, amount in line.by_work.items()},
        "packages": [
            {"count": count, "holds": format_quantity(offer.size, unit, metric), "price": money(offer.price)}
            for offer, count in packages
        ],
        "bought": format_quantity(purchase.bought, unit, metric) if purchase else None,
        "left_over": format_quantity(purchase.left_over, unit, metric) if purchase else None,
        "sticks": [stick.in_words(metric) for stick in line.cuts.sticks] if line.cuts else [],
        "why": line.why_sticks(metric),
        "cost": money(purchase.cost) if purchase else None,
        "cost_by_work": {key: money(cost) for key, cost in line.cost_by_work.items()},
        "problem": line.problem,
    }


def _line(line: Line) -> dict[str, str]:
    return {
        "key": line.key,
        "kind": line.kind,
        "title": line.title,
        "phase": line.phase,
        "hours": _hours(line.hours),
        "labour": money(line.labor_cost),
        "material": money(line.material_cost),
        "equipment": money(line.equipment_cost),
        "subcontract": money(line.bought.subcontract),
        "tax_paid_at_the_store": money(line.store_tax),
        "cost": money(line.cost),
        "price": money(line.price),
        "client_sees": money(line.client_price),
    }


def _hours(amount: Fraction | Decimal) -> str:
    return format_quantity(Fraction(amount), "hour")


def _sum(amounts: Iterable[Decimal]) -> str:
    return money(sum(amounts, NO_MONEY))
