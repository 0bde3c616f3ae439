"""The answers of this app to what estimating asks of billing."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from estimating.contract.document_amounts import TaxedAmount
from estimating.documents.billing_hooks import BillingHooks, ClientMoney, RefundDue
from estimating.documents.milestone_work import MilestoneWork
from estimating.documents.pdf_metadata import Attachment
from estimating.documents.progress_step import ProgressStep
from estimating.models import ChangeOrder, Client, Document, Job
from invoicing import billing_step
from invoicing.bookkeeping.statement import statement_faults
from invoicing.invoices import einvoice_attachment, issued, time_and_material, verification
from invoicing.ledger import kept_sums
from invoicing.models import MoneyRules
from invoicing.payment_plan import finished_work, signed_schedule, snapshots
from invoicing.payment_plan.contract import read_settled_hours
from invoicing.payment_plan.finished_work import finished_days, work_ended
from invoicing.payments import refunds

BILLS = frozenset({Document.Kind.INVOICE, Document.Kind.CREDIT_NOTE})


class InvoicingHooks(BillingHooks):
    """Each answer is a function of the package that knows the subject."""

    def estimate_payments(self, job: Job, basis: Mapping[str, Any]) -> tuple[dict[str, Any], dict[str, Any]]:
        return snapshots.estimate_payments(job, basis)

    def payments_with(self, basis: Mapping[str, Any], amount: Decimal) -> list[dict[str, str]]:
        return signed_schedule.payments_with(basis, amount)

    def estimate_terms(self) -> tuple[list[str], dict[str, str]]:
        return snapshots.estimate_terms(MoneyRules.current())

    def change_payments(
        self, change: ChangeOrder, basis: Mapping[str, Any]
    ) -> tuple[dict[str, Any], list[dict[str, Any]]]:
        return snapshots.change_payments(change, basis)

    def settled_hours(self, jobs: Iterable[Job]) -> Mapping[int, TaxedAmount]:
        return read_settled_hours(jobs)

    def finished_work(self, jobs: Iterable[Job]) -> Mapping[tuple[int, str], date]:
        return finished_days(jobs)

    def work_ended(self, jobs: Iterable[Job]) -> Mapping[int, date]:
        return work_ended(jobs)

    def billed(self, since: date, until: date) -> Decimal:
        return kept_sums.billed_before_tax(since, until)

    def fault_of_entries(self, job: Job, change: int) -> str:
        return time_and_material.fault_of_entries(job, change)

    def still_to_ask(self, job: Job) -> Decimal | None:
        return finished_work.still_to_ask(job)

    def document_signed(self, document: Document) -> None:
        snapshots.document_signed(document)

    def client_money(self, client: Client, documents: Sequence[Document]) -> ClientMoney:
        return issued.client_money(client, documents)

    def attachment(self, snapshot: Mapping[str, Any]) -> Attachment | None:
        return einvoice_attachment.xml_attachment(snapshot) if snapshot["kind"] in BILLS else None

    def document_faults(self, document: Document, snapshot: Mapping[str, Any]) -> Iterable[str]:
        if document.kind == Document.Kind.STATEMENT:
            return statement_faults(snapshot)
        return verification.bill_faults(document, snapshot) if document.kind in BILLS else ()

    def kept_faults(self) -> Iterable[str]:
        return kept_sums.faults()

    def client_changed(self, before: int, after: int) -> None:
        kept_sums.keep_accounts([before, after])

    def document_page(self, document: Document, today: date) -> dict[str, Any]:
        return issued.document_page(document, today) if document.kind in BILLS else {}

    def next_steps(self, jobs: Sequence[Job], today: date) -> Mapping[int, ProgressStep]:
        return billing_step.next_steps(jobs, today)

    def refunds_due(self, jobs: Sequence[Job]) -> Sequence[RefundDue]:
        return refunds.refunds_due(jobs)

    def milestones_by_work(self, job: Job) -> Sequence[MilestoneWork]:
        return finished_work.milestones_by_work(job)
