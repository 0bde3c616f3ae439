"""The cash flow of a job's plan, read from the database, and what another split of it would do."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

from catalog.fields.form import NumberField
from catalog.models import Firm
from catalog.phases import Phase
from estimating.contract.work_lines import contract_work_lines
from estimating.estimates.draft import read_draft
from estimating.models import Estimate
from estimating.takeoff.work import ItemQuantities
from invoicing.cash_flow.forecast import (
    CashForecast,
    Outlay,
    WorkSchedule,
    cash_forecast,
    expected_days,
    money_in,
    money_out,
    schedule_work,
)
from invoicing.milestones.plan import MilestoneTerm, Plan, PlanFault, draw_plan, sum_money
from invoicing.models import Milestone
from invoicing.payment_plan.plan import JobPlan, check_milestones


@dataclass(frozen=True)
class TrialSplit:
    """Another split of the milestones: the shares as typed, by milestone, and what they would do.

    Where the split can't stand, `fault` says why and `cash` is None.
    """

    typed: Mapping[str, str]
    terms: tuple[MilestoneTerm, ...] = ()
    cash: CashForecast | None = None
    fault: str = ""


def work_schedule(job_plan: JobPlan, firm: Firm, today: date) -> WorkSchedule:
    """Return when the work of this job is done: it begins on the day that was set, else today.

    Costs the queries of a draft.
    """
    documents = job_plan.contract.documents
    items: dict[tuple[int, str], ItemQuantities] = {}
    estimate = Estimate.objects.filter(job=job_plan.job, change=None).first()
    if estimate is not None:
        taken_off = read_draft(estimate, firm, "first").take_off
        items = {(documents[0].document, item.work.key): item for item in taken_off.items}
    lines = contract_work_lines(documents, ())
    starts_on = job_plan.job.work_begins_on or today
    return schedule_work(lines, starts_on, Fraction(firm.hours_per_day), items)


def plan_cash(job_plan: JobPlan, plan: Plan, when: WorkSchedule, today: date) -> CashForecast:
    """Return the cash flow of a plan on the work of this job. Costs a query for the planned costs."""
    payment_plan, contract = job_plan.payment_plan, job_plan.contract
    starts_on = job_plan.job.work_begins_on or today
    lines = contract_work_lines(contract.documents, ())
    labor_rate = Decimal(contract.documents[0].basis["policy"]["labour_rate"])
    outlays = [
        Outlay(cost.says, cost.amount.amount, cost.on, cost.phase) for cost in payment_plan.costs.all()
    ]
    going_out = money_out(lines, when, labor_rate, outlays, dict(Phase.choices))
    known = {row.key: day for row in job_plan.milestones if (day := row.reached_on or row.expected_on)}
    days = expected_days([milestone.key for milestone in plan.milestones], known, starts_on, when.ends)
    coming_in = money_in(plan, days, starts_on, payment_plan.pays_after_days)
    return cash_forecast(coming_in, going_out, when.ends)


def even_split(job_plan: JobPlan) -> dict[str, str]:
    """Return the milestones of the estimate in equal whole percents, the last with the rest."""
    keys = [milestone.key for milestone in job_plan.own_milestones]
    share = Decimal(100 // len(keys)) if keys else Decimal(0)
    shares = dict.fromkeys(keys, f"{share}")
    if keys:
        shares[keys[-1]] = f"{100 - share * (len(keys) - 1)}"
    return shares


def current_split(job_plan: JobPlan) -> dict[str, str]:
    """Return the split as it is, in percent of the signed estimate to two decimals."""
    plan, whole = job_plan.plan, job_plan.contract.amount
    if plan is None or not whole:
        return {}
    keys = [milestone.key for milestone in job_plan.own_milestones]
    shares = [(plan.milestone(key).base * 100 / whole).quantize(Decimal("0.01")) for key in keys]
    shares[-1] = Decimal("100.00") - sum_money(shares[:-1])
    return {key: f"{share.normalize():f}" for key, share in zip(keys, shares, strict=True)}


def try_split(job_plan: JobPlan, typed: Mapping[str, str], when: WorkSchedule, today: date) -> TrialSplit:
    """Return what this split would do to the cash flow; `typed` are shares in percent, by milestone."""
    field = NumberField(label="Share, %", most=Decimal(100), places=4)
    try:
        shares = {row.key: field.read(typed.get(row.key, "") or "0") for row in job_plan.own_milestones}
    except ValueError as error:
        return TrialSplit(typed, fault=str(error))
    terms = tuple(_term(milestone, shares[milestone.key]) for milestone in job_plan.own_milestones)
    of_changes = tuple(row.term() for row in job_plan.milestones if row.change_id is not None)
    contract, payment_plan = job_plan.contract, job_plan.payment_plan
    try:
        plan = draw_plan(
            contract.amount,
            (*terms, *of_changes),
            contract.taxable,
            payment_plan.retainage,
            payment_plan.deposit.amount,
        )
    except PlanFault as fault:
        return TrialSplit(typed, terms, fault=str(fault))
    if job_plan.plan:
        plan = replace(plan, changes=job_plan.plan.changes, parts=job_plan.plan.parts)
    return TrialSplit(typed, terms, plan_cash(job_plan, plan, when, today))


def _term(milestone: Milestone, percent: Decimal) -> MilestoneTerm:
    return MilestoneTerm(
        milestone.key,
        milestone.name,
        milestone.condition,
        Fraction(percent) / 100,
        is_deposit=milestone.is_deposit,
    )


def keep_split(job_plan: JobPlan, trial: TrialSplit) -> None:
    """Make a split the plan's own. Raises PlanFault where it can't be, for example for what is billed."""
    milestones = {milestone.key: milestone for milestone in job_plan.milestones}
    for term in trial.terms:
        milestones[term.key].share_percent, milestones[term.key].amount = _in_percent(term), None
    check_milestones(job_plan, list(milestones.values()))
    Milestone.objects.bulk_update(milestones.values(), ["share_percent", "amount"])


def _in_percent(term: MilestoneTerm) -> Decimal:
    """Return the share that was typed, which has at most four decimals."""
    percent = (term.share or Fraction(0)) * 100
    return Decimal(percent.numerator) / Decimal(percent.denominator)
