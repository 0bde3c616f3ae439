"""The drafts of bills: what each can ask for, from the payment schedule and the lines billed so far."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from catalog.money.amounts import format_price, round_cents
from estimating.plain_text import inside_sentence
from invoicing.billing.lines import (
    BESIDE_CONTRACT_KINDS,
    DEPOSIT_KINDS,
    WORK_KINDS,
    BillLine,
    BillLineKind,
    total,
    total_taxable,
    work_billed,
)
from invoicing.billing.status import BillingStatus, billing_status, left_to_bill
from invoicing.milestones.plan import NO_MONEY, ChangePart, Plan, sum_money

ALL_FOR_ITEMS = (
    "All that is left to ask for is held back for the open items of the punch list: mark them done first."
)


class CannotBill(ValueError):
    """The bill or credit can't be made; the message says in a plain sentence why and what would be right."""


@dataclass(frozen=True)
class EarnedSoFar:
    """What a time-and-material change has come to so far, and how much of that is taxed."""

    amount: Decimal
    taxable: Decimal = NO_MONEY


NOTHING_EARNED = EarnedSoFar(NO_MONEY)
NO_EARNINGS: Mapping[str, EarnedSoFar] = {}


@dataclass(frozen=True)
class Bill:
    """The draft of a bill or credit note: its lines, and the status of the job before it."""

    lines: tuple[BillLine, ...]
    before: BillingStatus

    @property
    def amount(self) -> Decimal:
        """What the bill asks for, before sales tax."""
        return total(self.lines)

    @property
    def taxable(self) -> Decimal:
        """The part of `amount` that is taxed."""
        return total_taxable(self.lines)

    @property
    def contract_amount(self) -> Decimal:
        """The part of `amount` that counts toward the contract sum: all but late charges and fees."""
        return total(line for line in self.lines if line.kind not in BESIDE_CONTRACT_KINDS)

    @property
    def left_after(self) -> Decimal:
        """What is left of the contract sum after this bill."""
        return self.before.left - self.contract_amount


def draft_bill(
    plan: Plan,
    history: Sequence[BillLine],
    reached: Sequence[str],
    earned: Mapping[str, EarnedSoFar] = NO_EARNINGS,
    deposit: Decimal | None = None,
    keep_held: bool = False,
    part: Decimal | None = None,
    for_items: Decimal = NO_MONEY,
) -> Bill:
    """Bill the reached milestones with the signed changes placed there, less retainage and deposit.

    `earned` is what each time-and-material change has come to so far; it is billed and taxed up to its
    limit. `deposit` is how much of the billed deposit to take off; None: as much as the bill has room for.
    With `part` only so much of the work is asked for now, and the rest stays to be billed.
    The bill that leaves nothing to bill holds nothing back and releases what was held, unless `keep_held`.
    Of each, as much stays held as leaves `for_items`, what the open items of the punch list are worth.
    Raises CannotBill when nothing is left to bill there, when the bill would be below zero or go beyond
    the contract sum, for a part above what is due, for a deposit above what is left of it or above the
    bill, and when all that it would ask for stays held for items.
    """
    before = billing_status(plan, history)
    lines = [line for key in dict.fromkeys(reached) for line in _work_lines(plan, history, key, earned)]
    if not lines:
        raise CannotBill(_nothing_to_bill(plan, reached))
    if part is not None:
        lines = list(_part_of(lines, part))
    work = total(lines)
    if work < 0:
        raise CannotBill(f"This comes to {format_price(work)}: give a credit note of {format_price(-work)}.")
    if keep_held or not _is_last(plan, history, lines):
        lines += _held(plan, lines)
    else:
        lines = [replace(line, retained=False) for line in lines] + _released(before, before.held)
    lines += _deposit_applied(before, total(lines), deposit)
    return _bill_within_contract(plan, before, _held_for_items(plan, before, lines, for_items))


def draft_deposit(plan: Plan, history: Sequence[BillLine]) -> Bill:
    """Bill the deposit that later bills take off, as far as it isn't billed.

    Raises CannotBill when the plan asks for no deposit, or all of it is billed.
    """
    before = billing_status(plan, history)
    amount = plan.deposit - before.deposit
    if amount <= 0:
        raise CannotBill(
            "The deposit is billed already." if plan.deposit else "This schedule asks no deposit."
        )
    line = BillLine(BillLineKind.DEPOSIT, "Deposit", amount, plan.taxable_of_deposit(amount))
    return _bill_within_contract(plan, before, [line])


def draft_release(
    plan: Plan, history: Sequence[BillLine], amount: Decimal | None = None, for_items: Decimal = NO_MONEY
) -> Bill:
    """Bill retainage that was held back: this amount or, with None, all of it.

    What is left of a deposit is taken off, and `for_items` stays held: what the open items of the punch list
    are worth. Raises CannotBill when none is held, or less than the amount.
    """
    before = billing_status(plan, history)
    if before.held <= 0:
        raise CannotBill("No retainage is held on this job.")
    most = before.releasable(for_items)
    if not most:
        raise CannotBill(ALL_FOR_ITEMS)
    release = most if amount is None else amount
    if not 0 < release <= most:
        besides = " beside what the punch list holds" if most < before.held else ""
        raise CannotBill(f"{format_price(most)} of retainage is held{besides}: release that or less.")
    lines = _released(before, release)
    return _bill_within_contract(plan, before, [*lines, *_deposit_applied(before, release, None)])


def draft_late_charge(
    plan: Plan, history: Sequence[BillLine], title: str, invoice: str, amount: Decimal
) -> Bill:
    """Bill the late charge on an invoice, which isn't taxed and is no part of the contract sum.

    Raises CannotBill for an amount of zero or less.
    """
    if amount <= 0:
        raise CannotBill(f"No late charge is due on {inside_sentence(invoice)} now.")
    line = BillLine(BillLineKind.LATE, title, amount, change=invoice)
    return Bill((line,), billing_status(plan, history))


def draft_returned_check(
    plan: Plan, history: Sequence[BillLine], title: str, returned: str, fee: Decimal
) -> Bill:
    """Bill the fee for a check that the bank returned, which isn't taxed and is no part of the contract sum.

    `returned` names the entry of the return. Raises CannotBill where the contract states no fee, and where
    the fee is billed already.
    """
    if fee <= 0:
        raise CannotBill("The signed contract states no fee for a check that the bank returns.")
    if total(line for line in history if line.kind == BillLineKind.RETURNED and line.change == returned):
        raise CannotBill("The fee for this check is billed already.")
    line = BillLine(BillLineKind.RETURNED, title, fee, change=returned)
    return Bill((line,), billing_status(plan, history))


def due_now(
    plan: Plan,
    history: Sequence[BillLine],
    milestone: str,
    earned: Mapping[str, EarnedSoFar] = NO_EARNINGS,
) -> Decimal:
    """Return what a bill of a milestone would ask for its work now, before retainage and deposit."""
    return total(_work_lines(plan, history, milestone, earned))


def is_last_bill(
    plan: Plan,
    history: Sequence[BillLine],
    reached: Sequence[str],
    earned: Mapping[str, EarnedSoFar] = NO_EARNINGS,
) -> bool:
    """Return whether a bill of these milestones leaves nothing of the work to bill."""
    lines = [line for key in dict.fromkeys(reached) for line in _work_lines(plan, history, key, earned)]
    return bool(lines) and _is_last(plan, history, lines)


def _is_last(plan: Plan, history: Sequence[BillLine], lines: Sequence[BillLine]) -> bool:
    return not any(left_to_bill(plan, [*history, *lines]).values())


def tax_correction(
    plan: Plan, lines: Sequence[BillLine], taxable: Decimal, percent: Decimal, tax_left: Decimal
) -> Decimal:
    """Return what to add to the tax of the last bill so that all bills come to the tax of the contract.

    `lines` are those of the history and of the bill, `taxable` is the bill's taxed part, and `tax_left` the
    contract's tax that isn't billed yet. The correction is zero before the bill that bills the last of what
    is taxed. More than a cent for each milestone, change and line can't come from rounding, so such a
    difference isn't corrected.
    """
    planned = [
        *(milestone.base_taxable for milestone in plan.milestones),
        *(part.taxable for part in plan.parts),
    ]
    if total_taxable(lines) != sum_money(planned):
        return NO_MONEY
    cents = tax_left - round_cents(Fraction(taxable) * Fraction(percent) / 100)
    return cents if abs(cents) <= Decimal("0.01") * (len(planned) + len(lines)) else NO_MONEY


def _work_lines(
    plan: Plan, history: Sequence[BillLine], key: str, earned: Mapping[str, EarnedSoFar]
) -> Iterator[BillLine]:
    """Yield the lines that bill what is left of a milestone and of each signed change placed there."""
    milestone = plan.milestone(key)
    billed = work_billed(history, key)
    own = [line for line in billed if line.kind == BillLineKind.MILESTONE]
    if due := milestone.base - total(own):
        taxable = milestone.base_taxable - total_taxable(own)
        retained = not milestone.is_deposit
        yield BillLine(BillLineKind.MILESTONE, milestone.name, due, taxable, key, retained=retained)
    for part in plan.parts_of(key):
        yield from _change_lines(plan, [line for line in billed if line.change == part.change], part, earned)


def _change_lines(
    plan: Plan, billed: Sequence[BillLine], part: ChangePart, earned: Mapping[str, EarnedSoFar]
) -> Iterator[BillLine]:
    """Yield the line that bills what is left of a part of a signed change, if anything is.

    Time and material are billed up to the limit of the part and never less than before.
    """
    change = plan.change(part.change)
    amount, taxable = part.amount, part.taxable
    if change.is_time_and_material:
        so_far = earned.get(change.key, NOTHING_EARNED)
        amount, taxable = min(so_far.amount, amount), min(so_far.taxable, taxable)
    due = amount - total(billed)
    if not due or (change.is_time_and_material and due < 0):
        return
    taxable -= total_taxable(billed)
    yield BillLine(BillLineKind.CHANGE, plan.part_title(part), due, taxable, part.milestone, change.key)


def _part_of(lines: Sequence[BillLine], part: Decimal) -> Iterator[BillLine]:
    """Yield the lines as far as a part of what they come to goes: what is taken off in full, then the rest.

    Raises CannotBill for nothing, and for more than is due.
    """
    due = total(lines)
    if not 0 < part <= due:
        raise CannotBill(f"{format_price(due)} is due there: bill that or a part of it.")
    room = part + total(line for line in lines if line.amount < 0) * -1
    for line in lines:
        amount = line.amount if line.amount < 0 else min(line.amount, room)
        room -= max(amount, NO_MONEY)
        if amount == line.amount:
            yield line
        elif amount:
            taxable = _in_proportion(line.taxable, amount, line.amount)
            yield replace(line, title=f"{line.title}, in part", amount=amount, taxable=taxable)


def _held(plan: Plan, lines: Iterable[BillLine]) -> list[BillLine]:
    """Return the line that holds retainage back from lines of work; none where nothing is held."""
    work = [line for line in lines if line.retained]
    held = round_cents(plan.retainage * Fraction(total(work)))
    if held <= 0:
        return []
    taxable = round_cents(plan.retainage * Fraction(total_taxable(work)))
    return [BillLine(BillLineKind.HELD, "Retainage held back", -held, -taxable)]


def _held_for_items(
    plan: Plan, before: BillingStatus, lines: list[BillLine], for_items: Decimal
) -> list[BillLine]:
    """Return a bill's lines with as much more held back as leaves what the open items are worth.

    What the bill would release stays held first; the rest is held from its work. Raises CannotBill where
    nothing is left to ask for then.
    """
    asked = total(lines)
    at_most = min(for_items, before.left)
    short = min(at_most - (before.left - asked), at_most)
    if short <= 0:
        return lines
    if short >= asked:
        raise CannotBill(ALL_FOR_ITEMS)
    released = total(line for line in lines if line.kind == BillLineKind.RELEASED)
    from_work = max(short - released, NO_MONEY)
    work = [line for line in lines if line.kind in WORK_KINDS]
    held = [line for line in lines if line.kind == BillLineKind.HELD]
    if from_work:
        work = [replace(line, retained=not _is_deposit(plan, line)) for line in work]
        taxable = total_taxable(held) - _in_proportion(total_taxable(work), from_work, total(work))
        title = "Held back for the punch list"
        held = [BillLine(BillLineKind.HELD, title, total(held) - from_work, taxable)]
    released_now = _released(before, max(released - short, NO_MONEY))
    return [*work, *held, *released_now, *(line for line in lines if line.kind in DEPOSIT_KINDS)]


def _is_deposit(plan: Plan, line: BillLine) -> bool:
    return line.kind == BillLineKind.MILESTONE and plan.milestone(line.milestone).is_deposit


def _released(before: BillingStatus, amount: Decimal) -> list[BillLine]:
    """Return the line that releases this much of the retainage held; none for nothing."""
    if amount <= 0:
        return []
    taxable = _in_proportion(before.held_taxable, amount, before.held)
    return [BillLine(BillLineKind.RELEASED, "Retainage released", amount, taxable, retained=False)]


def _deposit_applied(before: BillingStatus, room: Decimal, chosen: Decimal | None) -> list[BillLine]:
    """Return the line that takes the deposit off a bill with this much room for it; none for nothing.

    Raises CannotBill for a chosen amount below zero, above what is left of the deposit, or above the room.
    """
    amount = min(before.deposit_left, room) if chosen is None else chosen
    if amount < 0 or amount > before.deposit_left:
        raise CannotBill(f"{format_price(before.deposit_left)} of the deposit is left to apply.")
    if amount > room:
        raise CannotBill(f"The bill is {format_price(room)}: no more of the deposit can be applied to it.")
    if not amount:
        return []
    taxable = _in_proportion(before.deposit_left_taxable, amount, before.deposit_left)
    return [BillLine(BillLineKind.DEPOSIT_APPLIED, "Deposit applied", -amount, -taxable)]


def _bill_within_contract(plan: Plan, before: BillingStatus, lines: Sequence[BillLine]) -> Bill:
    """Return the bill. Raises CannotBill when the work or the money billed goes beyond the contract sum."""
    bill = Bill(tuple(lines), before)
    work = before.work + total(line for line in lines if line.kind in WORK_KINDS)
    billed = max(work, before.billed + bill.amount)
    if billed > plan.contract_sum:
        raise CannotBill(
            f"This would bring what is billed to {format_price(billed)}, beyond the contract sum of "
            f"{format_price(plan.contract_sum)}. Bill signed deductions with it, or take more of the "
            "deposit off."
        )
    return bill


def _nothing_to_bill(plan: Plan, reached: Sequence[str]) -> str:
    names = ", ".join(plan.milestone(key).name for key in reached)
    return f"{names}: nothing is left to bill there." if names else "Choose a milestone that is complete."


def _in_proportion(amount: Decimal, part: Decimal, whole: Decimal) -> Decimal:
    """Return the part's share of an amount, to the cent; the whole takes exactly the amount."""
    return round_cents(Fraction(amount) * Fraction(part) / Fraction(whole)) if whole else NO_MONEY
