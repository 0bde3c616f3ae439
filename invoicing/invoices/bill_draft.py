"""The bill that is being written on a job: begun, found again, thrown away."""

from estimating.models import Document, Job
from invoicing.models import BillDraft, Milestone


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
    late = BillDraft.Kind.LATE
    replaced = BillDraft.objects.filter(job=invoice.job_id).exclude(kind=late).first()
    values = {"kind": late, "late_on": invoice, "due_on": None, "note": ""}
    draft, _ = BillDraft.objects.update_or_create(job_id=invoice.job_id, defaults=values)
    draft.milestones.clear()
    return draft, replaced
