"""What goes back to clients who canceled: how much of what they paid is still here, and by when."""

from collections.abc import Collection, Iterable, Sequence
from decimal import Decimal
from fractions import Fraction

from django.db.models import Q, QuerySet

from catalog.money.amounts import round_cents
from estimating.contract.cancellation_rule import refund_by
from estimating.documents.billing_hooks import RefundDue
from estimating.events import states
from estimating.models import Acceptance, Document, Job
from estimating.models.document import DocumentQuerySet
from invoicing.billing.lines import WORK_KINDS, BillLine, total
from invoicing.ledger.accounts import Books, job_balance, read_books
from invoicing.milestones.contract_amounts import change_key
from invoicing.milestones.plan import NO_MONEY, sum_money
from reading.prepared import keys_of, prepared


def refunds_due(jobs: Iterable[Job] | None = None, books: Books | None = None) -> list[RefundDue]:
    """Return what goes back on these jobs, or on all, the earliest last day first.

    A contract that was signed anew keeps what was paid; of one that stands, changes may be canceled alone.
    Costs a query; where something was canceled, one more, and three without `books`.
    """
    canceled = _all_canceled() if jobs is None else _canceled(keys_of(jobs))
    newest = {
        document.job_id: document
        for document in reversed(canceled)
        if document.kind == Document.Kind.ESTIMATE
    }
    alone = [document for document in canceled if document.kind == Document.Kind.CHANGE_ORDER]
    if not canceled:
        return []
    books = books or read_books(*{document.job.client for document in canceled})
    due = [
        *(_refund_due(document, _still_here(books, document)) for document in newest.values()),
        *(_refund_due(document, _paid_for_change(books, document)) for document in alone),
    ]
    return sorted(
        (refund for refund in due if refund.amount > 0), key=lambda refund: (refund.by, refund.job.pk)
    )


@prepared
def _canceled(jobs: Collection[int]) -> QuerySet[Document]:
    return _with_something_to_pay_back(Document.objects.filter(job__in=jobs))


@prepared
def _all_canceled() -> QuerySet[Document]:
    return _with_something_to_pay_back(Document.objects.all())


def _with_something_to_pay_back(documents: DocumentQuerySet) -> QuerySet[Document]:
    """Leave those that were canceled, and of a contract that stands the changes alone."""
    standing = Acceptance.objects.uncanceled().filter(document__kind=Document.Kind.ESTIMATE)
    stands = Q(job__in=standing.values("document__job"))
    estimates, changes = Q(kind=Document.Kind.ESTIMATE), Q(kind=Document.Kind.CHANGE_ORDER)
    rows = documents.filter(estimates & ~stands | changes & stands, events__kind=states.CANCELED)
    return rows.select_related("job__client").for_list()


def _refund_due(document: Document, amount: Decimal) -> RefundDue:
    canceled_on = document.canceled_on() or document.dated
    return RefundDue(document, amount, canceled_on, refund_by(canceled_on))


def _still_here(books: Books, document: Document) -> Decimal:
    """Return what pays the job's invoices, and the credit of payments that were entered on its page."""
    paid = job_balance(books, document.job, document.canceled_on() or document.dated).paid
    return paid + _unused_credit(books, document.job)


def _unused_credit(books: Books, job: Job) -> Decimal:
    credit = books.account_of(job.client_id).credit_by_payment
    return sum_money(amount for key, amount in credit if books.payments[key].job_id == job.pk)


def _paid_for_change(books: Books, change: Document) -> Decimal:
    """Return what was paid for a change that was canceled alone, and is still here.

    What is open on its invoices counts as open of the change first, as that needn't be paid any more. Once
    a credit note takes the change back, what was paid for it is among the job's unused credit.
    """
    keys = {change_key(change.pk, is_time_and_material) for is_time_and_material in (False, True)}
    billed = credited = unpaid = NO_MONEY
    for key, bill in books.documents.items():
        asked = _share_of(books.lines[key], keys, bill.total.amount) if bill.job_id == change.job_id else 0
        if not asked:
            continue
        if bill.kind == Document.Kind.CREDIT_NOTE:
            credited += asked
        else:
            billed += asked
            unpaid += books.owed_on(bill).open
    return max(billed - credited - unpaid, NO_MONEY) + min(credited, _unused_credit(books, change.job))


def _share_of(lines: Sequence[BillLine], keys: Collection[str], whole: Decimal) -> Decimal:
    """Return the share of a bill's total, tax in it, that its lines of a change have in its work."""
    work = [line for line in lines if line.kind in WORK_KINDS]
    of_change = total(line for line in work if line.milestone in keys or line.change in keys)
    return (
        round_cents(Fraction(whole) * Fraction(of_change) / Fraction(total(work))) if of_change else NO_MONEY
    )
