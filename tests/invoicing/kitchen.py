"""The demo kitchen's plan of five milestones and its signed changes (invented for the demo)."""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from invoicing.billing.status import left_to_bill
from invoicing.milestones.change_placement import place_with
from invoicing.milestones.plan import (
    NO_MONEY,
    ChangePart,
    Milestone,
    MilestoneTerm,
    Plan,
    SignedChange,
    draw_plan,
)

SIGNED = Decimal("25211.17")
TERMS = tuple(
    MilestoneTerm(f"M{number}", name, condition, Fraction(percent, 100))
    for number, (percent, name, condition) in enumerate(
        (
            (10, "Deposit at signing", "Contract signed, cancel period over, start date booked"),
            (30, "Cabinets delivered", "Old kitchen hauled away and all 18 cabinets counted in the garage"),
            (20, "Drywall primed", "Walls A and B sanded and primed, subfloor sound; before tile starts"),
            (30, "Cabinets hung", "Tile grouted, walls painted, cabinets hung and level"),
            (10, "Punch list done", "Walk through and write the punch list signed off"),
        ),
        start=1,
    )
)
ROT = SignedChange("CO-1", "Rotted subfloor", Decimal("750.25"))
CABINETS = SignedChange("CO-2", "Cabinet allowance settled", Decimal("485.64"))
SURPRISE = SignedChange("CO-9", "Light trims left out", Decimal("-161.03"))


def kitchen_plan(retainage: Fraction = Fraction(0), deposit: Decimal = NO_MONEY) -> Plan:
    return draw_plan(SIGNED, TERMS, retainage=retainage, deposit=deposit)


def place_alone(plan: Plan, change: SignedChange, name: str, condition: str) -> Plan:
    """The plan with a line of its own for a signed change, under the change's key."""
    line = Milestone(change.key, name, condition, NO_MONEY)
    part = ChangePart(change.key, change.key, change.amount, change.taxable)
    return replace(
        plan,
        milestones=(*plan.milestones, line),
        changes=(*plan.changes, change),
        parts=(*plan.parts, part),
    )


def changed_plan(retainage: Fraction = Fraction(0), deposit: Decimal = NO_MONEY) -> Plan:
    """With the rot billed with the third milestone, the cabinets with the fourth."""
    plan = kitchen_plan(retainage, deposit)
    plan = place_with(plan, ROT, "M3", left_to_bill(plan, ()))
    return place_with(plan, CABINETS, "M4", left_to_bill(plan, ()))
