"""What was billed and credited on a job so far, for the pure rules of `invoicing/billing/draft.py`."""

from estimating.models import Document, Job
from invoicing.billing.basis import read_lines
from invoicing.billing.lines import BillLine

BILLED = (Document.Kind.INVOICE, Document.Kind.CREDIT_NOTE)


def billed_lines(job: Job) -> tuple[BillLine, ...]:
    """Return every line of the job's bills in their order, those of credit notes with the sign turned.

    Costs a query.
    """
    bills = Document.objects.filter(job=job, kind__in=BILLED).defer("pdf", "snapshot")
    rows = bills.order_by("issued_at", "pk")
    return tuple(line for document in rows for line in read_lines(document.read_basis()))
