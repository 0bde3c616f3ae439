"""Which work of the contract is finished, and how billing compares with what that work is worth."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.db.models import Count, Max, Q, QuerySet

from catalog.money.amounts import format_price, round_cents
from catalog.phases import PHASE_ORDER, Phase
from closing.punch_list.read import jobs_ended
from estimating.contract.work_lines import ContractWorkLine, contract_work_lines
from estimating.documents.milestone_work import MilestoneWork
from estimating.models import Job
from invoicing.billing.draft import Bill
from invoicing.billing.lines import RETAINAGE_KINDS, WORK_KINDS, BillLine, total
from invoicing.billing.status import billing_status
from invoicing.milestones.billing_cautions import BillingCaution, front_loading_caution
from invoicing.milestones.deposit_rules import DEPOSIT_RULES
from invoicing.milestones.earned_value import (
    earned_value,
    weights_by_cost,
    weights_by_hours,
)
from invoicing.milestones.plan import NO_MONEY, Plan
from invoicing.milestones.reached_work import WorkGroup, groups_reached, work_groups
from invoicing.models import FinishedWork, PaymentPlan
from invoicing.payment_plan.plan import JobPlan, read_plan
from reading.prepared import prepared


@dataclass(frozen=True)
class BillingComparison:
    """What is billed of the work, beside what the finished work is worth, by its cost and by its hours.

    `deposit` is billed of a milestone that is the deposit: it isn't ahead of the work, and pays for the last
    of it. `finished` of `lines` lines of the contract are finished. `caution` is what a rule of the state,
    or good practice, says of billing ahead of the work.
    """

    billed: Decimal
    deposit: Decimal
    worth: Decimal
    worth_by_hours: Decimal
    finished: int
    lines: int
    caution: BillingCaution | None

    @property
    def says_something(self) -> bool:
        """Whether anything is billed or finished, so that there is something to compare."""
        return bool(self.billed or self.finished)

    @property
    def difference(self) -> str:
        """How far billing and work are apart, in a sentence."""
        gap = self.billed - self.worth
        if not self.finished:
            return "No work is ticked as finished, so nothing tells whether billing runs ahead of it."
        if not gap:
            return "Billing is in step with the work."
        if gap > 0:
            return f"Billing is {format_price(gap)} ahead of the work."
        behind = -gap - self.deposit
        if behind <= 0:
            return "Billing is in step with the work: the deposit pays for what is done beyond it."
        return f"The work is {format_price(behind)} ahead of billing."


def compare_billing(job_plan: JobPlan, state: str, bill: Bill | None = None) -> BillingComparison | None:
    """Compare billing with the work, with the bill that is about to be issued. Costs two queries.

    None before anything is signed or while the plan can't stand, and once the end is signed: both have said
    then that the work is done. A deposit doesn't count, and what is held
    back isn't asked for yet. A caution is given only where work is ticked as finished, so that there is a
    figure to compare with; on a bill that asks for no work, as of retainage or a late charge, none is.
    """
    plan, rule = job_plan.plan, DEPOSIT_RULES.get(state)
    if plan is None or not job_plan.contract.is_signed or jobs_ended([job_plan.job]):
        return None
    lines = contract_work(job_plan)
    finished = sum(line.is_finished for line in lines)
    bill_lines = bill.lines if bill else ()
    billed, this_bill = _work_of(plan, job_plan.history), _work_of(plan, bill_lines)
    asked_before = billed - _held_of(plan, job_plan.history)
    asked_now = this_bill - _held_of(plan, bill_lines)
    worth = earned_value(plan.contract_sum, weights_by_cost(lines))
    compares = finished and (bill is None or this_bill)
    return BillingComparison(
        billed,
        total(line for line in job_plan.history if line.kind in WORK_KINDS) - billed,
        worth,
        earned_value(plan.contract_sum, weights_by_hours(lines)),
        finished,
        len(lines),
        front_loading_caution(rule, asked_before, asked_now, worth) if compares else None,
    )


def still_to_ask(job: Job) -> Decimal | None:
    """Return what of a signed contract isn't billed, with the retainage held; None without a plan."""
    job_plan = read_plan(job)
    if job_plan is None or job_plan.plan is None or not job_plan.contract.is_signed:
        return None
    return billing_status(job_plan.plan, job_plan.history).left


def contract_work(job_plan: JobPlan) -> tuple[ContractWorkLine, ...]:
    """Return the lines of the contract that can be finished, each marked where it is. Costs a query."""
    finished = FinishedWork.objects.filter(document__job=job_plan.job)
    return contract_work_lines(job_plan.contract.documents, finished.values_list("document_id", "key"))


def finished_days(jobs: Iterable[Job]) -> dict[tuple[int, str], date]:
    """Return the finished lines of contracts by document and key, each with its day. Costs a query."""
    return {(document, key): day for document, key, day in _finished([job.pk for job in jobs])}


@prepared
def _finished(jobs: Collection[int]) -> QuerySet[FinishedWork, tuple[int, str, date]]:
    return FinishedWork.objects.filter(document__job__in=jobs).values_list(
        "document_id", "key", "finished_on"
    )


def work_ended(jobs: Iterable[Job]) -> dict[int, date]:
    """Return the day on which the last milestone was reached, by job where all are. Costs a query."""
    return dict(_ended([job.pk for job in jobs]))


@prepared
def _ended(jobs: Collection[int]) -> QuerySet[PaymentPlan, tuple[int, date]]:
    plans = PaymentPlan.objects.filter(job__in=jobs).annotate(
        open=Count("milestones", filter=Q(milestones__reached_on=None, milestones__is_deposit=False)),
        last=Max("milestones__reached_on", filter=Q(milestones__is_deposit=False)),
    )
    return plans.filter(open=0).exclude(last=None).values_list("job_id", "last")


def groups_of_work(job_plan: JobPlan) -> tuple[WorkGroup, ...]:
    """Return the work of the contract in the groups in which it is finished. Costs a query."""
    return work_groups(contract_work(job_plan), PHASE_ORDER, changes_apart(job_plan))


def changes_apart(job_plan: JobPlan) -> dict[int, str]:
    """Return the changes with a milestone of their own: document and key of the milestone."""
    return {row.change_id: row.key for row in job_plan.milestones if row.change_id}


def group_label(job_plan: JobPlan, group: WorkGroup) -> str:
    """Name a group of work: "Board", or the milestone of its change."""
    apart = {f"change-{row.change_id}": row.name for row in job_plan.milestones if row.change_id}
    return apart.get(group.key) or dict(Phase.choices).get(group.key, "Other work")


def groups_of(job_plan: JobPlan, milestone: str) -> frozenset[str]:
    """Return the keys of the groups of work that a milestone stands for. Costs a query."""
    if job_plan.plan is None:
        return frozenset()
    return groups_reached(job_plan.plan, milestone, groups_of_work(job_plan), changes_apart(job_plan))


def finish_groups(job_plan: JobPlan, keys: Collection[str], on: date) -> None:
    """Mark all work of these groups as finished on a day; what was marked before stays."""
    groups = groups_of_work(job_plan)
    lines = [line for group in groups for line in group.lines if line.is_finished or group.key in keys]
    mark_finished(job_plan, {line.line.place for line in lines}, on)


def mark_finished(job_plan: JobPlan, finished: Collection[tuple[int, str]], on: date) -> None:
    """Mark these lines of the contract (document and key) as finished on a day, and the others as not.

    A line that was marked before keeps its day.
    """
    marks = FinishedWork.objects.filter(document__job=job_plan.job)
    known = {(mark.document_id, mark.key): mark.pk for mark in marks}
    marks.filter(pk__in=[pk for line, pk in known.items() if line not in finished]).delete()
    FinishedWork.objects.bulk_create(
        FinishedWork(document_id=document, key=key, finished_on=on)
        for document, key in sorted(set(finished) - set(known))
    )


def milestones_by_work(job: Job) -> tuple[MilestoneWork, ...]:
    """Return the milestones of a job that aren't reached, with the work that is done by then.

    What a milestone before it stands for counts, too. Costs the queries of a plan and one more.
    """
    job_plan = read_plan(job)
    if job_plan is None or job_plan.plan is None or not job_plan.contract.is_signed:
        return ()
    plan, apart = job_plan.plan, changes_apart(job_plan)
    groups = groups_of_work(job_plan)
    return tuple(
        MilestoneWork(
            row.name,
            job_plan.left[row.key],
            frozenset(
                line.line.place
                for group in groups
                if group.key in groups_reached(plan, row.key, groups, apart)
                for line in group.lines
            ),
        )
        for row in job_plan.milestones
        if not row.reached_on and not row.is_deposit and job_plan.left[row.key]
    )


def _work_of(plan: Plan, lines: Iterable[BillLine]) -> Decimal:
    """Return what lines bill of the work, without a deposit that is the first of the milestones."""
    return total(line for line in lines if line.kind in WORK_KINDS and not _is_deposit(plan, line))


def _held_of(plan: Plan, lines: Sequence[BillLine]) -> Decimal:
    """Return what is held back of that: all that is held, without what bills of long ago held of a deposit.

    Below zero for a bill that releases more than it holds.
    """
    held = -total(line for line in lines if line.kind in RETAINAGE_KINDS)
    deposit = total(
        line for line in lines if line.kind in WORK_KINDS and line.retained and _is_deposit(plan, line)
    )
    return held - min(round_cents(plan.retainage * Fraction(deposit)), max(held, NO_MONEY))


def _is_deposit(plan: Plan, line: BillLine) -> bool:
    return any(row.key == line.milestone and row.is_deposit for row in plan.milestones)
