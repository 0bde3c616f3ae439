"""The payment schedule of a job: its rows in the database, summed to what was signed."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cached_property

from django.db.models import QuerySet

from estimating.models import Job
from invoicing.billing.lines import BillLine
from invoicing.billing.status import check_redrawn, left_to_bill
from invoicing.ledger.accounts import Books
from invoicing.ledger.history import billed_lines
from invoicing.milestones.contract_amounts import ContractAmounts, change_key
from invoicing.milestones.plan import ChangePart, Plan, PlanFault, draw_plan
from invoicing.models import Milestone, PaymentPlan, PlacedPart
from invoicing.payment_plan.contract import read_contract, read_contracts
from reading.prepared import first_of, keys_of, prepared, put_on


@dataclass(frozen=True)
class JobPlan:
    """A job's payment schedule with what it was worked out from.

    `plan` is what the milestones make of the contract. Where they can't sum to it, `plan` is None and
    `fault` says why in a plain sentence. `history` are the lines of the job's bills and credit notes.
    """

    payment_plan: PaymentPlan
    milestones: tuple[Milestone, ...]
    contract: ContractAmounts
    history: tuple[BillLine, ...]
    plan: Plan | None
    fault: str = ""

    @property
    def job(self) -> Job:
        return self.payment_plan.job

    @property
    def own_milestones(self) -> tuple[Milestone, ...]:
        """The milestones of the estimate, without those that were made for a change."""
        return tuple(milestone for milestone in self.milestones if milestone.change_id is None)

    @cached_property
    def left(self) -> dict[str, Decimal]:
        """What each milestone has left to bill, by its key; empty while the plan can't stand."""
        return left_to_bill(self.plan, self.history) if self.plan else {}


def read_plan(job: Job, *, books: Books | None = None, lock: bool = False) -> JobPlan | None:
    """Return the job's plan, summed to what was signed; None where none was made.

    Costs five queries, and before anything is signed those of a draft besides; one less with `books`,
    which hold the job's bills. With `lock`, inside a transaction, nobody else bills by the plan meanwhile.
    """
    if lock:
        payment_plan = PaymentPlan.objects.filter(job=job).select_for_update().first()
    else:
        payment_plan = first_of(read_payment_plans([job.pk]))
    if payment_plan is None:
        return None
    payment_plan.job = job
    return plan_by(payment_plan, read_contract(job), books.billed_lines(job) if books else billed_lines(job))


def plan_by(payment_plan: PaymentPlan, contract: ContractAmounts, history: tuple[BillLine, ...]) -> JobPlan:
    """Return a stored plan summed to a contract. Costs two queries."""
    return _job_plan(payment_plan, contract, history, _placed_parts(payment_plan))


def read_plans(jobs: Iterable[Job] | None, books: Books) -> dict[int, JobPlan]:
    """Return the plans of signed jobs, by job, None: of all that are open; `books` hold the jobs' bills.

    Costs four queries, however many jobs there are.
    """
    rows = _with_milestones(_plans_of_open_jobs()) if jobs is None else read_payment_plans(keys_of(jobs))
    payment_plans = {row.job_id: row for row in rows}
    parts: dict[int, list[PlacedPart]] = defaultdict(list)
    for part in _parts(keys_of(payment_plans.values())):
        parts[part.milestone.plan_id].append(part)
    plans = {}
    for job_id, contract in read_contracts(payment_plans).items():
        payment_plan = payment_plans[job_id]
        history = books.billed_lines(payment_plan.job)
        plans[job_id] = _job_plan(payment_plan, contract, history, parts[payment_plan.pk])
    return plans


def read_payment_plans(jobs: Collection[int]) -> list[PaymentPlan]:
    """Return the rows of the plans of jobs, with their milestones. Costs two queries."""
    return _with_milestones(_plans(jobs))


def _with_milestones(plans: list[PaymentPlan]) -> list[PaymentPlan]:
    put_on(plans, "milestones", _milestones(keys_of(plans)), "plan")
    return plans


@prepared
def _plans(jobs: Collection[int]) -> QuerySet[PaymentPlan]:
    return PaymentPlan.objects.filter(job__in=jobs).select_related("job__client")


@prepared
def _plans_of_open_jobs() -> QuerySet[PaymentPlan]:
    return PaymentPlan.objects.filter(job__in=Job.objects.open_keys()).select_related("job__client")


@prepared
def _milestones(plans: Collection[int]) -> QuerySet[Milestone]:
    return Milestone.objects.filter(plan__in=plans)


@prepared
def _parts(plans: Collection[int]) -> QuerySet[PlacedPart]:
    placed = PlacedPart.objects.filter(milestone__plan__in=plans).select_related("milestone")
    return placed.order_by("document", "by_measure", "pk")


def _placed_parts(payment_plan: PaymentPlan) -> Iterable[PlacedPart]:
    # In the order in which they were placed, so that the second part stays the second.
    return PlacedPart.objects.filter(milestone__plan=payment_plan).order_by("document", "by_measure", "pk")


def _job_plan(
    payment_plan: PaymentPlan,
    contract: ContractAmounts,
    history: tuple[BillLine, ...],
    parts: Iterable[PlacedPart],
) -> JobPlan:
    milestones, parts = _in_force(payment_plan.milestones.all(), parts, contract, history)
    try:
        plan = sum_plan(payment_plan, milestones, contract, parts)
    except PlanFault as fault:
        return JobPlan(payment_plan, milestones, contract, history, None, str(fault))
    return JobPlan(payment_plan, milestones, contract, history, plan)


def _in_force(
    milestones: Iterable[Milestone],
    parts: Iterable[PlacedPart],
    contract: ContractAmounts,
    history: Iterable[BillLine],
) -> tuple[tuple[Milestone, ...], tuple[PlacedPart, ...]]:
    """Return the milestones and placed parts of what is signed.

    Those of a change that was canceled no longer count, unless something was billed of its milestone.
    """
    signed = {document.document for document in contract.documents}
    billed = {line.milestone for line in history}
    counted = (
        milestone
        for milestone in milestones
        if milestone.change_id is None or milestone.change_id in signed or milestone.key in billed
    )
    return tuple(counted), tuple(part for part in parts if part.document_id in signed)


def sum_plan(
    payment_plan: PaymentPlan,
    milestones: Sequence[Milestone],
    contract: ContractAmounts,
    parts: Iterable[PlacedPart],
) -> Plan:
    """Return the plan that these rows make of a contract. Raises PlanFault where they can't sum to it."""
    terms = [milestone.term() for milestone in milestones]
    deposit = payment_plan.deposit.amount
    plan = draw_plan(contract.amount, terms, contract.taxable, payment_plan.retainage, deposit)
    placed = tuple(_change_part(part) for part in parts)
    return replace(plan, changes=contract.changes, parts=placed)


def _change_part(part: PlacedPart) -> ChangePart:
    key = change_key(part.document_id, part.by_measure)
    return ChangePart(key, f"{part.milestone_id}", part.amount.amount, part.taxable.amount)


def check_milestones(job_plan: JobPlan, milestones: Sequence[Milestone]) -> None:
    """Check whether other rows could take the place of the plan's own. Costs a query.

    Raises PlanFault where they can't sum to the contract, or leave a milestone less than was billed of it.
    """
    payment_plan, contract, history = job_plan.payment_plan, job_plan.contract, job_plan.history
    _, parts = _in_force(milestones, _placed_parts(payment_plan), contract, history)
    check_redrawn(sum_plan(payment_plan, milestones, contract, parts), history)
