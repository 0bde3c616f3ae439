"""What billing adds to the documents, pages and checks of this app.

Milestones and bills belong to the app above, which imports this one and never the other way round. Its
`AppConfig.ready` registers one object that answers the methods of `BillingHooks`; everybody here asks
`billing()`. Where nothing is registered, `NoBilling` answers: documents say nothing of milestones.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Any, Protocol

from catalog.money.amounts import format_price
from estimating.contract.document_amounts import TaxedAmount
from estimating.documents.milestone_work import MilestoneWork
from estimating.documents.pdf_metadata import Attachment
from estimating.documents.progress_step import ProgressStep
from estimating.models import ChangeOrder, Client, Document, Job
from estimating.plain_text import day_in_words, list_in_words


class PaymentsUnfit(ValueError):
    """The payments that a document would print don't add up; the message says why in a plain sentence."""


@dataclass(frozen=True)
class ClientBill:
    """An invoice as its client sees it: when it is due, what it comes to, and what came."""

    due: date
    total: Decimal
    credited: Decimal
    paid: Decimal

    @property
    def asked(self) -> Decimal:
        """What it asks for, less what a credit note took back."""
        return self.total - self.credited

    @property
    def open(self) -> Decimal:
        return self.asked - self.paid

    @property
    def is_receipted(self) -> bool:
        """Whether it is paid in full, so that there is a receipt."""
        return bool(self.paid) and not self.open

    def what_came(self) -> str:
        """Say what came: "$100.00 is paid; $300.00 is left to pay." Empty where nothing did."""
        came = [(self.paid, "is paid"), (self.credited, "is credited")]
        words = [f"{format_price(amount)} {how}" for amount, how in came if amount]
        if not words:
            return ""
        rest = (
            f"{format_price(self.open)} is left to pay."
            if self.open
            else "nothing is left to pay. Thank you."
        )
        return f"{list_in_words(words)}; {rest}"

    def in_words(self) -> str:
        """Say how it is paid: "$300.00 to pay by Fri 6 Mar 2026", "paid", "taken back"."""
        if self.open:
            return f"{format_price(self.open)} to pay by {day_in_words(self.due)}"
        return "paid" if self.paid else "credited" if self.total else "nothing to pay"


@dataclass(frozen=True)
class ClientMoney:
    """How the invoices among a client's papers are paid, by primary key, and what he holds as credit."""

    bills: Mapping[int, ClientBill] = field(default_factory=dict)
    credit: Decimal = Decimal("0.00")


@dataclass(frozen=True)
class RefundDue:
    """Money that goes back to a client who canceled a document, and the last day for it (16 CFR 429.1).

    `canceled_on` is when it was canceled.
    """

    document: Document
    amount: Decimal
    canceled_on: date
    by: date

    @property
    def job(self) -> Job:
        return self.document.job

    @property
    def is_of_change(self) -> bool:
        """Whether a change alone was canceled, and the rest of the contract stands."""
        return self.document.kind == Document.Kind.CHANGE_ORDER

    def days_late(self, today: date) -> int:
        """Return the days past its last day; 0 until then."""
        return max((today - self.by).days, 0)

    def in_words(self) -> str:
        """Say what to do, as a next step."""
        what = f" {self.document}" if self.is_of_change else ""
        amount, day = format_price(self.amount), day_in_words(self.by)
        return f"give back {amount} by {day}: the client canceled{what}"


class BillingHooks(Protocol):
    """The questions that this app asks of billing."""

    def estimate_payments(self, job: Job, basis: Mapping[str, Any]) -> tuple[dict[str, Any], dict[str, Any]]:
        """Return what an estimate shows under "payments", from its basis, and what its basis keeps of it.

        Both are empty for nothing. Raises PaymentsUnfit.
        """
        ...

    def payments_with(self, basis: Mapping[str, Any], amount: Decimal) -> list[dict[str, str]]:
        """Return the payments of an issued estimate where it comes to an amount with the options taken.

        Each has its name and amount, in the order of the paper; empty where the basis keeps none.
        """
        ...

    def estimate_terms(self) -> tuple[list[str], dict[str, str]]:
        """Return the sentences that billing adds to the terms of an estimate, and what its basis keeps."""
        ...

    def change_payments(
        self, change: ChangeOrder, basis: Mapping[str, Any]
    ) -> tuple[dict[str, Any], list[dict[str, Any]]]:
        """Return what a change order shows under "payments" and what its basis keeps under "plan".

        Both are empty for nothing. Raises PaymentsUnfit.
        """
        ...

    def settled_hours(self, jobs: Iterable[Job]) -> Mapping[int, TaxedAmount]:
        """Return what work by the hour counts at, by the primary key of its change order.

        That is its limit, and once it is settled what it came to. Costs a query.
        """
        ...

    def finished_work(self, jobs: Iterable[Job]) -> Mapping[tuple[int, str], date]:
        """Return the finished lines of signed work, by document and key, each with its day. Costs a query."""
        ...

    def work_ended(self, jobs: Iterable[Job]) -> Mapping[int, date]:
        """Return the day on which the last milestone was reached, by job where all are. Costs a query."""
        ...

    def billed(self, since: date, until: date) -> Decimal:
        """Return what was billed between two days, both counted, before tax and less what was credited."""
        ...

    def fault_of_entries(self, job: Job, change: int) -> str:
        """Return why hours and receipts of a signed change can't be as they are now: less than is billed.

        `change` is the primary key of the change order; empty where nothing speaks against them.
        """
        ...

    def still_to_ask(self, job: Job) -> Decimal | None:
        """Return what of a signed contract no bill has asked for, with the retainage held, before sales tax.

        None where there is no payment schedule to bill by. Costs six queries.
        """
        ...

    def document_signed(self, document: Document) -> None:
        """Do what follows from a signature, in the transaction that keeps it."""
        ...

    def client_money(self, client: Client, documents: Sequence[Document]) -> ClientMoney:
        """Return how a client's invoices among documents are paid, and his credit. Costs three queries."""
        ...

    def attachment(self, snapshot: Mapping[str, Any]) -> Attachment | None:
        """Return the file that goes inside the PDF of a snapshot; None for none."""
        ...

    def document_faults(self, document: Document, snapshot: Mapping[str, Any]) -> Iterable[str]:
        """Yield a sentence for each thing that isn't as it was issued in a document of billing's kinds."""
        ...

    def kept_faults(self) -> Iterable[str]:
        """Yield a sentence for each sum that is kept and isn't what it was worked out from."""
        ...

    def client_changed(self, before: int, after: int) -> None:
        """Do what follows where a job is another client's now; `before` and `after` are primary keys."""
        ...

    def document_page(self, document: Document, today: date) -> dict[str, Any]:
        """Return what the page of a document shows beside it: a context with its template as `beside`.

        Empty for a document that isn't billing's.
        """
        ...

    def next_steps(self, jobs: Sequence[Job], today: date) -> Mapping[int, ProgressStep]:
        """Return the next step of each of these signed jobs, by the primary key of the job."""
        ...

    def refunds_due(self, jobs: Sequence[Job]) -> Sequence[RefundDue]:
        """Return what goes back to clients who canceled on these jobs, the earliest last day first."""
        ...

    def milestones_by_work(self, job: Job) -> Sequence[MilestoneWork]:
        """Return the milestones of a signed job that aren't reached, with the work that reaches them.

        In their order; none where there is no payment schedule, or it can't stand.
        """
        ...


class NoBilling(BillingHooks):
    """The answers where no app bills: nothing is added anywhere."""

    def estimate_payments(self, job: Job, basis: Mapping[str, Any]) -> tuple[dict[str, Any], dict[str, Any]]:
        return {}, {}

    def payments_with(self, basis: Mapping[str, Any], amount: Decimal) -> list[dict[str, str]]:
        return []

    def estimate_terms(self) -> tuple[list[str], dict[str, str]]:
        return [], {}

    def change_payments(
        self, change: ChangeOrder, basis: Mapping[str, Any]
    ) -> tuple[dict[str, Any], list[dict[str, Any]]]:
        return {}, []

    def settled_hours(self, jobs: Iterable[Job]) -> Mapping[int, TaxedAmount]:
        return {}

    def finished_work(self, jobs: Iterable[Job]) -> Mapping[tuple[int, str], date]:
        return {}

    def work_ended(self, jobs: Iterable[Job]) -> Mapping[int, date]:
        return {}

    def billed(self, since: date, until: date) -> Decimal:
        return Decimal("0.00")

    def fault_of_entries(self, job: Job, change: int) -> str:
        return ""

    def still_to_ask(self, job: Job) -> Decimal | None:
        return None

    def document_signed(self, document: Document) -> None:
        return None

    def client_money(self, client: Client, documents: Sequence[Document]) -> ClientMoney:
        return ClientMoney()

    def attachment(self, snapshot: Mapping[str, Any]) -> Attachment | None:
        return None

    def document_faults(self, document: Document, snapshot: Mapping[str, Any]) -> Iterable[str]:
        return ()

    def kept_faults(self) -> Iterable[str]:
        return ()

    def client_changed(self, before: int, after: int) -> None:
        return None

    def document_page(self, document: Document, today: date) -> dict[str, Any]:
        return {}

    def next_steps(self, jobs: Sequence[Job], today: date) -> Mapping[int, ProgressStep]:
        return {}

    def refunds_due(self, jobs: Sequence[Job]) -> Sequence[RefundDue]:
        return ()

    def milestones_by_work(self, job: Job) -> Sequence[MilestoneWork]:
        return ()


_registered: BillingHooks = NoBilling()


def register(hooks: BillingHooks) -> None:
    """Let these hooks answer from now on. Called once, by the `ready` of the app above."""
    global _registered
    _registered = hooks


def billing() -> BillingHooks:
    """Return the registered hooks, or those that answer nothing."""
    return _registered
