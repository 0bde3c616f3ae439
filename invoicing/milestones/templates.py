"""Templates for payment schedules; two come with the program, and the user can keep his own."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from invoicing.milestones.plan import MilestoneTerm


@dataclass(frozen=True)
class PlanTemplateStep:
    """A milestone of a template: a share in percent, an amount or, without either, the balance."""

    name: str
    condition: str
    not_covered: str = ""
    share_percent: Decimal | None = None
    amount: Decimal | None = None
    is_deposit: bool = False

    def term(self, key: str) -> MilestoneTerm:
        """Return the term of a plan that this step makes under a key."""
        share = None if self.share_percent is None else Fraction(self.share_percent) / 100
        return MilestoneTerm(key, self.name, self.condition, share, self.amount, self.is_deposit)


@dataclass(frozen=True)
class PlanTemplate:
    """A payment schedule for any sum. `code` names it in forms."""

    code: str
    name: str
    steps: tuple[PlanTemplateStep, ...]


def with_a_balance(steps: Sequence[PlanTemplateStep]) -> tuple[PlanTemplateStep, ...]:
    """Return the steps with a balance, so that they fit any sum: the last becomes it where none is."""
    if any(step.share_percent is None and step.amount is None for step in steps):
        return tuple(steps)
    return (*steps[:-1], replace(steps[-1], share_percent=None, amount=None))


# Shares and conditions: common practice; no state's law is met by them alone.
FIVE_MILESTONES = PlanTemplate(
    "five",
    "Deposit at signing, drywall finished, floor set, cabinets set, punch list done",
    (
        PlanTemplateStep(
            "Deposit at signing",
            "The contract is signed and the start date is set.",
            "No work and no material yet.",
            Decimal(10),
            is_deposit=True,
        ),
        PlanTemplateStep(
            "Drywall finished",
            "Every wall and ceiling of the job is sanded and primed.",
            "Finish paint and touch-up after trim.",
            Decimal(25),
        ),
        PlanTemplateStep(
            "Floor set",
            "The floor is down, grouted or fastened, and can be walked on.",
            "Base, transitions and sealer.",
            Decimal(25),
        ),
        PlanTemplateStep(
            "Cabinets set",
            "All cabinets hang level, doors and drawers open.",
            "Counters, final adjustment of doors, and trim.",
            Decimal(30),
        ),
        PlanTemplateStep(
            "Punch list done",
            "Every line of the list we walked through together is checked off.",
            "Work that was never on the contract.",
        ),
    ),
)
ONE_MILESTONE = PlanTemplate(
    "one",
    "All of it when the work is done",
    (PlanTemplateStep("Work done", "Everything on the contract is done and the place is clean."),),
)
SHIPPED_TEMPLATES = (FIVE_MILESTONES, ONE_MILESTONE)
