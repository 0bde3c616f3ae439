"""What is left to bill of a plan, and what a redrawn plan must keep."""

from decimal import Decimal

import pytest

from invoicing.billing.draft import draft_bill
from invoicing.billing.status import check_redrawn, left_to_bill
from invoicing.milestones.plan import MilestoneTerm, PlanFault, draw_plan, place_spread
from tests.invoicing.billing.plans import bill_each
from tests.invoicing.kitchen import ROT, kitchen_plan


def test_a_plan_drawn_anew_keeps_what_is_billed() -> None:
    history = bill_each(kitchen_plan(), "M1")
    check_redrawn(kitchen_plan(), history)
    with pytest.raises(PlanFault, match="can't go below"):
        check_redrawn(draw_plan(Decimal(100), [MilestoneTerm("M1", "Signed", "Seen")]), history)
    with pytest.raises(PlanFault, match=r"^Signed is billed with \$2,521.12: it must stay in the plan"):
        check_redrawn(draw_plan(Decimal(100), [MilestoneTerm("N", "Other", "Seen")]), history)


def test_a_change_is_spread_only_over_what_is_not_billed() -> None:
    history = bill_each(kitchen_plan(), "M1", "M2", "M3")
    plan = place_spread(kitchen_plan(), ROT, left_to_bill(kitchen_plan(), history))
    assert {part.milestone for part in plan.parts} == {"M4", "M5"}
    assert draft_bill(plan, history, ["M4", "M5"]).amount == Decimal("10834.72")
