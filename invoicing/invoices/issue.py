"""Issuing invoices and credit notes: what each shows, why it can't be issued yet, and the place it takes.

A bill is worked out from plan and history outside any transaction. As it is kept, under the lock of the
firm's events and of the job's plan, its place among the job's bills must still be the next one, and
what is billed must still be within the plan: so nothing is billed twice, whoever bills at the same moment.
"""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from catalog.models import Firm
from estimating.documents.issue import CannotIssue, Unissued, issue
from estimating.models import Document, Job
from estimating.plain_text import day_in_words
from estimating.snapshots.wording import Party
from invoicing.billing.basis import BilledSums, read_lines, read_sums, write_basis
from invoicing.billing.credit_note import draft_credit
from invoicing.billing.draft import (
    Bill,
    CannotBill,
    Standing,
    cents_to_settle,
    check_redrawn,
    draft_bill,
    draft_deposit,
    draft_late_charge,
    draft_release,
    standing,
)
from invoicing.einvoice.faults import faults
from invoicing.invoices.lists import credit_notes
from invoicing.invoices.time_and_material import measured_changes, worth_of
from invoicing.ledger.accounts import Books, job_money, read_books
from invoicing.ledger.history import billed_documents
from invoicing.milestones import plan as rules
from invoicing.milestones.plan import NO_MONEY, Plan, PlanFault
from invoicing.models import BillDraft, Billed, Milestone, MoneyRules, PaymentPlan
from invoicing.payment_plan.plan import DrawnPlan, read_plan
from invoicing.reminders.reminders import late_charge_of
from invoicing.snapshots.invoice import Before, Head, credit_snapshot, einvoice_of, invoice_snapshot

NO_PLAN = "There is no plan of payments yet: draw one first."
NOT_SIGNED = "The estimate isn't signed yet: have it signed, then bill by its plan."
MEANWHILE = "Something else of this job was billed, credited or changed meanwhile. Read this one again."
_RULE = re.compile(r" \((?:BR|BG)-[^)]*\)")


@dataclass(frozen=True)
class ToIssue:
    """A bill or credit note with the paper that it would be issued as."""

    bill: Bill
    paper: Unissued


def billing_plan(job: Job) -> DrawnPlan:
    """The plan that the job is billed by. Raises CannotIssue where there is none to bill by."""
    drawn = _drawn(job)
    if not drawn.agreed.is_signed:
        raise CannotIssue(NOT_SIGNED)
    if drawn.plan is None:
        raise CannotIssue(drawn.fault)
    return drawn


def bill_to_issue(draft: BillDraft, firm: Firm, today: date) -> ToIssue:
    """The bill as it would be issued today. Raises CannotIssue with every reason against it."""
    place = _next_place(draft.job)
    drawn = billing_plan(draft.job)
    books = read_books(draft.job.client)
    bill = _late(draft, drawn, books, today) if draft.kind == BillDraft.Kind.LATE else _bill(draft, drawn)
    money = job_money(books, draft.job, today)
    due = draft.due_on or today + timedelta(days=firm.pay_within_days)
    if due < today:
        raise CannotIssue("It would be due before its date: give it a later day.")
    shown = invoice_snapshot(
        bill,
        _head(draft.job, drawn, firm, today, due=due, note=draft.note),
        Before(paid=money.paid, credit=money.credit),
        _cents(bill, drawn),
    )
    return ToIssue(bill, _unissued(Document.Kind.INVOICE, draft.job, shown, bill, place, due))


def _cents(bill: Bill, drawn: DrawnPlan) -> Decimal:
    """What the tax of this bill takes or leaves so that all bills come to the tax that was signed."""
    percent, agreed = _tax_percent(drawn), drawn.agreed
    if not percent or drawn.plan.changes != agreed.changes:
        return NO_MONEY
    sums = [(each.kind, read_sums(each.read_basis()).tax) for each in billed_documents(drawn.kept.job)]
    before = sum((tax if kind == Document.Kind.INVOICE else -tax for kind, tax in sums), NO_MONEY)
    return cents_to_settle(
        drawn.plan, (*drawn.history, *bill.lines), bill.taxable, percent, agreed.tax - before
    )


def _tax_percent(drawn: DrawnPlan) -> Decimal:
    """The rate that was signed; 0 where no tax is charged."""
    policy = drawn.agreed.papers[0].basis["policy"]
    if policy["tax_policy"] not in ("materials", "everything"):
        return Decimal(0)
    return _percent(policy["tax_rate"])


def _next_place(job: Job) -> int:
    """Read before the history, so that what is billed between the two is noticed."""
    return Billed.objects.filter(job=job).count() + 1


def _bill(draft: BillDraft, drawn: DrawnPlan) -> Bill:
    deposit = draft.deposit.amount if draft.deposit else None
    try:
        if draft.kind == BillDraft.Kind.DEPOSIT:
            return draft_deposit(drawn.plan, drawn.history)
        if draft.kind == BillDraft.Kind.RELEASE:
            release = draft.release.amount if draft.release else None
            return draft_release(drawn.plan, drawn.history, release)
        chosen = list(draft.milestones.all())
        if reasons := tuple(_not_reached(chosen)):
            raise CannotIssue(*reasons)
        worth = worth_of(measured_changes(drawn.agreed))
        return draft_bill(drawn.plan, drawn.history, [each.key for each in chosen], worth, deposit)
    except (CannotBill, PlanFault) as error:
        raise CannotIssue(str(error)) from error


def _late(draft: BillDraft, drawn: DrawnPlan, books: Books, today: date) -> Bill:
    """The late charge on an invoice to this day, where the firm's contracts state one."""
    if draft.late_on is None:
        raise CannotIssue("Begin a late charge at the invoice that is late.")
    key = str(draft.late_on)
    owed = books.of(draft.job.client_id).invoice(key)
    amount = late_charge_of(books, owed, MoneyRules.current(), today)
    title = f"Late charge on {key.lower()} to {day_in_words(today)}"
    try:
        return draft_late_charge(drawn.plan, drawn.history, title, key, amount)
    except CannotBill as error:
        raise CannotIssue(str(error)) from error


def _not_reached(chosen: Iterable[Milestone]) -> Iterator[str]:
    for each in chosen:
        if not each.reached_on and not each.is_deposit:
            yield f"{each} isn't reached yet. Mark it reached on the plan when anyone can see that it is."


def _drawn(job: Job) -> DrawnPlan:
    drawn = read_plan(job)
    if drawn is None:
        raise CannotIssue(NO_PLAN)
    return drawn


def _plan_to_credit(drawn: DrawnPlan) -> Plan:
    """What a credit note is held against. Where the client canceled, nothing is agreed any more; and a plan
    that can't stand as it is doesn't keep a bill from being taken back."""
    if drawn.plan and drawn.agreed.is_signed:
        return drawn.plan
    agreed = drawn.agreed.contract_sum if drawn.agreed.is_signed else NO_MONEY
    return Plan(agreed, (rules.Milestone("", "", "", agreed),))


def credit_to_issue(
    invoice: Document,
    amounts: Mapping[tuple[str, str, str], Decimal] | None,
    note: str,
    firm: Firm,
    today: date,
) -> ToIssue:
    """A credit note on an invoice: all that is left of it, or an amount of each line by its place.

    Raises CannotIssue.
    """
    if today < invoice.dated:
        day = day_in_words(invoice.dated)
        raise CannotIssue(f"{invoice} is dated {day}, which is still to come: set the clock right first.")
    place = _next_place(invoice.job)
    drawn = _drawn(invoice.job)
    earlier = list(credit_notes(invoice))
    credited = [line for each in earlier for line in read_lines(each.read_basis())]
    try:
        bill = draft_credit(
            _plan_to_credit(drawn), drawn.history, read_lines(invoice.read_basis()), credited, amounts
        )
    except CannotBill as error:
        raise CannotIssue(str(error)) from error
    head = _head(invoice.job, drawn, firm, today, note=note)
    shown = credit_snapshot(bill, head, invoice.read_snapshot(), [each.read_snapshot() for each in earlier])
    paper = _unissued(Document.Kind.CREDIT_NOTE, invoice.job, shown, bill, place, corrects=str(invoice))
    return ToIssue(bill, paper)


def _head(
    job: Job, drawn: DrawnPlan, firm: Firm, today: date, due: date | None = None, note: str = ""
) -> Head:
    client = job.client
    return Head(
        firm=Party(firm.name, firm.owner, firm.license, firm.address, firm.phone, firm.email),
        client=Party(client.name, address=client.address, phone=client.phone, email=client.email),
        job=job.name,
        address=job.address,
        dated=today,
        due=due,
        paper_size=firm.paper_size,
        state=job.state,
        tax_permit=firm.tax_permit,
        tax_percent=_tax_percent(drawn),
        contract=drawn.agreed.papers[0].name if drawn.agreed.is_signed else "canceled",
        how_to_pay=firm.how_to_pay,
        late=late_words(),
        note=note,
        says=_says(drawn),
        signed_changes=len(drawn.agreed.papers) - 1,
    )


def _says(drawn: DrawnPlan) -> dict[str, str]:
    """What a line says below its title: the condition that is met, or the hours and receipts so far."""
    conditions = {row.key: row.condition for row in drawn.rows}
    return conditions | {key: each.in_words() for key, each in measured_changes(drawn.agreed).items()}


def late_words() -> str:
    """The late charge that the firm's contracts state; empty where they state none. Costs a query."""
    percent = MoneyRules.current().late_percent
    if not percent:
        return ""
    return f"Money that is late costs {percent.normalize():f}% a year, counted by the day, as we agreed."


def _percent(rate: str) -> Decimal:
    """A share as it is kept, "13/200", in percent."""
    top, _, bottom = rate.partition("/")
    return Decimal(top) * 100 / Decimal(bottom or "1")


def _unissued(
    kind: Document.Kind,
    job: Job,
    shown: Mapping[str, Any],
    bill: Bill,
    place: int,
    due: date | None = None,
    corrects: str = "",
) -> Unissued:
    """Raises CannotIssue where the standard wants something that is missing."""
    if missing := faults(einvoice_of(shown)):
        raise CannotIssue(*(_RULE.sub("", each) for each in missing))
    before_tax, total = Decimal(shown["before_tax"]), Decimal(shown["total"])
    taxable = sum((Decimal(each["base"]) for each in shown["taxed"]), NO_MONEY)
    sums = BilledSums(before_tax, taxable, total - before_tax, due, corrects)
    return Unissued(
        kind=kind,
        job=job,
        snapshot=shown,
        basis=write_basis(bill.lines, sums, place),
        dated=date.fromisoformat(shown["dated"]),
        total=total,
    )


def issue_bill(draft: BillDraft, paper: Unissued, at: datetime) -> Document:
    """Issue the invoice; the draft is gone then. Issued already, it comes back as it was.

    Call outside any transaction. Raises CannotIssue, and PangoMissing of estimating.paper.
    """

    def take_place(document: Document) -> None:
        _take_place(document, paper)
        BillDraft.objects.filter(pk=draft.pk).delete()

    return issue(paper, at, take_place)


def issue_credit(invoice: Document, paper: Unissued, at: datetime) -> Document:
    """Issue a credit note; it frees what it takes back to be billed again. Raises as `issue_bill`."""
    return issue(paper, at, lambda document: _take_place(document, paper, invoice))


def _take_place(document: Document, paper: Unissued, corrects: Document | None = None) -> None:
    """Give an issued paper its place, if nothing has moved since it was worked out."""
    PaymentPlan.objects.select_for_update().get(job=document.job)
    place = paper.basis["place"]
    if _next_place(document.job) != place:
        raise CannotIssue(MEANWHILE)
    Billed.objects.create(document=document, job=document.job, place=place, corrects=corrects)
    drawn = billing_plan(document.job) if corrects is None else _drawn(document.job)
    stands = standing(drawn.plan if corrects is None else _plan_to_credit(drawn), drawn.history)
    if stands.contract_sum != Decimal(paper.snapshot["contract"]["sum"]):
        raise CannotIssue(MEANWHILE)
    if corrects is None:
        _refuse_beyond(drawn, stands)


def _refuse_beyond(drawn: DrawnPlan, stands: Standing) -> None:
    """Raise CannotIssue where the plan that is in force now has less than is billed with this bill."""
    try:
        check_redrawn(drawn.plan, drawn.history)
    except PlanFault as error:
        raise CannotIssue(MEANWHILE) from error
    if stands.beyond:
        raise CannotIssue(MEANWHILE)
