"""The payment schedule as its page shows it."""

from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

from catalog.measures.units import format_percent
from catalog.money.amounts import format_price, round_cents
from invoicing.milestones.billing_cautions import (
    CHECK,
    RETENTION_SHARE,
    BillingCaution,
    deposit_cautions,
    retention_caution,
)
from invoicing.milestones.deposit_rules import DEPOSIT_RULES
from invoicing.milestones.plan import NO_MONEY, Plan, PlanFault, milestone_amounts
from invoicing.models import Milestone
from invoicing.payment_plan.plan import JobPlan


@dataclass(frozen=True)
class PlanRow:
    """A milestone with what it comes to and how that is made up.

    `asks` says how its amount was agreed; `amount` is None while the plan can't stand; `changes` are titles
    and amounts of the signed changes placed in it; `left` is what isn't billed of it.
    """

    milestone: Milestone
    asks: str
    amount: Decimal | None = None
    base: Decimal = NO_MONEY
    changes: tuple[tuple[str, Decimal], ...] = ()
    left: Decimal = NO_MONEY

    @property
    def billed(self) -> Decimal:
        return (self.amount or NO_MONEY) - self.left

    @property
    def is_billed(self) -> bool:
        """Whether all of it is billed, and it asks for something."""
        return bool(self.amount) and not self.left

    @property
    def billed_in_part(self) -> bool:
        return bool(self.billed) and not self.is_billed

    @property
    def shown_changes(self) -> tuple[tuple[str, Decimal], ...]:
        """The changes to name under it; that a milestone of one change alone bills it goes without saying."""
        return self.changes if self.milestone.change_id is None or len(self.changes) > 1 else ()


def plan_rows(job_plan: JobPlan) -> list[PlanRow]:
    """Return the milestones of a plan in their order."""
    plan = job_plan.plan
    if plan is None:
        return [PlanRow(milestone, amount_in_words(milestone)) for milestone in job_plan.milestones]
    return [
        PlanRow(
            milestone,
            amount_in_words(milestone),
            plan.amount(milestone.key),
            plan.milestone(milestone.key).base,
            _titled_changes(plan, milestone),
            job_plan.left[milestone.key],
        )
        for milestone in job_plan.milestones
    ]


def amount_in_words(milestone: Milestone) -> str:
    """Say how the amount of a milestone was agreed: "25 %", "a fixed amount", "the balance"."""
    if milestone.change_id:
        return "a signed change"
    if milestone.amount is not None:
        return "a fixed amount"
    if milestone.share_percent is None:
        return "the balance"
    return format_percent(Fraction(milestone.share_percent) / 100)


def share_in_words(
    job_plan: JobPlan, share: Decimal | None, amount: Decimal | None, milestone: Milestone | None = None
) -> str:
    """Say what a share in percent, an amount or (neither) the balance comes to of the contract.

    As a share of `milestone`, to the cent of its plan; else, or where the plan can't stand with it, about.
    """
    whole = job_plan.contract.amount
    if amount is not None:
        return f"{format_price(amount)} of {format_price(whole)}"
    if share is None:
        return "Whatever the other milestones leave."
    exact = _amount_with(job_plan, milestone, Fraction(share) / 100) if milestone else None
    if exact is not None:
        return f"{format_price(exact)} of {format_price(whole)}"
    return (
        f"About {format_price(round_cents(Fraction(share) / 100 * Fraction(whole)))} of {format_price(whole)}"
    )


def _amount_with(job_plan: JobPlan, milestone: Milestone, share: Fraction) -> Decimal | None:
    """Return what a milestone comes to with this share; None where the plan can't stand with it."""
    terms = [row.term() for row in job_plan.milestones]
    terms = [replace(term, share=share, amount=None) if term.key == milestone.key else term for term in terms]
    try:
        amounts = milestone_amounts(job_plan.contract.amount, terms)
    except PlanFault:
        return None
    return dict(zip((term.key for term in terms), amounts, strict=True)).get(milestone.key)


def _titled_changes(plan: Plan, milestone: Milestone) -> tuple[tuple[str, Decimal], ...]:
    return tuple((plan.part_title(part), part.amount) for part in plan.parts_of(milestone.key))


def plan_cautions(job_plan: JobPlan, state: str, today: date) -> tuple[BillingCaution, ...]:
    """Return what the rules of the state say of deposit and retainage. They change no number."""
    plan, rule = job_plan.plan, DEPOSIT_RULES.get(state)
    if plan is None:
        return ()
    cautions: list[BillingCaution] = []
    if rule:
        cautions += deposit_cautions(
            rule,
            plan.contract_sum + job_plan.contract.tax,
            plan.deposit_asked,
            job_plan.payment_plan.special_order.amount,
            job_plan.contract.is_signed,
            round_cents(Fraction(plan.deposit_taxable) * _tax_rate(job_plan)),
        )
    if plan.retainage > RETENTION_SHARE and (cap := retention_caution(state, today, plan.contract_sum)):
        cautions.append(cap)
    return tuple(cautions)


def _tax_rate(job_plan: JobPlan) -> Fraction:
    return Fraction(job_plan.contract.documents[0].basis["policy"]["tax_rate"])


def rule_in_words(state: str, name: str) -> str:
    """Say what the table of deposit rules knows of a state; empty where no state is set."""
    if not state:
        return ""
    if state not in DEPOSIT_RULES:
        return f"Our table has no rule on deposits for {name}. It may have one: {CHECK.lower()}"
    rule = DEPOSIT_RULES[state]
    return (
        f"Rules for {name}: {rule.citation}, read {rule.read_on.isoformat()}. {' '.join(rule.notes)} {CHECK}"
    )
