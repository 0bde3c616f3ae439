"""What goes back to clients who canceled: how much of what they paid is still here, and by when."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from catalog.money.amounts import format_price
from estimating.contract.cancellation_rule import refund_by
from estimating.events import states
from estimating.models import Acceptance, Document, Job
from estimating.plain_text import day_in_words
from invoicing.ledger.accounts import Books, job_balance, read_books
from invoicing.milestones.plan import sum_money


@dataclass(frozen=True)
class RefundDue:
    """Money that goes back, and the last day for it (16 CFR 429.1); `canceled_on` is when it was canceled."""

    job: Job
    amount: Decimal
    canceled_on: date
    by: date

    def days_late(self, today: date) -> int:
        """Return the days past its last day; 0 until then."""
        return max((today - self.by).days, 0)

    def in_words(self) -> str:
        """Say what to do, as a next step."""
        return f"give back {format_price(self.amount)} by {day_in_words(self.by)}: the client canceled"


def refunds_due(jobs: Iterable[Job] | None = None, books: Books | None = None) -> list[RefundDue]:
    """Return what goes back on these jobs, or on all, the earliest last day first.

    A contract that was signed anew keeps what was paid. Costs a query; where something was canceled, one
    more, and three without `books`.
    """
    signed = Acceptance.objects.uncanceled().filter(document__kind=Document.Kind.ESTIMATE)
    canceled = Document.objects.filter(kind=Document.Kind.ESTIMATE, events__kind=states.CANCELED)
    rows = canceled.exclude(job__in=signed.values("document__job")).select_related("job__client").for_list()
    if jobs is not None:
        rows = rows.filter(job__in=list(jobs))
    newest = {document.job_id: document for document in reversed(rows)}
    if not newest:
        return []
    books = books or read_books(*{document.job.client for document in newest.values()})
    due = [_refund_due(books, document) for document in newest.values()]
    return sorted(
        (refund for refund in due if refund.amount > 0), key=lambda refund: (refund.by, refund.job.pk)
    )


def _refund_due(books: Books, document: Document) -> RefundDue:
    canceled_on = document.canceled_on() or document.dated
    amount = _still_here(books, document.job, canceled_on)
    return RefundDue(document.job, amount, canceled_on, refund_by(canceled_on))


def _still_here(books: Books, job: Job, on: date) -> Decimal:
    """Return what pays the job's invoices, and the credit of payments that were entered on its page."""
    credit = books.account_of(job.client_id).credit_by_payment
    unused = (amount for key, amount in credit if books.payments[key].job_id == job.pk)
    return job_balance(books, job, on).paid + sum_money(unused)
