"""Plans of payments that can be used again; one comes with the program."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from invoicing.milestones.plan import Term


@dataclass(frozen=True)
class Step:
    """A milestone of a pattern: a share in percent, an amount, or (neither) the balance."""

    name: str
    condition: str
    not_covered: str = ""
    share_percent: Decimal | None = None
    amount: Decimal | None = None
    is_deposit: bool = False

    def term(self, key: str) -> Term:
        share = None if self.share_percent is None else Fraction(self.share_percent) / 100
        return Term(key, self.name, self.condition, share, self.amount, self.is_deposit)


@dataclass(frozen=True)
class PlanPattern:
    code: str
    name: str
    steps: tuple[Step, ...]


def with_a_balance(steps: Sequence[Step]) -> tuple[Step, ...]:
    """The steps, of which the last takes what remains where none did, so that they fit any sum."""
    if any(step.share_percent is None and step.amount is None for step in steps):
        return tuple(steps)
    return (*steps[:-1], replace(steps[-1], share_percent=None, amount=None))


# Shares and conditions: common practice; no state's law is met by them alone.
FIVE = PlanPattern(
    "five",
    "Deposit, drywall finished, floor set, cabinets in, punch list done",
    (
        Step(
            "Deposit",
            "The contract is signed and the start date is set.",
            "No work and no material yet.",
            Decimal(10),
            is_deposit=True,
        ),
        Step(
            "Drywall finished",
            "Every wall and ceiling of the job is sanded and primed.",
            "Finish paint and touch-up after trim.",
            Decimal(25),
        ),
        Step(
            "Floor set",
            "The floor is down, grouted or fastened, and can be walked on.",
            "Base, transitions and sealer.",
            Decimal(25),
        ),
        Step(
            "Cabinets in",
            "All cabinets hang level, doors and drawers open.",
            "Counters, final adjustment of doors, and trim.",
            Decimal(30),
        ),
        Step(
            "Punch list done",
            "Every line of the list we walked through together is ticked.",
            "Work that was never on the contract.",
        ),
    ),
)
ONE = PlanPattern(
    "one",
    "All of it when the work is done",
    (Step("Work done", "Everything on the contract is done and the place is clean."),),
)
SHIPPED = (FIVE, ONE)
