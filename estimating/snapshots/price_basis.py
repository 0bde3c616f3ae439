"""The price basis of an estimate: how its sums came about, for the firm alone and never printed.

It is stored with the document when that is issued, so that a later change is priced from the contract as it
was signed: deleted work at the price it had, an allowance by the markup that was in force.
"""

from collections.abc import Iterable, Mapping
from datetime import date
from fractions import Fraction
from typing import Any

from catalog.assemblies.expansion import Requirement
from catalog.assemblies.packaging import Purchase
from catalog.assemblies.specs import MaterialSpec, OperationSpec
from estimating.plain_text import money
from estimating.pricing.change_terms import ChangeTerms
from estimating.pricing.hidden_conditions import hidden_conditions_for_basis
from estimating.pricing.price import AllowanceInput, Policy, PricedLine
from estimating.snapshots.priced_draft import PricedDraft
from estimating.snapshots.wording import iso_day, last_day
from estimating.takeoff.purchasing import MaterialLine
from estimating.takeoff.takeoff import TakeOff

NO_DATES: Mapping[str, date] = {}


def estimate_basis(draft: PricedDraft, decide_by: Mapping[str, date] = NO_DATES) -> dict[str, Any]:
    """Return the price basis of a draft.

    It has the lines with their keys, prices, hours and costs, the rules that they were priced by, what was to
    be bought at which price and for which lines, and the labor of each line. Sums are "1234.50", shares exact
    fractions ("13/200"), markups as typed ("20 markup"). `decide_by` are last days by the keys of options and
    allowances.
    """
    priced, laid = draft.priced, _laid(draft.take_off)
    return {
        "lines": _lines(priced.lines),
        "options": [
            {**row, "decide_by": iso_day(last_day(line, decide_by))}
            for row, line in zip(_lines(priced.options), priced.options, strict=True)
        ],
        "allowances": [
            {**_allowance(allowance), "decide_by": iso_day(decide_by.get(allowance.key))}
            for allowance in draft.allowances
        ],
        "if_found": hidden_conditions_for_basis(draft.conditions),
        "materials": [
            {
                **_material(line.material, line.purchase),
                **_on_hand(line),
                "required": f"{line.required}",
                **({"laid": True} if line.material.code in laid else {}),
                "by_work": {key: money(cost) for key, cost in line.cost_by_work.items()},
            }
            for line in draft.take_off.materials
            if line.purchase
        ],
        "operations": operations_for_basis(draft.take_off),
        "policy": _policy(draft.policy),
        "change_terms": _change_terms(draft.policy.changes),
        "subtotal": money(priced.subtotal),
        "tax_base": money(priced.tax_base),
        "tax": money(priced.tax),
        "total": money(priced.total),
        "cost": money(priced.cost),
        "hours": money(priced.hours),
        "working_days": priced.working_days,
    }


def _lines(lines: Iterable[PricedLine]) -> list[dict[str, Any]]:
    """Return the rows of priced lines; `parts` are those of an option of several.

    `price` is what the client pays, `taxable` the part of it that is taxable material, `material` the part
    of the cost that is material, with the tax paid at the store.
    """
    return [
        {
            "key": line.key,
            "kind": line.kind,
            "title": line.title,
            "phase": line.phase,
            "price": money(line.client_price),
            "taxable": money(line.taxable_price),
            "hours": money(line.hours),
            "cost": money(line.cost),
            "material": money(line.material_cost + line.material_tax),
            **({"parts": _lines(line.parts)} if line.parts else {}),
        }
        for line in lines
    ]


def operations_for_basis(take_off: TakeOff) -> dict[str, list[dict[str, str]]]:
    """Return the labor of each line by its key: what hours on it are spread over, to learn from them.

    `quantity` is in the operation's own `unit`; `set_up` is the part of the hours that doesn't grow with it.
    """
    return {
        item.work.key: [
            {
                "code": requirement.use.code,
                "name": requirement.use.name,
                "hours": f"{requirement.quantity}",
                "set_up": f"{requirement.calculation.set_up}",
                "quantity": f"{_done(requirement, requirement.use)}",
                "unit": requirement.use.unit,
            }
            for requirement in item.requirements
            if isinstance(requirement.use, OperationSpec) and requirement.quantity
        ]
        for item in take_off.items
        if any(requirement.is_labor and requirement.quantity for requirement in item.requirements)
    }


def _done(requirement: Requirement, operation: OperationSpec) -> Fraction:
    """Return how much of an operation's own unit a requirement is."""
    own = operation.rate.per_unit
    return (requirement.quantity - requirement.calculation.set_up) / own if own else Fraction(0)


def _laid(taken_off: TakeOff) -> frozenset[str]:
    """Return the codes of what is bought as its layout takes it, wholly or in part."""
    rows = (row for item in taken_off.items_in_sum for row in item.requirements if row.laid)
    return frozenset(row.use.code for row in rows)


def _material(material: MaterialSpec, purchase: Purchase) -> dict[str, Any]:
    """Return what was to be bought of a material for the work in the sum; `size` is what a package holds."""
    return {
        "code": material.code,
        "name": material.name,
        "unit": material.unit,
        "taxable": material.taxable,
        "kind": material.kind,
        "cost": money(purchase.cost),
        "packages": [
            {"key": offer.key, "size": f"{offer.size}", "price": money(offer.price), "count": count}
            for offer, count in purchase.counts
        ],
    }


def _on_hand(line: MaterialLine) -> dict[str, Any]:
    """Return what comes from stock, in the material's unit, and what was charged for it; nothing for none."""
    if not line.from_stock:
        return {}
    return {"on_hand": {"amount": f"{line.from_stock}", "cost": money(line.stock_cost)}}


def _allowance(allowance: AllowanceInput) -> dict[str, Any]:
    return {
        "key": allowance.key,
        "name": allowance.name,
        "amount": money(allowance.amount),
        "at_cost": allowance.at_cost,
        "covers_tax": allowance.covers_tax,
    }


def _policy(policy: Policy) -> dict[str, str]:
    return {
        "labour_rate": money(policy.labor_rate),
        "labour": str(policy.labor),
        "material": str(policy.material),
        "equipment": str(policy.equipment),
        "subcontract": str(policy.subcontract),
        "tax_policy": policy.tax_policy,
        "tax_rate": _share(policy.tax_rate),
        "contingency": _share(policy.contingency),
        "contingency_of": policy.contingency_of,
        "minimum_charge": money(policy.minimum_charge),
    }


def _change_terms(terms: ChangeTerms) -> dict[str, str]:
    return {
        "markup": str(terms.markup),
        "fee": money(terms.fee),
        "minimum": money(terms.minimum),
        "keeps": _share(terms.keeps),
    }


def _share(share: Fraction) -> str:
    return f"{share.numerator}/{share.denominator}"
