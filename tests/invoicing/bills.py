"""A small signed job with a plan of payments, ready to be billed."""

from datetime import date, timedelta
from decimal import Decimal

from estimating.documents.issue import Unissued
from estimating.models import Document, Job
from invoicing.invoices.issue import bill_to_issue, credit_to_issue, issue_bill, issue_credit
from invoicing.milestones.templates import Step
from invoicing.models import BillDraft, Milestone, PaymentPlan
from invoicing.payment_plan.plan import draw
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
    Step("Begun", "The floor is empty.", share_percent=Decimal(30)),
    Step("First coat", "One coat is dry.", share_percent=Decimal(30)),
    Step("Done", "The floor can be walked on."),
)


def signed_floor(plan: dict[str, object] | None = None, sign: bool = True, **job: object) -> Job:
    """$196.80 before tax, signed, with its plan; `plan` are values of the plan, such as a retainage."""
    document = issue_now(painted_floor(**job))
    make_firm(**BILLING_FIRM)
    if sign:
        sign_on_paper(document)
    kept = draw(document.job, THIRDS)
    PaymentPlan.objects.filter(pk=kept.pk).update(**(plan or {}))
    return document.job


def milestone(job: Job, name: str) -> Milestone:
    return Milestone.objects.get(plan__job=job, name=name)


def reach(job: Job, *names: str, on: date | None = DAY) -> None:
    Milestone.objects.filter(plan__job=job, name__in=names).update(reached_on=on)


def draft(job: Job, *names: str, **values: object) -> BillDraft:
    """The draft for these milestones, all reached."""
    reach(job, *names)
    begun, _ = BillDraft.objects.update_or_create(job=job, defaults=values)
    begun.milestones.set([milestone(job, name) for name in names])
    return begun


def ready(draft: BillDraft, **firm: str) -> Unissued:
    return bill_to_issue(BillDraft.objects.get(pk=draft.pk), make_firm(**BILLING_FIRM | firm), DAY).paper


def billed(job: Job, *names: str, **values: object) -> Document:
    begun = draft(job, *names, **values)
    return issue_bill(begun, ready(begun), AT)


def credited(invoice: Document, **amounts: str) -> Document:
    """A credit note on all that is left, or on amounts by the milestones' names."""
    places = {
        ("milestone", milestone(invoice.job, name).key, ""): Decimal(amount)
        for name, amount in amounts.items()
    }
    to = credit_to_issue(invoice, places or None, "Billed too early.", make_firm(**BILLING_FIRM), DAY)
    return issue_credit(invoice, to.paper, AT)
