"""Changes billed by hours and receipts: what was entered for them, and what that comes to up to the limit."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils import timezone

from catalog.measures.units import format_percent
from catalog.money.amounts import format_price
from catalog.money.markup import parse_markup
from estimating.models import Document, Job
from estimating.plain_text import list_in_words
from invoicing.billing.draft import EarnedSoFar
from invoicing.billing.lines import WORK_KINDS
from invoicing.billing.time_and_material import (
    HoursEntry,
    ReceiptEntry,
    TimeAndMaterialPrice,
    TimeAndMaterialTerms,
    price_time_and_material,
)
from invoicing.milestones.change_placement import replace_change, settle_time_and_material
from invoicing.milestones.contract_amounts import ContractAmounts, change_key
from invoicing.milestones.plan import Plan, SignedChange, sum_money
from invoicing.models import PaymentPlan, PlacedPart
from invoicing.payment_plan.plan import read_plan
from invoicing.snapshots.invoice import DayEntry, EnteredChange
from jobsite.corrections import keep_removed
from jobsite.models import HoursWorked, ReceiptKept


class StillBilled(ValueError):
    """An entry can't be deleted, because it is billed; the message says so in a plain sentence."""


@dataclass(frozen=True)
class TimeAndMaterial:
    """The part of a signed change that is billed by hours and receipts, each entry with its price.

    `document` is the primary key of the change order.
    """

    document: int
    change: SignedChange
    terms: TimeAndMaterialTerms
    tax_policy: str
    hours: Sequence[tuple[HoursWorked, Decimal]]
    receipts: Sequence[tuple[ReceiptKept, Decimal]]
    worth: TimeAndMaterialPrice

    @property
    def taxable(self) -> Decimal:
        """What is taxed of what can be billed: all of it, or what was bought with its markup.

        Never more than was signed.
        """
        taxed = self.worth.billable if self.tax_policy == "everything" else self.worth.material
        return min(taxed, self.change.taxable)

    @property
    def so_far(self) -> EarnedSoFar:
        """What it has come to so far, as the pure rules of bills take it."""
        return EarnedSoFar(self.worth.billable, self.taxable)

    def entered(self) -> EnteredChange:
        """Return what was entered for it, day by day, as a bill lists it."""
        hours = [
            DayEntry(row.on, f"{row.hours.normalize():f} hours{f', {row.says}' if row.says else ''}", price)
            for row, price in self.hours
        ]
        receipts = [
            DayEntry(
                row.on,
                f"{row.says}, receipt of {format_price(row.cost.amount + row.tax.amount)}",
                price,
            )
            for row, price in self.receipts
        ]
        entries = sorted((*hours, *receipts), key=lambda entry: entry.on)
        return EnteredChange(self.change.title, entries, self.worth.billable)

    def in_words(self) -> str:
        """Say how it came about, as the client reads it on the bill: "So far 3.5 hours at $80.00."."""
        hours = sum_money(row.hours for row, _ in self.hours).normalize()
        paid = sum_money(row.cost.amount + row.tax.amount for row, _ in self.receipts)
        parts = [f"{hours:f} hours at {format_price(self.terms.hour_price)}"] if hours else []
        if paid:
            parts.append(
                f"receipts of {format_price(paid)} with {format_percent(self.terms.markup.share)} on top"
            )
        return f"So far {list_in_words(parts)}; at most {format_price(self.worth.limit)}." if parts else ""


def read_time_and_material(*contracts: ContractAmounts) -> dict[str, TimeAndMaterial]:
    """Return the parts by hours and receipts of one or more contracts, by the keys of their changes.

    Costs two queries where there are any.
    """
    signed = {
        change_key(basis.document, True): basis for contract in contracts for basis in contract.documents[1:]
    }
    changes = {
        signed[change.key].document: change
        for contract in contracts
        for change in contract.as_signed
        if change.is_time_and_material
    }
    if not changes:
        return {}
    hours = list(HoursWorked.objects.filter(document__in=changes, key=""))
    receipts = list(ReceiptKept.objects.filter(document__in=changes))
    return {
        change.key: _time_and_material(
            document,
            change,
            signed[change.key].basis,
            [row for row in hours if row.document_id == document],
            [row for row in receipts if row.document_id == document],
        )
        for document, change in changes.items()
    }


def _time_and_material(
    document: int,
    change: SignedChange,
    basis: Mapping[str, Any],
    hours: Sequence[HoursWorked],
    receipts: Sequence[ReceiptKept],
) -> TimeAndMaterial:
    terms = TimeAndMaterialTerms(Decimal(basis["hour_price"]), parse_markup(basis["markup"]), change.amount)
    worth = price_time_and_material(
        terms,
        [HoursEntry(row.hours) for row in hours],
        [ReceiptEntry(row.cost.amount, row.tax.amount) for row in receipts],
    )
    return TimeAndMaterial(
        document,
        change,
        terms,
        basis["policy"]["tax_policy"],
        list(zip(hours, worth.hours, strict=True)),
        list(zip(receipts, worth.receipts, strict=True)),
        worth,
    )


@dataclass(frozen=True)
class BilledChange:
    """A change by hours and receipts: what is entered and billed of it, and the plan that counts on it."""

    entered: TimeAndMaterial
    billed: EarnedSoFar
    plan: Plan

    @property
    def planned_amount(self) -> Decimal:
        """What the plan counts on for it: its limit, or what it was settled at."""
        return self.plan.change(self.entered.change.key).amount

    @property
    def can_be_settled(self) -> bool:
        """Whether something was entered, and the plan counts on another amount."""
        worth = self.entered.worth
        return self.planned_amount != worth.billable and bool(worth.total)

    @property
    def is_overbilled(self) -> bool:
        """Whether less is entered than was billed, or less of it is taxed than was."""
        so_far = self.entered.so_far
        return so_far.amount < self.billed.amount or so_far.taxable < self.billed.taxable

    def settled(self) -> SignedChange:
        """Return the change at what it came to. Raises PlanFault where it can't end there."""
        change, so_far = self.entered.change, self.entered.so_far
        at_limit = replace_change(self.plan, change)
        plan = settle_time_and_material(
            at_limit, change.key, so_far.amount, so_far.taxable, self.billed.amount
        )
        return plan.change(change.key)


def read_billed_change(job: Job, document_id: int, *, lock: bool = False) -> BilledChange:
    """Return a change order's part by hours and receipts, with what is billed of it.

    With `lock`, inside a transaction, nobody else bills it meanwhile. Raises Document.DoesNotExist where the
    job has no such change or no plan that can stand.
    """
    job_plan = read_plan(job, lock=lock)
    changes = read_time_and_material(job_plan.contract).values() if job_plan else ()
    entered = next((change for change in changes if change.document == document_id), None)
    if job_plan is None or job_plan.plan is None or entered is None:
        raise Document.DoesNotExist("There is no such change by hours and receipts.")
    lines = [
        line for line in job_plan.history if line.kind in WORK_KINDS and line.change == entered.change.key
    ]
    billed = EarnedSoFar(sum_money(line.amount for line in lines), sum_money(line.taxable for line in lines))
    return BilledChange(entered, billed, job_plan.plan)


def delete_entry(
    job: Job, document_id: int, model: type[HoursWorked] | type[ReceiptKept], pk: int
) -> HoursWorked | ReceiptKept:
    """Delete hours or a receipt, and return the deleted row.

    Raises StillBilled where less would be entered than was billed or taxed, and ObjectDoesNotExist where
    there is no such entry; then nothing is deleted.
    """
    with transaction.atomic():
        PaymentPlan.objects.select_for_update().filter(job=job).first()
        entry = model.objects.get(pk=pk, document=document_id, document__job=job)
        keep_removed(entry, timezone.now())
        entry.delete()
        if fault := fault_of_entries(job, document_id):
            raise StillBilled(fault)
    return entry


def fault_of_entries(job: Job, document_id: int) -> str:
    """Return why less can't be entered for a change than is billed or taxed; empty where it isn't less."""
    try:
        change = read_billed_change(job, document_id)
    except Document.DoesNotExist:
        return ""
    except ValueError:
        return "More went back to the store than was bought for this change. Check which change it was for."
    if not change.is_overbilled:
        return ""
    return (
        f"{format_price(change.billed.amount)} is billed of this: without that, less would be entered "
        "than was billed or taxed. Give a credit note first."
    )


def settle_change(job: Job, document_id: int) -> SignedChange:
    """Have the plan count on what a change by hours and receipts came to, no longer on its limit.

    Raises PlanFault where it can't end there, and Document.DoesNotExist as `read_billed_change`.
    """
    with transaction.atomic():
        change = read_billed_change(job, document_id, lock=True).settled()
        PlacedPart.objects.filter(document=document_id, by_measure=True).update(
            amount=change.amount, taxable=change.taxable
        )
    return change
