"""What can be billed of a job now: reached milestones, the deposit, retainage that is held."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from invoicing.billing.draft import due_now, is_last_bill
from invoicing.billing.status import BillingStatus, billing_status
from invoicing.invoices.time_and_material import TimeAndMaterial, read_time_and_material
from invoicing.milestones.plan import NO_MONEY
from invoicing.models import BillDraft, Milestone
from invoicing.payment_plan.plan import JobPlan


@dataclass(frozen=True)
class BillOffer:
    """A bill that can be begun beside those of milestones: its kind, what its button says, its amount."""

    kind: BillDraft.Kind
    label: str
    amount: Decimal
    is_next: bool  # whether it is what to do next, and not just possible


@dataclass(frozen=True)
class Billable:
    """What can be billed now; `status` is how the job stands, `deposit` what isn't asked for of it yet.

    `releases` says that a bill of all these milestones is the last one, and could release retainage;
    `for_items` is what the open items of the punch list are worth.
    """

    status: BillingStatus
    milestones: tuple[Milestone, ...]
    deposit: Decimal
    releases: bool = False
    for_items: Decimal = NO_MONEY

    @property
    def retainage(self) -> Decimal:
        """What of the retainage held can be billed."""
        return self.status.releasable(self.for_items)

    @property
    def held_for_items(self) -> Decimal:
        """What stays held for the punch list: its worth, never more than is still to be asked for."""
        return max(min(self.for_items, self.status.left), NO_MONEY)

    @property
    def offers(self) -> list[BillOffer]:
        """The bills that can be begun without a milestone."""
        offers = (
            BillOffer(BillDraft.Kind.DEPOSIT, "Bill the deposit", self.deposit, is_next=True),
            BillOffer(BillDraft.Kind.RELEASE, "Bill the retainage held", self.retainage, is_next=False),
        )
        return [offer for offer in offers if offer.amount]


def billable_by(
    job_plan: JobPlan | None,
    time_and_material: Mapping[str, TimeAndMaterial],
    for_items: Decimal = NO_MONEY,
) -> Billable | None:
    """Return what can be billed by a plan; None before there is a signed plan that can stand.

    `time_and_material` are the changes by hours and receipts, by their keys; `for_items` is what the open
    items of the punch list are worth.
    """
    if job_plan is None or job_plan.plan is None or not job_plan.contract.is_signed:
        return None
    plan, history = job_plan.plan, job_plan.history
    so_far = {key: change.so_far for key, change in time_and_material.items()}
    status = billing_status(plan, history)
    reached = tuple(
        milestone
        for milestone in job_plan.milestones
        if (milestone.reached_on or milestone.is_deposit) and due_now(plan, history, milestone.key, so_far)
    )
    is_last = is_last_bill(plan, history, [milestone.key for milestone in reached], so_far)
    releases = is_last and bool(plan.retainage or status.held)
    return Billable(status, reached, max(plan.deposit - status.deposit, NO_MONEY), releases, for_items)


def amount_due(job_plan: JobPlan, milestone: Milestone) -> Decimal:
    """Return what a bill of a milestone would ask for its work now; $0.00 while the plan can't stand.

    Costs two queries where a change goes by hours and receipts.
    """
    if job_plan.plan is None:
        return NO_MONEY
    changes = read_time_and_material(job_plan.contract)
    so_far = {key: change.so_far for key, change in changes.items()}
    return due_now(job_plan.plan, job_plan.history, milestone.key, so_far)
