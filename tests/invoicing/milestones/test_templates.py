"""Plan templates fit any contract sum."""

from decimal import Decimal

import pytest

from invoicing.milestones.plan import milestone_amounts
from invoicing.milestones.templates import (
    FIVE_MILESTONES,
    SHIPPED_TEMPLATES,
    PlanTemplate,
    PlanTemplateStep,
    with_a_balance,
)


def amounts(steps: tuple[PlanTemplateStep, ...], signed_sum: str) -> list[str]:
    terms = [step.term(f"{position}") for position, step in enumerate(steps)]
    return [str(amount) for amount in milestone_amounts(Decimal(signed_sum), terms)]


@pytest.mark.parametrize("template", SHIPPED_TEMPLATES, ids=lambda template: template.code)
def test_a_shipped_template_sums_to_any_contract(template: PlanTemplate) -> None:
    assert sum(map(Decimal, amounts(template.steps, "1000.03"))) == Decimal("1000.03")


def test_five_milestones_ask_a_tenth_two_quarters_three_tenths_and_the_rest() -> None:
    assert amounts(FIVE_MILESTONES.steps, "1000.00") == ["100.00", "250.00", "250.00", "300.00", "100.00"]
    assert [step.is_deposit for step in FIVE_MILESTONES.steps] == [True, False, False, False, False]


HALF = PlanTemplateStep("Half", "Seen", share_percent=Decimal(50))
FIXED = PlanTemplateStep("Fixed", "Seen", amount=Decimal("500.00"))


def test_steps_without_a_balance_end_in_one() -> None:
    assert amounts(with_a_balance([HALF, HALF]), "300.00") == ["150.00", "150.00"]
    assert amounts(with_a_balance([HALF, FIXED]), "300.00") == ["150.00", "150.00"]
    assert amounts(with_a_balance([FIXED, HALF]), "800.00") == ["500.00", "300.00"]
    assert amounts(with_a_balance([HALF, FIXED, HALF]), "1000.02") == ["500.01", "500.00", "0.01"]


def test_steps_with_a_balance_stay_as_they_are() -> None:
    steps = (PlanTemplateStep("Rest", "Seen"), FIXED)
    assert with_a_balance(steps) == steps
