"""The bill that is being written on a job: begun, found again, thrown away."""

from estimating.models import Document, Job
from invoicing.models import BillDraft, Milestone, Payment


def read_draft(job: Job) -> BillDraft | None:
    """Return the bill being written on a job; None where there is none. Costs a query."""
    draft = BillDraft.objects.filter(job=job).first()
    if draft:
        draft.job = job
    return draft


def begin_bill(job: Job, kind: str, milestone: Milestone | None = None) -> tuple[BillDraft, BillDraft | None]:
    """Begin a bill of a kind, and return it with the draft whose place it takes, if there was one.

    A bill of work that is being written takes a further milestone; a draft of another kind is replaced.
    """
    draft, _ = BillDraft.objects.get_or_create(job=job, defaults={"kind": kind})
    replaced = None
    if draft.kind != kind:
        replaced = draft
        replaced.delete()
        draft = BillDraft.objects.create(job=job, kind=kind)
    if milestone:
        draft.milestones.add(milestone)
    return draft, replaced


def begin_late_charge(invoice: Document) -> tuple[BillDraft, BillDraft | None]:
    """Begin a bill for the late charge on an invoice, as `begin_bill`."""
    return _begin_beside(invoice.job, BillDraft.Kind.LATE, late_on=invoice)


def begin_returned_fee(returned: Payment, job: Job) -> tuple[BillDraft, BillDraft | None]:
    """Begin a bill for the fee of a check that the bank returned, as `begin_bill`."""
    return _begin_beside(job, BillDraft.Kind.FEE, returned=returned)


def _begin_beside(
    job: Job, kind: BillDraft.Kind, late_on: Document | None = None, returned: Payment | None = None
) -> tuple[BillDraft, BillDraft | None]:
    """Begin a bill that stands beside the contract sum."""
    replaced = BillDraft.objects.filter(job=job).exclude(kind=kind).first()
    values = {"kind": kind, "late_on": late_on, "returned": returned, "due_on": None, "note": ""}
    draft, _ = BillDraft.objects.update_or_create(job=job, defaults=values)
    draft.milestones.clear()
    return draft, replaced
