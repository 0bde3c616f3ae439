"""A bill or credit note as it would be issued now, worked out from what was read before.

The lines come from the pure rules of `invoicing/billing`, the document that shows them from
`invoicing/snapshots/invoice.py`. Nothing is written here.
"""

import re
from base64 import b64encode
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from catalog.models import Firm
from catalog.money.amounts import format_price
from estimating.documents.issue import CannotIssue, UnissuedDocument
from estimating.estimates.snapshots import client_party, firm_party
from estimating.models import Document
from estimating.plain_text import day_in_words, inside_sentence
from invoicing.billing.basis import BilledSums, read_sums, write_basis
from invoicing.billing.credit_note import PROPORTIONAL_KINDS, draft_credit
from invoicing.billing.draft import (
    Bill,
    CannotBill,
    draft_bill,
    draft_deposit,
    draft_late_charge,
    draft_release,
    draft_returned_check,
    tax_correction,
)
from invoicing.billing.lines import WORK_KINDS, BillLine, BillLineKind, total
from invoicing.billing.status import billing_status, left_to_bill
from invoicing.einvoice.faults import faults
from invoicing.invoices.credit_notes import CreditedInvoice
from invoicing.invoices.job_billing import NO_PLAN, JobBilling, signed_tax_percent
from invoicing.ledger.accounts import JobBalance, job_balance
from invoicing.ledger.late_charges import unbilled_late_charge
from invoicing.milestones.plan import NO_MONEY, Plan, PlanFault, sum_money
from invoicing.models import BillDraft, Milestone, MilestonePhoto
from invoicing.receivables.late_charges import late_share
from invoicing.snapshots.einvoice import einvoice_of
from invoicing.snapshots.invoice import (
    BillHeader,
    OpenInvoice,
    PaidBefore,
    credit_snapshot,
    invoice_snapshot,
)

_RULE_NUMBER = re.compile(r" \((?:BR|BG)-[^)]*\)")


@dataclass(frozen=True)
class BillToIssue:
    """A bill or credit note with the document that it would be issued as."""

    bill: Bill
    unissued: UnissuedDocument
    is_free_again: bool = True  # whether what a credit note takes back can be billed again

    @property
    def uses_credit(self) -> bool:
        """Whether credit that is held for the client pays a part of it."""
        return Decimal(self.unissued.snapshot.get("credit", 0)) != 0

    @property
    def to_deposit(self) -> Decimal:
        """What of a credit note goes back to the deposit, for later bills to take off."""
        return total(line for line in self.bill.lines if line.kind == BillLineKind.DEPOSIT_APPLIED)

    @property
    def to_retainage(self) -> Decimal:
        """What of a credit note goes off the retainage that is held."""
        return total(line for line in self.bill.lines if line.kind == BillLineKind.HELD)


def usual_due(firm: Firm, today: date) -> date:
    """Return the day on which a bill of today is due where none was typed."""
    return today + timedelta(days=firm.pay_within_days)


def bill_to_issue(draft: BillDraft, billing: JobBilling | None, firm: Firm, today: date) -> BillToIssue:
    """Return the bill as it would be issued today. Raises CannotIssue with every reason against it.

    Costs a query for the milestones of a bill of work, and one for photos of them.
    """
    if billing is None:
        raise CannotIssue(NO_PLAN)
    plan = billing.plan_to_bill()
    try:
        bill = _draft(draft, billing, plan, today)
    except (CannotBill, PlanFault) as error:
        raise CannotIssue(str(error)) from error
    due = draft.due_on or usual_due(firm, today)
    if due < today:
        raise CannotIssue("It would be due before its date: give it a later day.")
    balance = job_balance(billing.books, billing.job, today)
    snapshot = invoice_snapshot(
        bill,
        replace(_head(billing, firm, today, due=due, note=draft.note), photos=_photos(draft)),
        PaidBefore(paid=balance.paid, credit=balance.credit, open=_open_before(billing, balance)),
        _settling_cents(bill, billing, plan),
    )
    return BillToIssue(bill, _unissued(Document.Kind.INVOICE, billing, snapshot, bill, due=due))


def _draft(draft: BillDraft, billing: JobBilling, plan: Plan, today: date) -> Bill:
    """Return the lines of the bill by its kind. Raises CannotBill, PlanFault and CannotIssue."""
    history = billing.history
    match BillDraft.Kind(draft.kind):
        case BillDraft.Kind.DEPOSIT:
            return draft_deposit(plan, history)
        case BillDraft.Kind.RELEASE:
            release = None if draft.release is None else draft.release.amount
            return draft_release(plan, history, release, billing.for_items)
        case BillDraft.Kind.LATE:
            return _late_charge(draft, billing, plan, today)
        case BillDraft.Kind.FEE:
            return _returned_fee(draft, billing, plan)
        case BillDraft.Kind.WORK:
            milestones = list(draft.milestones.all())
            if reasons := tuple(_not_reached(milestones)):
                raise CannotIssue(*reasons)
            deposit = None if draft.deposit is None else draft.deposit.amount
            keys = [milestone.key for milestone in milestones]
            part = draft.part.amount if draft.part is not None and len(keys) == 1 else None
            return draft_bill(
                plan, history, keys, billing.so_far, deposit, draft.keeps_held, part, billing.for_items
            )


def _late_charge(draft: BillDraft, billing: JobBilling, plan: Plan, today: date) -> Bill:
    """Return the late charge on an invoice to this day, if the contract states one."""
    if draft.late_on is None:
        raise CannotIssue("Begin a late charge at the invoice that is late.")
    key = str(draft.late_on)
    owed = billing.books.account_of(billing.job.client_id).invoice(key)
    amount = unbilled_late_charge(billing.books, owed, billing.contract.late_percent, today)
    title = f"Late charge on {inside_sentence(key)} to {day_in_words(today)}"
    return draft_late_charge(plan, billing.history, title, key, amount)


def _returned_fee(draft: BillDraft, billing: JobBilling, plan: Plan) -> Bill:
    """Return the fee for a check that the bank returned, if the contract states one."""
    returned = draft.returned
    if returned is None or returned.of is None:
        raise CannotIssue("Begin the fee at the check that was returned.")
    title = f"Fee for {inside_sentence(returned.of.method_in_words())}, returned {day_in_words(returned.on)}"
    return draft_returned_check(plan, billing.history, title, str(returned), billing.contract.returned_fee)


def _not_reached(milestones: Iterable[Milestone]) -> Iterator[str]:
    for milestone in milestones:
        if not milestone.reached_on and not milestone.is_deposit:
            yield f"{milestone} isn't complete yet. Mark it complete on the schedule once it is."


def _settling_cents(bill: Bill, billing: JobBilling, plan: Plan) -> Decimal:
    """Return what the tax of this bill takes or leaves so that all bills come to the tax that was signed."""
    contract, percent = billing.contract, signed_tax_percent(billing.contract)
    if not percent:
        return NO_MONEY
    taxes = [(document.kind, read_sums(document.read_basis()).tax) for document in billing.bills]
    before = sum_money(tax if kind == Document.Kind.INVOICE else -tax for kind, tax in taxes)
    lines = (*billing.history, *bill.lines)
    return tax_correction(plan, lines, bill.taxable, percent, contract.tax - before)


def credit_to_issue(
    credited: CreditedInvoice,
    amounts: Mapping[tuple[str, str, str], Decimal] | None,
    note: str,
    billing: JobBilling | None,
    firm: Firm,
    today: date,
    *,
    given_up: bool = False,
    falls: bool = False,
) -> BillToIssue:
    """Return a credit note on an invoice as it would be issued today.

    It takes back all that is left of the invoice, or an amount of each line by its place; `note` says why for
    the client. What is `given_up` leaves the contract sum by a change; where the sum `falls` with this credit
    note, that change is still to come, and the credit note is as it will be after it. Raises CannotIssue.
    """
    invoice = credited.invoice
    if today < invoice.dated:
        day = day_in_words(invoice.dated)
        raise CannotIssue(f"{invoice} is dated {day}, which is still to come: set the clock right first.")
    if billing is None:
        raise CannotIssue(NO_PLAN)
    plan, history = billing.plan_to_credit(), billing.history
    over = billing_status(plan, history).over_contract
    if falls and over:
        raise CannotIssue(
            f"{format_price(over)} more than the contract sum is billed: take that back as billed by mistake "
            "first. Nothing of it can be billed again."
        )
    given_up = given_up or any(left < 0 for left in left_to_bill(plan, history).values())
    try:
        bill = draft_credit(plan, history, credited.lines, credited.credited, amounts, given_up)
    except CannotBill as error:
        raise CannotIssue(str(error)) from error
    head = _head(billing, firm, today, note=note)
    left = left_to_bill(plan, history)
    too_much = [line for line in bill.lines if line.kind in WORK_KINDS and left.get(line.milestone, -1) < 0]
    if falls and too_much:
        raise CannotIssue(
            f"More of {too_much[0].title} is billed than the contract has, as of what was canceled: take "
            "that back as billed by mistake. It is never billed again."
        )
    if falls:
        contract_sum = plan.contract_sum + total(given_up_lines(bill))
        bill = replace(bill, before=replace(bill.before, contract_sum=contract_sum))
        head = replace(head, signed_changes=head.signed_changes + 1)
    earlier = [document.read_snapshot() for document in credited.notes]
    snapshot = credit_snapshot(bill, head, invoice.read_snapshot(), earlier)
    of_invoice = invoice.total.amount - sum_money(note.total.amount for note in credited.notes)
    if Decimal(snapshot["total"]) > of_invoice:
        raise CannotIssue(
            f"With sales tax this comes to {format_price(Decimal(snapshot['total']))}, and "
            f"{format_price(of_invoice)} is left of {invoice}: take less of the work back."
        )
    unissued = _unissued(Document.Kind.CREDIT_NOTE, billing, snapshot, bill, corrects=str(invoice))
    return BillToIssue(bill, unissued, billing.contract.is_signed and not too_much)


def given_up_lines(bill: Bill) -> list[BillLine]:
    """Return the lines of a credit note that are work, which alone can be given up.

    Raises CannotIssue where it takes back anything else that was asked for.
    """
    others = [line for line in bill.lines if line.kind not in (*WORK_KINDS, *PROPORTIONAL_KINDS)]
    if others:
        raise CannotIssue(
            f"{others[0].title} isn't work: give up the work that it is of, on the invoice that billed it, "
            "or credit it as billed by mistake."
        )
    return [line for line in bill.lines if line.kind in WORK_KINDS]


def _head(
    billing: JobBilling,
    firm: Firm,
    today: date,
    due: date | None = None,
    note: str = "",
) -> BillHeader:
    job, contract = billing.job, billing.contract
    return BillHeader(
        firm=firm_party(firm),
        client=client_party(job.client),
        job=job.name,
        address=job.address,
        dated=today,
        due=due,
        paper_size=firm.paper_size,
        state=job.state,
        tax_permit=firm.tax_permit,
        tax_percent=signed_tax_percent(contract),
        contract=contract.documents[0].name if contract.is_signed else "canceled",
        how_to_pay=firm.how_to_pay,
        pay_link=firm.pay_link,
        late=_late_in_words(contract.late_percent),
        note=note,
        line_texts=_line_texts(billing),
        entered={key: change.entered() for key, change in billing.time_and_material.items()},
        signed_changes=len(contract.documents) - 1,
    )


def _photos(draft: BillDraft) -> list[tuple[str, str]]:
    """Return the photos that show the milestones of a bill met: captions, and JPEG in base 64."""
    if draft.kind != BillDraft.Kind.WORK:
        return []
    reached = [milestone for milestone in draft.milestones.all() if milestone.reached_on]
    photos = MilestonePhoto.objects.filter(milestone__in=reached).select_related("milestone")
    return [
        (f"{photo.milestone}, photo {number}", b64encode(bytes(photo.content)).decode("ascii"))
        for number, photo in enumerate(photos, 1)
    ]


def _open_before(billing: JobBilling, balance: JobBalance) -> list[OpenInvoice]:
    """Return the job's earlier invoices with money open, in the order of their due dates."""
    rows = [row for row in balance.owed if row.open and row.key in billing.books.documents]
    return [
        OpenInvoice(row.key, row.due, row.open) for row in sorted(rows, key=lambda row: (row.due, row.key))
    ]


def _line_texts(billing: JobBilling) -> dict[str, str]:
    """Return what a line says below its title: the condition that is met, or hours and receipts so far.

    A condition that nobody has marked as met isn't stated.
    """
    conditions = {
        milestone.key: milestone.condition
        for milestone in billing.job_plan.milestones
        if milestone.reached_on
    }
    plan = billing.job_plan.plan
    spread = {change.key: plan.spread_in_words(change.key) for change in plan.changes} if plan else {}
    measured = {key: change.in_words() for key, change in billing.time_and_material.items()}
    return conditions | spread | measured


def _late_in_words(percent: Decimal) -> str:
    """Say which late charge the contract states; empty where it states none."""
    if not percent:
        return ""
    return f"Money that is late costs {late_share(percent)} a year, counted by the day, as we agreed."


def _unissued(
    kind: Document.Kind,
    billing: JobBilling,
    snapshot: Mapping[str, Any],
    bill: Bill,
    due: date | None = None,
    corrects: str = "",
) -> UnissuedDocument:
    """Return the document to issue. Raises CannotIssue where EN 16931 wants something that is missing."""
    if missing := faults(einvoice_of(snapshot)):
        raise CannotIssue(*(_RULE_NUMBER.sub("", fault) for fault in missing))
    before_tax, total = Decimal(snapshot["before_tax"]), Decimal(snapshot["total"])
    taxable = sum_money(Decimal(group["base"]) for group in snapshot["taxed"])
    sums = BilledSums(before_tax, taxable, total - before_tax, due, corrects)
    return UnissuedDocument(
        kind=kind,
        job=billing.job,
        snapshot=snapshot,
        basis=write_basis(bill.lines, sums, billing.next_position),
        dated=date.fromisoformat(snapshot["dated"]),
        total=total,
    )
