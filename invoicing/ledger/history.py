"""What was billed and credited on a job so far, for the pure rules."""

from estimating.models import Document, Job
from invoicing.billing.basis import read_lines
from invoicing.billing.draft import BillLine

BILLED = (Document.Kind.INVOICE, Document.Kind.CREDIT_NOTE)


def billed_documents(job: Job) -> list[Document]:
    """The job's issued invoices and credit notes in their order. Costs a query."""
    documents = Document.objects.filter(job=job, kind__in=BILLED).defer("pdf", "snapshot")
    return list(documents.order_by("issued_at", "pk"))


def billed_lines(job: Job) -> tuple[BillLine, ...]:
    """Every line of the job's issued invoices and credit notes, credit notes with the sign turned.

    Costs a query.
    """
    return tuple(line for document in billed_documents(job) for line in read_lines(document.read_basis()))
