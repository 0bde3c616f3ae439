"""What a bill is asked about before it is issued: conditions not on record, and a client who can cancel."""

from collections.abc import Iterator
from datetime import date

from estimating.client.cancel import right_to_cancel
from estimating.models import Document
from estimating.plain_text import day_in_words
from invoicing.billing.draft import Bill
from invoicing.invoices.job_billing import JobBilling
from invoicing.milestones.contract_amounts import change_key
from invoicing.models import BillDraft


def questions(draft: BillDraft, bill: Bill, billing: JobBilling, today: date) -> tuple[str, ...]:
    """Return why this bill might come too early, in plain sentences; empty where nothing speaks against it.

    Costs two queries, and one for the milestones of a bill of work.
    """
    return (*_not_on_record(draft), *_cancelable(bill, billing, today))


def _not_on_record(draft: BillDraft) -> Iterator[str]:
    """Name the milestones whose condition nobody has marked as met; the bill doesn't state it."""
    if draft.kind != BillDraft.Kind.WORK:
        return
    for milestone in draft.milestones.all():
        if not milestone.reached_on:
            yield (
                f"Nothing on record says that this is so: “{milestone.condition}” The bill leaves it out. "
                f"Mark {milestone} complete on the schedule once it is, and the bill says it."
            )


def _cancelable(bill: Bill, billing: JobBilling, today: date) -> Iterator[str]:
    """Say until when the client can cancel the contract, or a change that is on this bill."""
    changes = {line.change for line in bill.lines}
    signed = [basis.document for basis in billing.contract.documents]
    for document in Document.objects.filter(pk__in=signed).for_list():
        still_to = right_to_cancel(document, today)["still_to"]
        keys = {change_key(document.pk, by_measure) for by_measure in (False, True)}
        if still_to and (document.kind == Document.Kind.ESTIMATE or keys & changes):
            yield (
                f"Your client can cancel {document} until midnight of {day_in_words(still_to)}. What is paid "
                "on it goes back then, within ten business days: wait with the bill, or ask for it now."
            )
