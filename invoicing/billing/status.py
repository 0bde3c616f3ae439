"""How far a job is billed: what was asked for, held back and left to bill, from its plan and history."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from catalog.money.amounts import format_price
from invoicing.billing.lines import (
    BESIDE_CONTRACT_KINDS,
    DEPOSIT_KINDS,
    RETAINAGE_KINDS,
    WORK_KINDS,
    BillLine,
    BillLineKind,
    total,
    total_taxable,
    work_billed,
)
from invoicing.milestones.plan import NO_MONEY, Plan, PlanFault


@dataclass(frozen=True)
class BillingStatus:
    """The sums of a job's billing history, before sales tax and without late charges and fees."""

    contract_sum: Decimal
    work: Decimal  # milestones and signed changes, before retainage and deposit
    held: Decimal  # retainage held back and not released
    held_taxable: Decimal
    deposit: Decimal  # billed in all
    deposit_left: Decimal  # billed and not yet taken off a later bill
    deposit_left_taxable: Decimal
    billed: Decimal

    @property
    def left(self) -> Decimal:
        """What is left to ask for, with the retainage held; `billed` + `left` = `contract_sum`."""
        return self.contract_sum - self.billed

    def releasable(self, for_items: Decimal) -> Decimal:
        """Return what of the retainage held can be billed while `for_items` stays held for a punch list."""
        not_held = max(self.left - self.held, NO_MONEY)
        stays = max(min(for_items, self.left) - not_held, NO_MONEY)
        return max(self.held - stays, NO_MONEY)

    @property
    def over_contract(self) -> Decimal:
        """What is billed beyond the contract sum, as after a signed deduction; it has to be credited."""
        return max(self.billed - self.contract_sum, self.work - self.contract_sum, NO_MONEY)


def billing_status(plan: Plan, history: Iterable[BillLine]) -> BillingStatus:
    """Sum up the billing history of a plan."""
    lines = [line for line in history if line.kind not in BESIDE_CONTRACT_KINDS]
    retainage = [line for line in lines if line.kind in RETAINAGE_KINDS]
    deposits = [line for line in lines if line.kind in DEPOSIT_KINDS]
    return BillingStatus(
        contract_sum=plan.contract_sum,
        work=total(line for line in lines if line.kind in WORK_KINDS),
        held=-total(retainage),
        held_taxable=-total_taxable(retainage),
        deposit=total(line for line in lines if line.kind == BillLineKind.DEPOSIT),
        deposit_left=total(deposits),
        deposit_left_taxable=total_taxable(deposits),
        billed=total(lines),
    )


def left_to_bill(plan: Plan, history: Sequence[BillLine]) -> dict[str, Decimal]:
    """Return what is left to bill of each milestone with its signed changes, by the milestone's key."""
    return {
        milestone.key: plan.amount(milestone.key) - total(work_billed(history, milestone.key))
        for milestone in plan.milestones
    }


def check_redrawn(plan: Plan, history: Sequence[BillLine]) -> None:
    """Raise PlanFault when a redrawn plan has less for a milestone than was billed of it."""
    keys = {milestone.key for milestone in plan.milestones}
    titles = {line.milestone: line.title for line in reversed(history) if line.kind in WORK_KINDS}
    for key, title in titles.items():
        billed = total(work_billed(history, key))
        if billed and key not in keys:
            raise PlanFault(f"{title} is billed with {format_price(billed)}: it must stay in the schedule.")
        if billed > 0 and plan.amount(key) < billed:
            raise PlanFault(
                f"{plan.milestone(key).name} can't go below the {format_price(billed)} billed of it."
            )
