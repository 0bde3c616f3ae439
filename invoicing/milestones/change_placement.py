"""Where signed changes are billed: the milestones of a plan that take them, and their final amount."""

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal

from catalog.money.amounts import format_price
from invoicing.milestones.plan import (
    NO_MONEY,
    ChangePart,
    Plan,
    PlanFault,
    SignedChange,
    split_in_proportion,
    sum_money,
)


def place_with(plan: Plan, change: SignedChange, milestone: str, left: Mapping[str, Decimal]) -> Plan:
    """Return the plan with a signed change billed with one milestone, as a line of its own on that bill.

    `left` is what each milestone has left to bill. Raises PlanFault when the milestone is billed
    already, or has less left than a deduction takes off.
    """
    name = plan.milestone(milestone).name
    room = left.get(milestone, NO_MONEY)
    if room <= 0 and plan.amount(milestone):
        raise PlanFault(f"{name} is billed already: give the change a line of its own.")
    _check_room(change, room)
    return _place(plan, change, {milestone: change.amount})


def place_spread(plan: Plan, change: SignedChange, left: Mapping[str, Decimal]) -> Plan:
    """Return the plan with a signed change spread over what the milestones have left to bill.

    Raises PlanFault when nothing is left, or less than a deduction takes off.
    """
    room = _open(plan, left)
    _check_room(change, sum_money(room.values()))
    parts = split_in_proportion(change.amount, list(room.values()))
    return _place(plan, change, dict(zip(room, parts, strict=True)))


def place_last(plan: Plan, change: SignedChange, left: Mapping[str, Decimal]) -> Plan:
    """Return the plan with a signed change billed with the last milestone that has something left.

    Raises PlanFault when nothing is left, or less than a deduction takes off.
    """
    return place_with(plan, change, list(_open(plan, left))[-1], left)


def settle_time_and_material(
    plan: Plan, key: str, amount: Decimal, taxable: Decimal, billed: Decimal
) -> Plan:
    """Return the plan with a time-and-material change at what it came to in the end, not at its limit.

    `taxable` is part of `amount`. Raises PlanFault for a change at a fixed price, for less than is billed,
    and for more than the limit.
    """
    change = plan.change(key)
    if not change.is_time_and_material:
        raise PlanFault(f"{change.title} has a fixed price: a new signed change alters it.")
    if not billed <= amount <= change.amount:
        raise PlanFault(
            f"{change.title} can end between {format_price(billed)} billed and its limit of "
            f"{format_price(change.amount)}."
        )
    return replace_change(plan, replace(change, amount=amount, taxable=taxable))


def replace_change(plan: Plan, changed: SignedChange) -> Plan:
    """Return the plan with this time-and-material change in place of the one of the same key.

    Such a change has one part, which takes all of its amount.
    """
    changes = tuple(changed if change.key == changed.key else change for change in plan.changes)
    parts = tuple(
        replace(part, amount=changed.amount, taxable=changed.taxable) if part.change == changed.key else part
        for part in plan.parts
    )
    return replace(plan, changes=changes, parts=parts)


def _open(plan: Plan, left: Mapping[str, Decimal]) -> dict[str, Decimal]:
    """Return what is left of each milestone that has something left. Raises PlanFault when none has."""
    room = {
        milestone.key: left[milestone.key]
        for milestone in plan.milestones
        if left.get(milestone.key, NO_MONEY) > 0
    }
    if not room:
        raise PlanFault("Every milestone is billed: give the change a line of its own.")
    return room


def _check_room(change: SignedChange, room: Decimal) -> None:
    if room + change.amount < 0:
        raise PlanFault(
            f"{change.title} deducts {format_price(-change.amount)}, and {format_price(room)} is left to "
            "bill there: give it a line of its own."
        )


def _place(plan: Plan, change: SignedChange, amounts: Mapping[str, Decimal]) -> Plan:
    if any(placed.key == change.key for placed in plan.changes):
        raise PlanFault(f"{change.title} is in the schedule already.")
    if change.is_time_and_material and len(amounts) > 1:
        raise PlanFault(f"{change.title} is billed by hours and receipts: give it a line of its own.")
    taxed = split_in_proportion(change.taxable, list(amounts.values()))
    parts = (
        ChangePart(change.key, milestone, amount, taxable)
        for (milestone, amount), taxable in zip(amounts.items(), taxed, strict=True)
    )
    return replace(plan, changes=(*plan.changes, change), parts=(*plan.parts, *parts))
