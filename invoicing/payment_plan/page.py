"""The plan of payments as its page shows it."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from catalog.measures.units import format_percent
from catalog.money.amounts import format_price, round_cents
from invoicing.billing.draft import WORK, Bill, BillLine, Kind
from invoicing.ledger.accounts import sum_of
from invoicing.milestones.contract_amounts import by_cost, by_hours, work_lines
from invoicing.milestones.deposit_rules import (
    CHECK,
    RETENTION_SHARE,
    RULES,
    Caution,
    deposit_cautions,
    front_loading,
    retention_cap,
    worth_of_work,
)
from invoicing.milestones.plan import NO_MONEY, ChangePart, Plan
from invoicing.models import FinishedWork, Milestone
from invoicing.payment_plan.plan import DrawnPlan


@dataclass(frozen=True)
class PlanRow:
    """A milestone with what it comes to and how that is made up; `amount` is None while the plan can't
    stand. `left` is what isn't billed of it."""

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
        """Whether all of it is, and that is something."""
        return bool(self.amount) and not self.left


def plan_rows(drawn: DrawnPlan) -> list[PlanRow]:
    plan, left = drawn.plan, drawn.left
    if plan is None:
        return [PlanRow(row, asks_in_words(row)) for row in drawn.rows]
    return [
        PlanRow(
            row,
            asks_in_words(row),
            plan.amount(row.key),
            plan.milestone(row.key).base,
            tuple(_titled(plan, plan.parts_of(row.key))),
            left[row.key],
        )
        for row in drawn.rows
    ]


def asks_in_words(row: Milestone) -> str:
    if row.change_id:
        return "a signed change"
    if row.amount is not None:
        return "a fixed amount"
    return "the balance" if row.share_percent is None else format_percent(Fraction(row.share_percent) / 100)


def _titled(plan: Plan, parts: Sequence[ChangePart]) -> Iterator[tuple[str, Decimal]]:
    for part in parts:
        yield plan.change(part.change).title, part.amount


def plan_cautions(drawn: DrawnPlan, state: str, today: date) -> tuple[Caution, ...]:
    """What the rules of the state say of the deposit and of what is held back. They change no number."""
    plan, rule = drawn.plan, RULES.get(state)
    if plan is None:
        return ()
    cautions: list[Caution] = []
    if rule:
        cautions += deposit_cautions(
            rule,
            plan.contract_sum + drawn.agreed.tax,
            plan.deposit_asked,
            drawn.kept.special_order.amount,
            drawn.agreed.is_signed,
            round_cents(Fraction(plan.deposit_taxable) * _tax_rate(drawn)),
        )
    if plan.retainage > RETENTION_SHARE and (cap := retention_cap(state, today, plan.contract_sum)):
        cautions.append(cap)
    return tuple(cautions)


def _tax_rate(drawn: DrawnPlan) -> Fraction:
    return Fraction(drawn.agreed.papers[0].basis["policy"]["tax_rate"])


@dataclass(frozen=True)
class Ahead:
    """What is billed of the work, beside what the finished work is worth, by its cost and by its hours."""

    billed: Decimal
    worth: Decimal
    worth_by_hours: Decimal
    finished: int
    lines: int
    caution: Caution | None

    @property
    def difference(self) -> str:
        gap = self.billed - self.worth
        if not self.finished:
            return "No work is ticked as finished, so nothing tells whether billing runs ahead of it."
        if not gap:
            return "Billing is in step with the work."
        if gap > 0:
            return f"Billing is {format_price(gap)} ahead of the work."
        return f"The work is {format_price(-gap)} ahead of billing."


def billed_and_done(drawn: DrawnPlan, state: str, bill: Bill | None = None) -> Ahead | None:
    """Billing beside the work, with the bill that he is about to issue; None before anything is signed or
    while the plan can't stand. Costs a query.

    A deposit doesn't count, and what is held back isn't asked for yet. Where no work is ticked as finished,
    a caution comes only where a rule of the state binds; on a bill that asks for no work, as of retainage
    or a late charge, none does.
    """
    plan, rule = drawn.plan, RULES.get(state)
    if plan is None or not drawn.agreed.is_signed:
        return None
    done = FinishedWork.objects.filter(document__job=drawn.kept.job_id).values_list("document_id", "key")
    lines = work_lines(drawn.agreed.papers, done)
    finished = sum(each.is_finished for each in lines)
    lines_now = bill.lines if bill else ()
    billed, this_bill = _work_of(plan, drawn.history), _work_of(plan, lines_now)
    asked = billed - _held_of(plan, drawn.history)
    asks = this_bill - _held_of(plan, lines_now)
    worth = worth_of_work(plan.contract_sum, by_cost(lines))
    binds = (finished or (rule and rule.not_ahead_of_work)) and (bill is None or this_bill)
    return Ahead(
        billed,
        worth,
        worth_of_work(plan.contract_sum, by_hours(lines)),
        finished,
        len(lines),
        front_loading(rule, asked, asks, worth) if binds else None,
    )


def _work_of(plan: Plan, lines: Iterable[BillLine]) -> Decimal:
    """What lines bill of the work, without a deposit that is the first of the milestones."""
    return sum_of(line.amount for line in lines if line.kind in WORK and not _is_deposit(plan, line))


def _held_of(plan: Plan, lines: Sequence[BillLine]) -> Decimal:
    """What is held back of that: all that is held, without what is held of such a deposit."""
    held = -sum_of(line.amount for line in lines if line.kind in (Kind.HELD, Kind.RELEASED))
    first = sum_of(line.amount for line in lines if line.kind in WORK and _is_deposit(plan, line))
    return max(held - round_cents(plan.retainage * Fraction(first)), NO_MONEY)


def _is_deposit(plan: Plan, line: BillLine) -> bool:
    return any(each.key == line.milestone and each.is_deposit for each in plan.milestones)


def rule_in_words(state: str, name: str) -> str:
    """What the table of rules knows of a state."""
    if not state:
        return ""
    if state not in RULES:
        return f"Our table has no rule on deposits for {name}. It may have one: {CHECK.lower()}"
    rule = RULES[state]
    return f"Rules for {name}: {rule.citation}, read {rule.seen.isoformat()}. {' '.join(rule.notes)} {CHECK}"
