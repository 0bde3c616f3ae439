"""The cash line of a job's plan, read from the database, and what another split of it would do."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

from catalog.fields.form import NumberField
from catalog.phases import Phase
from invoicing.cash_flow.forecast import (
    CashPlan,
    Outlay,
    cash_plan,
    expected_days,
    money_in,
    money_out,
    schedule,
)
from invoicing.milestones.contract_amounts import work_lines
from invoicing.milestones.plan import Plan, PlanFault, Term, draw_plan
from invoicing.payment_plan.plan import DrawnPlan


@dataclass(frozen=True)
class Trial:
    """Another split of the milestones: what he typed by milestone, and where it can't stand, why."""

    typed: Mapping[str, str]
    terms: tuple[Term, ...] = ()
    cash: CashPlan | None = None
    fault: str = ""


def in_percent(term: Term) -> Decimal:
    """The share that he typed, which has at most four decimals."""
    percent = (term.share or Fraction(0)) * 100
    return Decimal(percent.numerator) / Decimal(percent.denominator)


def plan_cash(drawn: DrawnPlan, plan: Plan, hours_per_day: Decimal, today: date) -> CashPlan:
    """The cash line of a plan on the work of this job. The work begins on the day that he set, else today."""
    kept = drawn.kept
    starts_on = kept.starts_on or today
    lines = work_lines(drawn.agreed.papers, ())
    when = schedule(lines, starts_on, Fraction(hours_per_day))
    basis = drawn.agreed.papers[0].basis
    outlays = [Outlay(each.says, each.amount.amount, each.on, each.phase) for each in kept.costs.all()]
    going = money_out(lines, when, Decimal(basis["policy"]["labour_rate"]), outlays, dict(Phase.choices))
    known = {row.key: day for row in drawn.rows if (day := row.reached_on or row.expected_on)}
    days = expected_days([each.key for each in plan.milestones], known, starts_on, when.ends)
    return cash_plan(money_in(plan, days, starts_on, kept.pays_after_days), going, when.ends)


def even_split(drawn: DrawnPlan) -> dict[str, str]:
    """The milestones of the estimate in equal shares, the last with the rest, in percent."""
    keys = [row.key for row in drawn.rows if row.change_id is None]
    each = Decimal(100 // len(keys)) if keys else Decimal(0)
    shares = dict.fromkeys(keys, f"{each}")
    if keys:
        shares[keys[-1]] = f"{100 - each * (len(keys) - 1)}"
    return shares


def split_now(drawn: DrawnPlan) -> dict[str, str]:
    """The split as it is, in percent of the signed estimate to two decimals."""
    if drawn.plan is None or not drawn.agreed.amount:
        return {}
    rows = [row for row in drawn.rows if row.change_id is None]
    shares = [
        (drawn.plan.milestone(row.key).base * 100 / drawn.agreed.amount).quantize(Decimal("0.01"))
        for row in rows
    ]
    shares[-1] = Decimal("100.00") - sum(shares[:-1], Decimal(0))
    return {row.key: f"{share.normalize():f}" for row, share in zip(rows, shares, strict=True)}


def try_split(drawn: DrawnPlan, typed: Mapping[str, str], hours_per_day: Decimal, today: date) -> Trial:
    """What this split would do to the cash line."""
    rows = [row for row in drawn.rows if row.change_id is None]
    field = NumberField(label="Share, %", most=Decimal(100), places=4)
    try:
        shares = {row.key: field.read(typed.get(row.key, "") or "0") for row in rows}
    except ValueError as error:
        return Trial(typed, fault=str(error))
    terms = tuple(
        Term(row.key, row.name, row.condition, Fraction(shares[row.key]) / 100, is_deposit=row.is_deposit)
        for row in rows
    )
    own = tuple(row.term() for row in drawn.rows if row.change_id is not None)
    try:
        plan = draw_plan(
            drawn.agreed.amount,
            (*terms, *own),
            drawn.agreed.taxable,
            drawn.kept.retainage,
            drawn.kept.deposit.amount,
        )
    except PlanFault as fault:
        return Trial(typed, terms, fault=str(fault))
    if drawn.plan:
        plan = replace(plan, changes=drawn.plan.changes, parts=drawn.plan.parts)
    return Trial(typed, terms, plan_cash(drawn, plan, hours_per_day, today))
