"""What stands behind the sums of an estimate's paper, for the firm alone and never printed.

Kept with the paper when it is issued, so that a later change is reckoned from the contract as it was
signed: work taken out at the price it had, an allowance by the markup that was in force.
"""

from collections.abc import Iterable, Mapping
from datetime import date
from fractions import Fraction
from typing import Any

from estimating.plain_text import money
from estimating.pricing.change_terms import ChangeTerms
from estimating.pricing.hidden_conditions import found_in_basis
from estimating.pricing.price import AllowanceInput, Line, Policy
from estimating.snapshots.estimate import WorkedOut
from estimating.takeoff.takeoff import MaterialLine

NO_DATES: Mapping[str, date] = {}


def estimate_basis(draft: WorkedOut, decide_by: Mapping[str, date] = NO_DATES) -> dict[str, Any]:
    """The lines with their keys, prices, hours and costs, the rules they were priced by, and what was to be
    bought at which price. Sums are "1234.50", shares exact fractions ("13/200"), markups as typed
    ("20 markup"). `decide_by` are last days by the keys of options and allowances."""
    priced = draft.priced
    return {
        "lines": _lines(priced.lines),
        "options": _dated(_lines(priced.options), decide_by),
        "allowances": _dated([_allowance(each) for each in draft.allowances], decide_by),
        "if_found": found_in_basis(draft.conditions),
        "materials": [_material(each) for each in draft.take_off.materials if each.purchase],
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


def _lines(lines: Iterable[Line]) -> list[dict[str, str]]:
    """`price` is what the client pays; `taxable` the part of it that is taxable material; `material` the
    part of the cost that is material, with the tax paid at the store."""
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
        }
        for line in lines
    ]


def _dated(rows: list[dict[str, Any]], decide_by: Mapping[str, date]) -> list[dict[str, Any]]:
    days = {key: day.isoformat() for key, day in decide_by.items()}
    return [{**row, "decide_by": days.get(row["key"], "")} for row in rows]


def _material(line: MaterialLine) -> dict[str, Any]:
    """What was to be bought of a material for the work in the sum; `size` is what a package holds."""
    return {
        "code": line.material.code,
        "name": line.material.name,
        "unit": line.material.unit,
        "taxable": line.material.taxable,
        "kind": line.material.kind,
        "cost": money(line.purchase.cost),
        "packages": [
            {"key": offer.key, "size": f"{offer.size}", "price": money(offer.price), "count": count}
            for offer, count in line.purchase.counts
        ],
    }


def _allowance(each: AllowanceInput) -> dict[str, Any]:
    return {
        "key": each.key,
        "name": each.name,
        "amount": money(each.amount),
        "at_cost": each.at_cost,
        "covers_tax": each.covers_tax,
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
