"""Lien waivers that go with an invoice: what one may say now, and the paper to issue."""

from datetime import date

from catalog.models import Firm
from estimating.documents.issue import UnissuedDocument
from estimating.estimates.snapshots import client_party, firm_party
from estimating.models import Document
from invoicing.billing.lien_waiver import CannotWaive, WaivableMoney, WaiverKind, waived_amount
from invoicing.billing.status import billing_status
from invoicing.invoices.job_billing import JobBilling, plan_to_credit
from invoicing.ledger.accounts import job_balance
from invoicing.models import StateWaiver
from invoicing.snapshots.waiver import Waiver, waiver_snapshot


def waivable_money(invoice: Document, billing: JobBilling, today: date) -> WaivableMoney:
    """Return what is open, paid and left to bill, for the rules."""
    owed, balance = billing.books.owed_on(invoice), job_balance(billing.books, billing.job, today)
    left = billing_status(plan_to_credit(billing.job_plan), billing.history).left
    return WaivableMoney(owed.open, owed.paid, balance.open, balance.paid, left)


def likely_kind(money: WaivableMoney) -> WaiverKind:
    """Return the waiver that fits: conditional while money is open, final where all is billed."""
    by_likelihood = (
        WaiverKind.CONDITIONAL_FINAL,
        WaiverKind.UNCONDITIONAL_FINAL,
        WaiverKind.CONDITIONAL_PROGRESS,
    )
    for kind in by_likelihood:
        try:
            waived_amount(kind, money)
        except CannotWaive:
            continue
        return kind
    return WaiverKind.UNCONDITIONAL_PROGRESS


def waiver_to_issue(
    invoice: Document,
    kind: WaiverKind,
    money: WaivableMoney,
    firm: Firm,
    *,
    through: date,
    today: date,
    exceptions: str = "",
    signed_by: str = "",
) -> UnissuedDocument:
    """Return a waiver to be issued and sent as any paper of the job. Raises CannotWaive."""
    amount, job = waived_amount(kind, money), invoice.job
    prescribed = StateWaiver.objects.filter(kind=kind).first()
    waiver = Waiver(
        kind=kind,
        firm=firm_party(firm),
        client=client_party(job.client),
        job=job.name,
        address=job.address,
        paper_size=firm.paper_size,
        invoice=str(invoice),
        amount=amount,
        through=through,
        dated=today,
        exceptions=exceptions,
        text=prescribed.text if prescribed else "",
        citation=prescribed.citation if prescribed else "",
        signed_by=signed_by,
    )
    return UnissuedDocument(
        kind=Document.Kind.WAIVER,
        job=job,
        snapshot=waiver_snapshot(waiver),
        basis={"invoice": invoice.pk},
        dated=today,
        total=amount,
    )
