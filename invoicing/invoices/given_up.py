"""What the firm gives up of an invoice: the change that takes it off the contract sum, and its credit note.

The change stands first, then the credit note is worked out anew and issued: whatever fails between, nothing
can be billed twice, and the job says how much is billed too much. Where the rule of a state wants both to
sign, the change is only drafted; once it is signed, what is billed too much is taken back.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from catalog.models import Firm
from estimating.changes.draft import signed_job
from estimating.changes.edit import begin_change
from estimating.changes.issue import NOT_SIGNED, issue_change, prepare_change
from estimating.changes.state_rules import reason_it_stands
from estimating.client.signing import give
from estimating.documents.issue import CannotIssue
from estimating.models import ChangeLine, ChangeOrder, Document
from invoicing.billing.draft import Bill
from invoicing.billing.lines import BillLine
from invoicing.invoices.credit_notes import read_credited_invoice
from invoicing.invoices.issue import issue_credit
from invoicing.invoices.job_billing import read_job_billing
from invoicing.invoices.prepare import credit_to_issue, given_up_lines
from invoicing.models import PlannedPart


@dataclass(frozen=True)
class GivenUp:
    """What is given up of an invoice: amounts by the places of its lines, why, and by whom it is entered."""

    invoice: Document
    amounts: Mapping[tuple[str, str, str], Decimal]
    note: str
    entered_by: str

    @property
    def reason_it_stands(self) -> str:
        """Why the change stands without the client's signature; empty where both have to sign."""
        return reason_it_stands(self.invoice.job.address, self.invoice.job.state)


def draft_change(given: GivenUp, bill: Bill, firm: Firm, today: date) -> ChangeOrder:
    """Draft the change that takes off the contract sum what a credit note gives up. Raises CannotIssue."""
    job, lines = given.invoice.job, given_up_lines(bill)
    signed = signed_job(job)
    if signed is None:
        raise CannotIssue(NOT_SIGNED)
    change = ChangeOrder(
        job=job, title=f"Given up on {given.invoice}", reason=ChangeOrder.Reason.GIVEN, found=given.note
    )
    with transaction.atomic():
        begin_change(change, signed, firm, today)
        for line in lines:
            change.lines.create(
                kind=ChangeLine.Kind.GIVEN_UP,
                title=line.title[:120],
                amount=-line.amount,
                taxable=-line.taxable,
            )
        PlannedPart.objects.bulk_create(_planned_parts(change, lines))
    return change


def _planned_parts(change: ChangeOrder, lines: Iterable[BillLine]) -> list[PlannedPart]:
    """Return where the change goes: with the milestones whose bill is credited."""
    parts: dict[str, PlannedPart] = {}
    for line in lines:
        new = PlannedPart(
            change=change, milestone_id=int(line.milestone), amount=Decimal(0), taxable=Decimal(0)
        )
        part = parts.setdefault(line.milestone, new)
        part.amount = part.amount.amount + line.amount
        part.taxable = part.taxable.amount + line.taxable
    return list(parts.values())


def issue_given_up(
    given: GivenUp, bill: Bill, firm: Firm, today: date, at: datetime, *, date_is_right: bool = False
) -> Document:
    """Let the change stand, issue the credit note, and return it. Call outside any transaction.

    Raises DateInDoubt, CannotIssue, and PangoMissing of `estimating.documents.pdf`; no draft is left then.
    """
    change = draft_change(given, bill, firm, today)
    try:
        paper = issue_change(change, prepare_change(change, firm, today), at, date_is_right=date_is_right)
    except Exception:
        change.delete()
        raise
    give(paper, firm.owner or firm.name, today, given.entered_by, at)
    credited, billing = read_credited_invoice(given.invoice), read_job_billing(given.invoice.job)
    to_issue = credit_to_issue(credited, given.amounts, given.note, billing, firm, today, given_up=True)
    return issue_credit(given.invoice, to_issue.unissued, at, date_is_right=date_is_right)
