"""What can be billed, and what a bill and a credit note say, from a plan and the lines billed so far.

The history is every line of the issued invoices and credit notes of one job, credit notes with the
opposite sign. All amounts are before sales tax. Tax follows the money asked for: retainage held back
is taxed when it is released, a deposit when it is billed.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from catalog.money.amounts import format_price, round_cents
from invoicing.milestones.plan import NO_MONEY, ChangePart, Plan, PlanFault


class CannotBill(ValueError):
    """The bill or credit can't be made; the message says in a plain sentence why and what would be right."""


class Kind(StrEnum):
    """What a line of a bill asks for. HELD and DEPOSIT_APPLIED are negative on a bill. LATE, a late charge,
    is asked for beside the contract sum; `change` of its line names the invoice that was late."""

    MILESTONE = "milestone"
    CHANGE = "change"
    HELD = "retainage held"
    RELEASED = "retainage released"
    DEPOSIT = "deposit"
    DEPOSIT_APPLIED = "deposit applied"
    LATE = "late charge"


WORK = (Kind.MILESTONE, Kind.CHANGE)


@dataclass(frozen=True)
class BillLine:
    """One line of a bill (or, with the sign turned, of a credit note). `taxable` is part of `amount`."""

    kind: Kind
    title: str
    amount: Decimal
    taxable: Decimal = NO_MONEY
    milestone: str = ""
    change: str = ""

    @property
    def place(self) -> tuple[str, str, str]:
        """Which line of its bill this is: no bill has two lines of one place."""
        return (self.kind, self.milestone, self.change)

    def turned(self) -> "BillLine":
        return replace(self, amount=-self.amount, taxable=-self.taxable)


@dataclass(frozen=True)
class SoFar:
    """What a change billed by measure has come to so far, and what is taxed of it."""

    amount: Decimal
    taxable: Decimal = NO_MONEY


NOTHING_YET = SoFar(NO_MONEY)
NO_WORTH: Mapping[str, SoFar] = {}


@dataclass(frozen=True)
class Standing:
    """How a job stands: work billed, money held back, deposit not yet taken off, and all asked for."""

    contract_sum: Decimal
    work: Decimal
    held: Decimal
    held_taxable: Decimal
    deposit: Decimal  # billed in all
    deposit_left: Decimal  # billed and not yet taken off a later bill
    deposit_left_taxable: Decimal
    billed: Decimal

    @property
    def left(self) -> Decimal:
        """What is left to ask for, retainage that is held among it; billed + left = contract sum."""
        return self.contract_sum - self.billed

    @property
    def beyond(self) -> Decimal:
        """What a signed deduction has left billed beyond the contract sum: credit it."""
        return max(self.billed - self.contract_sum, self.work - self.contract_sum, NO_MONEY)


@dataclass(frozen=True)
class Bill:
    """A draft of a bill or credit note: its lines and how the job stood before."""

    lines: tuple[BillLine, ...]
    before: Standing

    @property
    def amount(self) -> Decimal:
        return _sum(self.lines)

    @property
    def taxable(self) -> Decimal:
        return sum((line.taxable for line in self.lines), NO_MONEY)

    @property
    def of_contract(self) -> Decimal:
        """What it takes of the contract sum: all but a late charge."""
        return _sum(line for line in self.lines if line.kind != Kind.LATE)

    @property
    def left_after(self) -> Decimal:
        """Contract sum less what was billed before and this bill."""
        return self.before.left - self.of_contract


def standing(plan: Plan, history: Iterable[BillLine]) -> Standing:
    """How the job stands after these lines."""
    lines = tuple(line for line in history if line.kind != Kind.LATE)
    held = [line for line in lines if line.kind in (Kind.HELD, Kind.RELEASED)]
    deposits = [line for line in lines if line.kind in (Kind.DEPOSIT, Kind.DEPOSIT_APPLIED)]
    return Standing(
        contract_sum=plan.contract_sum,
        work=_sum(line for line in lines if line.kind in WORK),
        held=-_sum(held),
        held_taxable=-sum((line.taxable for line in held), NO_MONEY),
        deposit=_sum(line for line in lines if line.kind == Kind.DEPOSIT),
        deposit_left=_sum(deposits),
        deposit_left_taxable=sum((line.taxable for line in deposits), NO_MONEY),
        billed=_sum(lines),
    )


def left_to_bill(plan: Plan, history: Sequence[BillLine]) -> dict[str, Decimal]:
    """By milestone, what it comes to with its changes less what is billed of it and not credited."""
    return {each.key: plan.amount(each.key) - _sum(_work_of(history, each.key)) for each in plan.milestones}


def cents_to_settle(
    plan: Plan, lines: Sequence[BillLine], taxable: Decimal, percent: Decimal, tax_left: Decimal
) -> Decimal:
    """What the tax of a bill on its `taxable` part differs from its rate, so that all bills of the plan come
    to the tax of the contract. Nothing before the bill that bills the last of what is taxed.

    `lines` are those of the history and of the bill, `tax_left` the contract's tax that isn't billed. More
    than a cent for each milestone, change and line can't come from rounding, so it is left as it is.
    """
    in_plan = (*(each.base_taxable for each in plan.milestones), *(part.taxable for part in plan.parts))
    if sum((line.taxable for line in lines), NO_MONEY) != sum(in_plan, NO_MONEY):
        return NO_MONEY
    cents = tax_left - round_cents(Fraction(taxable) * Fraction(percent) / 100)
    return cents if abs(cents) <= Decimal("0.01") * (len(in_plan) + len(lines)) else NO_MONEY


def check_redrawn(plan: Plan, history: Sequence[BillLine]) -> None:
    """Raise PlanFault when a plan drawn anew has less for a milestone than is billed of it."""
    keys = {each.key for each in plan.milestones}
    titles = {line.milestone: line.title for line in reversed(history) if line.kind in WORK}
    for key, title in titles.items():
        billed = _sum(_work_of(history, key))
        if billed and key not in keys:
            raise PlanFault(f"{title} is billed with {format_price(billed)}: it must stay in the plan.")
        if billed > 0 and plan.amount(key) < billed:
            raise PlanFault(
                f"{plan.milestone(key).name} can't go below the {format_price(billed)} billed of it."
            )


def draft_bill(
    plan: Plan,
    history: Sequence[BillLine],
    reached: Sequence[str],
    worth: Mapping[str, SoFar] = NO_WORTH,
    deposit: Decimal | None = None,
) -> Bill:
    """Bill these reached milestones with the signed changes placed there, less retainage and deposit.

    `worth` is what each change billed by measure has come to so far; it is billed and taxed up to its limit.
    `deposit` is how much of a billed deposit to take off: as much as the bill holds unless said.
    Raises CannotBill: nothing left to bill there, less than nothing, a deposit taken off that is more
    than is left or than the bill, or a bill that would go beyond the contract sum.
    """
    before = standing(plan, history)
    lines = [line for key in dict.fromkeys(reached) for line in _work_lines(plan, history, key, worth)]
    if not lines:
        raise CannotBill(_nothing(plan, reached))
    work = _sum(lines)
    if work < 0:
        raise CannotBill(f"This comes to {format_price(work)}: give a credit note of {format_price(-work)}.")
    if held := round_cents(plan.retainage * Fraction(work)):
        taxable = round_cents(plan.retainage * Fraction(sum((line.taxable for line in lines), NO_MONEY)))
        lines.append(BillLine(Kind.HELD, "Retainage held back", -held, -taxable))
    return _within(plan, before, [*lines, *_applied(before, work - held, deposit)])


def draft_deposit(plan: Plan, history: Sequence[BillLine]) -> Bill:
    """Ask for the deposit that later bills take off. Raises CannotBill when there is none, or no more."""
    before = standing(plan, history)
    amount = plan.deposit - before.deposit
    if amount <= 0:
        raise CannotBill("The deposit is billed already." if plan.deposit else "This plan asks no deposit.")
    taxed = sum((each.base_taxable for each in plan.milestones), NO_MONEY)
    taxable = round_cents(Fraction(taxed) * Fraction(amount) / Fraction(plan.signed_sum))
    return _within(plan, before, [BillLine(Kind.DEPOSIT, "Deposit", amount, taxable)])


def draft_release(plan: Plan, history: Sequence[BillLine], amount: Decimal | None = None) -> Bill:
    """Bill retainage that was held back: all of it, or this amount.

    Raises CannotBill when none is held, or less than the amount.
    """
    before = standing(plan, history)
    if before.held <= 0:
        raise CannotBill("No retainage is held on this job.")
    release = before.held if amount is None else amount
    if not 0 < release <= before.held:
        raise CannotBill(f"{format_price(before.held)} of retainage is held: release that or less.")
    taxable = _in_proportion(before.held_taxable, release, before.held)
    line = BillLine(Kind.RELEASED, "Retainage released", release, taxable)
    return _within(plan, before, [line, *_applied(before, release, None)])


def draft_late_charge(
    plan: Plan, history: Sequence[BillLine], title: str, invoice: str, amount: Decimal
) -> Bill:
    """Ask for the late charge on an invoice, not taxed, beside the contract sum.

    Raises CannotBill when nothing is due.
    """
    if amount <= 0:
        raise CannotBill(f"No late charge is due on {invoice.lower()} now.")
    return Bill((BillLine(Kind.LATE, title, amount, change=invoice),), standing(plan, history))


def due_now(
    plan: Plan, history: Sequence[BillLine], milestone: str, worth: Mapping[str, SoFar] = NO_WORTH
) -> Decimal:
    """What a bill of this milestone would ask for its work now, before retainage and deposit."""
    return _sum(_work_lines(plan, history, milestone, worth))


def _work_lines(
    plan: Plan, history: Sequence[BillLine], key: str, worth: Mapping[str, SoFar]
) -> Iterator[BillLine]:
    milestone = plan.milestone(key)
    billed = _work_of(history, key)
    mine = [line for line in billed if line.kind == Kind.MILESTONE]
    if due := milestone.base - _sum(mine):
        taxable = milestone.base_taxable - sum((line.taxable for line in mine), NO_MONEY)
        yield BillLine(Kind.MILESTONE, milestone.name, due, taxable, key)
    for part in plan.parts_of(key):
        yield from _change_lines(plan, [line for line in billed if line.change == part.change], part, worth)


def _change_lines(
    plan: Plan, billed: Sequence[BillLine], part: ChangePart, worth: Mapping[str, SoFar]
) -> Iterator[BillLine]:
    change = plan.change(part.change)
    reached, taxable = part.amount, part.taxable
    if change.by_measure:
        so_far = worth.get(change.key, NOTHING_YET)
        reached, taxable = min(so_far.amount, reached), min(so_far.taxable, taxable)
    due = reached - _sum(billed)
    if not due or (change.by_measure and due < 0):
        return
    taxable -= sum((line.taxable for line in billed), NO_MONEY)
    yield BillLine(Kind.CHANGE, change.title, due, taxable, part.milestone, change.key)


def _applied(before: Standing, room: Decimal, chosen: Decimal | None) -> list[BillLine]:
    amount = min(before.deposit_left, room) if chosen is None else chosen
    if amount < 0 or amount > before.deposit_left:
        raise CannotBill(f"{format_price(before.deposit_left)} of the deposit is left to take off.")
    if amount > room:
        raise CannotBill(f"The bill is {format_price(room)}: no more of the deposit can be taken off it.")
    if not amount:
        return []
    taxable = _in_proportion(before.deposit_left_taxable, amount, before.deposit_left)
    return [BillLine(Kind.DEPOSIT_APPLIED, "Deposit taken off", -amount, -taxable)]


def _within(plan: Plan, before: Standing, lines: list[BillLine]) -> Bill:
    """The bill, if neither the work nor the money on it goes beyond the contract sum."""
    bill = Bill(tuple(lines), before)
    work = before.work + _sum(line for line in lines if line.kind in WORK)
    reached = max(work, before.billed + bill.amount)
    if reached > plan.contract_sum:
        raise CannotBill(
            f"This would bring what is billed to {format_price(reached)}, beyond the contract sum of "
            f"{format_price(plan.contract_sum)}. Bill signed deductions with it, or take more of the "
            "deposit off."
        )
    return bill


def _nothing(plan: Plan, reached: Sequence[str]) -> str:
    names = ", ".join(plan.milestone(key).name for key in reached)
    return f"{names}: nothing is left to bill there." if names else "Choose a milestone that is reached."


def _work_of(history: Iterable[BillLine], milestone: str) -> list[BillLine]:
    return [line for line in history if line.kind in WORK and line.milestone == milestone]


def _sum(lines: Iterable[BillLine]) -> Decimal:
    return sum((line.amount for line in lines), NO_MONEY)


def _in_proportion(total: Decimal, part: Decimal, whole: Decimal) -> Decimal:
    """The part's share of the total, to the cent; the whole takes exactly the total."""
    return round_cents(Fraction(total) * Fraction(part) / Fraction(whole)) if whole else NO_MONEY
