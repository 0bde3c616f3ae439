"""What was billed and credited on a job so far, for the pure rules."""

from estimating.models import Job
from invoicing.billing import BillLine


def billed_lines(job: Job) -> tuple[BillLine, ...]:
    """Every line of the job's issued invoices and credit notes, credit notes with the sign turned."""
    return ()
