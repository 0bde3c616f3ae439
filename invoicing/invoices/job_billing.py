"""All that a bill of a job is made from, read from the database once.

A page of bills begins here; what it shows, drafts and issues is worked out from the values that it gets.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from closing.punch_list.read import worth_by_job
from estimating.documents.issue import CannotIssue
from estimating.models import Document, Job
from invoicing.billing.draft import EarnedSoFar
from invoicing.billing.lines import BillLine
from invoicing.invoices.billable import Billable, billable_by
from invoicing.invoices.time_and_material import TimeAndMaterial, read_time_and_material
from invoicing.ledger.accounts import Books, read_books
from invoicing.milestones.contract_amounts import ContractAmounts
from invoicing.milestones.plan import NO_MONEY, Milestone, Plan
from invoicing.payment_plan.plan import JobPlan, read_plan

NO_PLAN = "There is no payment schedule yet: set one up first."
NOT_SIGNED = "The estimate isn't signed yet: have it signed, then bill by its schedule."


@dataclass(frozen=True)
class JobBilling:
    """A job's plan with its contract and history, its client's accounts, and its hours and receipts.

    `time_and_material` are the changes by hours and receipts, by their keys; `for_items` is what the open
    items of the punch list are worth, which stays held.
    """

    job_plan: JobPlan
    books: Books
    time_and_material: Mapping[str, TimeAndMaterial]
    for_items: Decimal = NO_MONEY

    @property
    def job(self) -> Job:
        return self.job_plan.job

    @property
    def contract(self) -> ContractAmounts:
        return self.job_plan.contract

    @property
    def history(self) -> tuple[BillLine, ...]:
        return self.job_plan.history

    @property
    def bills(self) -> tuple[Document, ...]:
        """The job's invoices and credit notes in the order in which they were issued."""
        return self.books.bills(self.job)

    @property
    def next_position(self) -> int:
        """The position that the next bill takes among those of the job, from 1."""
        return len(self.bills) + 1

    @property
    def so_far(self) -> dict[str, EarnedSoFar]:
        """What each change by hours and receipts has come to so far."""
        return {key: change.so_far for key, change in self.time_and_material.items()}

    @property
    def billable(self) -> Billable | None:
        return billable_by(self.job_plan, self.time_and_material, self.for_items)

    def plan_to_bill(self) -> Plan:
        """Return the plan that the job is billed by. Raises CannotIssue where there is none to bill by."""
        return plan_to_bill(self.job_plan)

    def plan_to_credit(self) -> Plan:
        """Return the plan that a credit note is held against."""
        return plan_to_credit(self.job_plan)


def read_job_billing(job: Job, books: Books | None = None) -> JobBilling | None:
    """Return all that a bill of the job is made from; None where it has no payment schedule.

    Costs eight queries, and two where a change goes by hours and receipts; three less with `books`, the
    accounts of the job's client.
    """
    books = books or read_books(job.client)
    job_plan = read_plan(job, books=books)
    if job_plan is None:
        return None
    time_and_material = read_time_and_material(job_plan.contract)
    return JobBilling(job_plan, books, time_and_material, worth_by_job([job]).get(job.pk, NO_MONEY))


def read_billable(job: Job) -> Billable | None:
    """Return what can be billed of a job, without its client's accounts.

    None where it has no signed plan that can stand. Costs six queries, and two where a change goes by hours
    and receipts.
    """
    job_plan = read_plan(job)
    if job_plan is None:
        return None
    for_items = worth_by_job([job]).get(job.pk, NO_MONEY)
    return billable_by(job_plan, read_time_and_material(job_plan.contract), for_items)


def plan_to_bill(job_plan: JobPlan) -> Plan:
    """Return the plan that a job is billed by.

    Raises CannotIssue where nothing is signed, or where the plan doesn't sum to what was signed.
    """
    if not job_plan.contract.is_signed:
        raise CannotIssue(NOT_SIGNED)
    if job_plan.plan is None:
        raise CannotIssue(job_plan.fault)
    return job_plan.plan


def plan_to_credit(job_plan: JobPlan) -> Plan:
    """Return the plan that a credit note is held against.

    Where the client canceled, no contract is left, and a plan that can't stand as it is doesn't keep a bill
    from being taken back: a plan of one milestone takes its place.
    """
    if job_plan.plan and job_plan.contract.is_signed:
        return job_plan.plan
    contract_sum = job_plan.contract.contract_sum if job_plan.contract.is_signed else NO_MONEY
    return Plan(contract_sum, (Milestone("", "", "", contract_sum),))


def signed_tax_percent(contract: ContractAmounts) -> Decimal:
    """Return the rate of sales tax that was signed, in percent; 0 where none is charged."""
    policy = contract.documents[0].basis["policy"]
    if policy["tax_policy"] not in ("materials", "everything"):
        return Decimal(0)
    numerator, _, denominator = policy["tax_rate"].partition("/")  # kept as "13/200"
    return Decimal(numerator) * 100 / Decimal(denominator or "1")
