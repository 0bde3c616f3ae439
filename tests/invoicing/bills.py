"""A small signed job with a payment schedule, ready to be billed."""

from collections.abc import Mapping
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from estimating.documents.issue import UnissuedDocument
from estimating.models import Document, Job
from invoicing.invoices.credit_notes import read_credited_invoice
from invoicing.invoices.issue import issue_bill, issue_credit
from invoicing.invoices.job_billing import read_job_billing
from invoicing.invoices.prepare import bill_to_issue, credit_to_issue
from invoicing.milestones.plan import Plan
from invoicing.milestones.templates import PlanTemplateStep
from invoicing.models import BillDraft, Milestone, PaymentPlan
from invoicing.payment_plan.plan import JobPlan, read_plan
from invoicing.payment_plan.templates import create_plan
from tests.estimating.issuing import AT, DAY, issue_now, painted_floor
from tests.estimating.signed_kitchen import sign_on_paper
from tests.factories import make_firm

PAY_BY = DAY + timedelta(days=7)
BILLING_FIRM = {
    "license": "Registration TRT-0142",
    "address": "27 Quarry Road\nFennimore Falls, NY 00000",
    "how_to_pay": "By check to Tolliver Room & Tile.",
    "tax_permit": "ST-555-0142",
}
THIRDS = (
    PlanTemplateStep("Begun", "The floor is empty.", share_percent=Decimal(30)),
    PlanTemplateStep("First coat", "One coat is dry.", share_percent=Decimal(30)),
    PlanTemplateStep("Done", "The floor can be walked on."),
)


def signed_floor(plan: Mapping[str, object] | None = None, sign: bool = True, **job: Any) -> Job:
    """$196.80 before tax, signed, with its plan; `plan` are values of the plan, such as a retainage."""
    document = issue_now(painted_floor(**job))
    make_firm(**BILLING_FIRM)
    if sign:
        sign_on_paper(document)
    payment_plan = create_plan(document.job, THIRDS)
    PaymentPlan.objects.filter(pk=payment_plan.pk).update(**(plan or {}))
    return document.job


def job_plan_of(job: Job) -> JobPlan:
    """The job's plan as it stands in the database, which there must be."""
    job_plan = read_plan(Job.objects.get(pk=job.pk))
    assert job_plan is not None
    return job_plan


def plan_of(job: Job) -> Plan:
    """The same as the pure rules have it, which must sum to what was signed."""
    plan = job_plan_of(job).plan
    assert plan is not None
    return plan


def milestone(job: Job, name: str) -> Milestone:
    return Milestone.objects.get(plan__job=job, name=name)


def reach(job: Job, *names: str, on: date | None = DAY) -> None:
    Milestone.objects.filter(plan__job=job, name__in=names).update(reached_on=on)


def draft(job: Job, *names: str, **values: Any) -> BillDraft:
    """The draft for these milestones, all reached."""
    reach(job, *names)
    begun, _ = BillDraft.objects.update_or_create(job=job, defaults=values)
    begun.milestones.set([milestone(job, name) for name in names])
    return begun


def ready(draft: BillDraft, on: date = DAY, **firm: str) -> UnissuedDocument:
    """The document that the draft would be issued as on a day."""
    draft = BillDraft.objects.get(pk=draft.pk)
    billing = read_job_billing(draft.job)
    return bill_to_issue(draft, billing, make_firm(**BILLING_FIRM | firm), on).unissued


def ready_credit(
    invoice: Document, amounts: dict[tuple[str, str, str], Decimal] | None = None, on: date = DAY
) -> UnissuedDocument:
    """The credit note on all that is left of an invoice, or on amounts by the places of its lines."""
    credited, billing = read_credited_invoice(invoice), read_job_billing(invoice.job)
    firm = make_firm(**BILLING_FIRM)
    return credit_to_issue(credited, amounts, "Billed too early.", billing, firm, on).unissued


def billed(job: Job, *names: str, **values: Any) -> Document:
    begun = draft(job, *names, **values)
    return issue_bill(begun, ready(begun), AT)


def credited(invoice: Document, **amounts: str) -> Document:
    """A credit note on all that is left, or on amounts by the milestones' names."""
    by_place = {
        ("milestone", milestone(invoice.job, name).key, ""): Decimal(amount)
        for name, amount in amounts.items()
    }
    return issue_credit(invoice, ready_credit(invoice, by_place or None), AT)
