"""Issuing a bill or credit note: the one writing at the end of its way.

A bill is worked out from plan and history outside any transaction. As it is stored, under the lock of the
firm's events and of the job's plan, its position among the job's bills must still be the next one, and what
is billed must still be within the plan: so nothing is billed twice, whoever bills at the same moment.
"""

from datetime import datetime
from decimal import Decimal

from estimating.documents.issue import CannotIssue, UnissuedDocument, issue
from estimating.models import Document
from invoicing.billing.status import BillingStatus, billing_status, check_redrawn
from invoicing.invoices.job_billing import NO_PLAN, plan_to_bill, plan_to_credit
from invoicing.ledger.kept_sums import keep_account
from invoicing.milestones.plan import Plan, PlanFault
from invoicing.models import BillDraft, Billed
from invoicing.payment_plan.plan import JobPlan, read_plan

MEANWHILE = "Something else of this job was billed, credited or changed meanwhile. Read this one again."


def issue_bill(
    draft: BillDraft, unissued: UnissuedDocument, at: datetime, *, date_is_right: bool = False
) -> Document:
    """Issue an invoice and delete its draft. An invoice that was issued already comes back as it was.

    Call outside any transaction. Raises as `issue` does.
    """

    def store(document: Document) -> None:
        job_plan = _take_position(document, unissued)
        plan = plan_to_bill(job_plan)
        status = _status_as_read(plan, job_plan, unissued)
        _check_within(plan, job_plan, status)
        BillDraft.objects.filter(pk=draft.pk).delete()

    return issue(unissued, at, store, date_is_right=date_is_right)


def issue_credit(
    invoice: Document, unissued: UnissuedDocument, at: datetime, *, date_is_right: bool = False
) -> Document:
    """Issue a credit note on an invoice; what it takes back can be billed again. Raises as `issue_bill`."""

    def store(document: Document) -> None:
        job_plan = _take_position(document, unissued, corrects=invoice)
        _status_as_read(plan_to_credit(job_plan), job_plan, unissued)

    return issue(unissued, at, store, date_is_right=date_is_right)


def _take_position(
    document: Document, unissued: UnissuedDocument, corrects: Document | None = None
) -> JobPlan:
    """Store the position of a bill among those of its job, and return the job's plan, locked.

    Raises CannotIssue where another bill took that position since this one was worked out.
    """
    job_plan = read_plan(document.job, lock=True)
    if job_plan is None:
        raise CannotIssue(NO_PLAN)
    position = Billed.objects.filter(job=document.job).count() + 1
    if position != unissued.basis["place"]:
        raise CannotIssue(MEANWHILE)
    Billed.objects.create(document=document, job=document.job, place=position, corrects=corrects)
    keep_account(document.job.client_id)
    return job_plan


def _status_as_read(plan: Plan, job_plan: JobPlan, unissued: UnissuedDocument) -> BillingStatus:
    """Return how the job stands with this bill. Raises CannotIssue where the contract sum changed since."""
    status = billing_status(plan, job_plan.history)
    if status.contract_sum != Decimal(unissued.snapshot["contract"]["sum"]):
        raise CannotIssue(MEANWHILE)
    return status


def _check_within(plan: Plan, job_plan: JobPlan, status: BillingStatus) -> None:
    """Raise CannotIssue where the plan that is in force now has less than is billed with this bill."""
    try:
        check_redrawn(plan, job_plan.history)
    except PlanFault as error:
        raise CannotIssue(MEANWHILE) from error
    if status.over_contract:
        raise CannotIssue(MEANWHILE)
