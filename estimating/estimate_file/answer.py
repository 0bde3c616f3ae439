"""The answer of `manage.py estimate`: a priced draft as plain values for JSON.

Quantities are text with their unit, money is "1234.50".
"""

from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction
from typing import Any

from catalog.assemblies.expansion import Requirement
from catalog.assemblies.specs import MaterialSpec
from catalog.measures.room_measures import MEASURES, MeasureSet
from catalog.measures.units import format_percent, format_quantity
from estimating.estimates.draft import Draft
from estimating.plain_text import money
from estimating.pricing.price import PricedLine, by_phase
from estimating.takeoff.purchasing import MaterialLine
from estimating.takeoff.work import NO_MONEY, Conventions, ItemQuantities


def answer(draft: Draft, metric: bool = False) -> dict[str, Any]:
    """Return the whole way from the rooms to the total, in the order in which it is computed."""
    take_off, priced = draft.take_off, draft.priced
    return {
        "problems": list(take_off.problems),
        "rooms": [
            {
                "room": draft.rooms[key].name,
                "measures": _measures(measures, draft.conventions, metric),
            }
            for key, measures in take_off.room_measures.items()
        ],
        "work": [_work(item, metric) for item in take_off.items],
        "materials": [_material(line, metric) for line in take_off.materials],
        "trips": {
            "supply_runs": priced.trips.runs,
            "visits_forced": priced.trips.planned_days,
            "return_visits": f"{priced.trips.extra_visits}",
            "hours": _hours(priced.trips.hours),
        },
        "lines": [_line(line) for line in priced.lines],
        "options": [
            {**_line(line), **({"parts": [_line(part) for part in line.parts]} if line.parts else {})}
            for line in priced.options
        ],
        "phases": {phase: money(amount) for phase, amount in by_phase(priced.lines).items()},
        "totals": {
            "hours": _hours(priced.hours),
            "working_days": priced.working_days,
            "labour": _sum(line.labor_cost for line in priced.lines),
            "material": _sum(line.material_cost for line in priced.lines),
            "equipment": _sum(line.equipment_cost for line in priced.lines),
            "subcontract": _sum(line.purchase_costs.subcontract for line in priced.lines),
            "tax_paid_at_the_store": _sum(line.store_tax for line in priced.lines),
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


def _measures(measures: MeasureSet, conventions: Conventions, metric: bool) -> dict[str, str]:
    return {
        code: format_quantity(measures.amount(code, conventions.deduct), measure.unit, metric)
        for code, measure in MEASURES.items()
        if measures.has(code)
    }


def _work(item: ItemQuantities, metric: bool) -> dict[str, Any]:
    work = item.work
    return {
        "key": work.key,
        "title": work.title,
        "assembly": work.assembly.code if work.assembly else None,
        "phase": work.phase,
        "option": work.is_option,
        "problem": item.problem,
        "hours": _hours(item.hours),
        "requirements": [
            _requirement(requirement, work.client_supplies, metric) for requirement in item.requirements
        ],
    }


def _requirement(requirement: Requirement, client_supplies: frozenset[str], metric: bool) -> dict[str, Any]:
    used = requirement.use
    return {
        "what": used.name,
        "code": used.code,
        "kind": used.kind if isinstance(used, MaterialSpec) else "labour",
        "quantity": format_quantity(requirement.quantity, requirement.unit, metric),
        "arithmetic": requirement.in_words(metric),
        "path": list(requirement.path),
        "source": requirement.rate_source,
        "client_supplies": used.code in client_supplies,
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
        "from_stock": format_quantity(line.from_stock, unit, metric) if line.from_stock else None,
        "left_over": format_quantity(purchase.left_over, unit, metric) if purchase else None,
        "sticks": [stick.in_words(metric) for stick in line.cuts.sticks] if line.cuts else [],
        "why": line.why_sticks(metric),
        "cost": money(line.cost) if line.cost is not None else None,
        "cost_by_work": {key: money(cost) for key, cost in line.cost_by_work.items()},
        "problem": line.problem,
    }


def _line(line: PricedLine) -> dict[str, str]:
    return {
        "key": line.key,
        "kind": line.kind,
        "title": line.title,
        "phase": line.phase,
        "hours": _hours(line.hours),
        "labour": money(line.labor_cost),
        "material": money(line.material_cost),
        "equipment": money(line.equipment_cost),
        "subcontract": money(line.purchase_costs.subcontract),
        "tax_paid_at_the_store": money(line.store_tax),
        "cost": money(line.cost),
        "price": money(line.price),
        "client_sees": money(line.client_price),
    }


def _hours(amount: Fraction | Decimal) -> str:
    return format_quantity(Fraction(amount), "hour")


def _sum(amounts: Iterable[Decimal]) -> str:
    return money(sum(amounts, NO_MONEY))
