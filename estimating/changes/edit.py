"""Writes what the forms of a change take in: photos, work, and what the change settles."""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from hashlib import sha256

from catalog.models import Detail, Firm
from catalog.phases import Phase
from estimating.changes.draft import SignedJob
from estimating.contract.lines import ContractLine
from estimating.contract.unit_prices import UnitPrice
from estimating.models import ChangeLine, ChangeOrder, Estimate, WorkItem


def begin_change(change: ChangeOrder, signed: SignedJob, firm: Firm, today: date) -> None:
    """Save a new change, with an estimate at the signed rates for the work that it adds.

    Call in a transaction.
    """
    rules = signed.rules
    estimate = Estimate.blank(change.job, firm, today)
    estimate.labor_rate, estimate.labor_markup = rules.labor_rate, rules.labor
    estimate.material_markup = estimate.equipment_markup = estimate.subcontract_markup = rules.terms.markup
    estimate.contingency_percent = estimate.minimum_charge = Decimal(0)
    estimate.runs, estimate.visit_hours = 0, Decimal(0)
    estimate.detail, estimate.scope_by = Detail.LINE, Estimate.ScopeBy.WORK
    estimate.assumptions = estimate.exclusions = estimate.terms = ""
    estimate.save()
    change.estimate = estimate
    change.save()


def add_photos(change: ChangeOrder, photos: Iterable[bytes]) -> None:
    """Add photos (JPEG) to a change; one that it has already stays once."""
    for content in photos:
        change.photos.get_or_create(sha256=sha256(content).hexdigest(), defaults={"content": content})


def add_work_item(change: ChangeOrder, item: WorkItem, at_most: bool = False) -> None:
    """Save a new work item as the last one of a change. Call in a transaction.

    `at_most` makes it time and material, not to exceed its price.
    """
    item.estimate = change.estimate
    item.position = change.estimate.items.count()
    item.save()
    if at_most:
        change.time_and_material.add(item)


def settle_line(
    change: ChangeOrder, kind: ChangeLine.Kind, line: ContractLine, title: str, amount: Decimal = Decimal(0)
) -> None:
    """Settle a contract line in a change; one that it settles already stays as it is, as by a double tap."""
    change.lines.get_or_create(
        document_id=line.document, key=line.key, defaults={"kind": kind, "title": title, "amount": amount}
    )


def use_unit_price(change: ChangeOrder, kind: ChangeLine.Kind, price: UnitPrice, quantity: Decimal) -> None:
    """Put a quantity at a unit price on a change; one that is on it already gets the new quantity."""
    values = {"kind": kind, "title": price.title, "unit": price.unit, "quantity": quantity}
    change.lines.update_or_create(document_id=price.document, key=price.key, defaults=values)


def add_purchase(change: ChangeOrder, price: UnitPrice, cost: Decimal) -> None:
    """Add what was bought for a hidden condition, by its receipt; the terms for changes price it."""
    title = f"Bought for: {price.title}"[:120]
    add_work_item(change, WorkItem(title=title, phase=Phase.ROUGH, material_cost=cost))
