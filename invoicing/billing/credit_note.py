"""Credit notes: the lines that take an issued invoice back, all of it or a part."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from catalog.money.amounts import format_price, round_cents
from invoicing.billing.draft import Bill, CannotBill
from invoicing.billing.lines import WORK_KINDS, BillLine, BillLineKind, total, total_taxable
from invoicing.billing.status import billing_status
from invoicing.milestones.plan import NO_MONEY, Plan

# Credited in proportion to the other lines of the invoice, from which the user chooses.
PROPORTIONAL_KINDS = (BillLineKind.HELD, BillLineKind.DEPOSIT_APPLIED)


def draft_credit(
    plan: Plan,
    history: Sequence[BillLine],
    invoice: Sequence[BillLine],
    credited: Sequence[BillLine] = (),
    amounts: Mapping[tuple[str, str, str], Decimal] | None = None,
    given_up: bool = False,
) -> Bill:
    """Credit what is left of an invoice or, where `amounts` are given, an amount of each line by its key.

    `credited` are the lines of earlier credit notes on this invoice. Retainage and deposit on it are given
    back in proportion. Of what is `given_up`, the deposit gets back only what the rest of the invoice can't
    bear, since no later bill could take it off, and of the retainage no more counts than is still held. The
    lines of the credit note have the opposite sign of the
    invoice's, as in the history. Raises CannotBill when nothing is left, for more than is left of a line,
    for a deduction alone, for more than the work comes to with the deductions that stay, and when the
    deposit or retainage concerned was used by another invoice.
    """
    chosen = _chosen_amounts(invoice, credited, amounts)
    if not any(chosen.values()):
        raise CannotBill("Nothing is left to credit on this invoice.")
    work = [_credit_line(line, credited, -chosen[line.key]) for line in _chosen_from(invoice)]
    if (added := total(work)) > 0:
        raise CannotBill(f"This would add {format_price(added)} to what is owed: bill it instead.")
    _check_rest(invoice, credited, work)
    before = billing_status(plan, history)
    retainage = _retainage_back(invoice, credited, work)
    if given_up:
        retainage = [_at_most(line, before.held, before.held_taxable) for line in retainage]
    lines = _in_order(invoice, [*work, *retainage])
    lines = _in_order(invoice, [*lines, *_deposit_back(invoice, credited, lines, given_up)])
    lines = [line for line in lines if line.amount or line.taxable]
    rest = total(invoice) + total(credited)
    if -total(lines) > rest:
        raise CannotBill(f"{format_price(rest)} is left of this invoice before tax: credit that or less.")
    after = billing_status(plan, [*history, *lines])
    if after.held < 0:
        raise CannotBill("Retainage of this invoice was released on another: credit that one first.")
    if after.deposit_left < 0:
        raise CannotBill("This deposit was applied to another invoice: credit that one first.")
    return Bill(tuple(lines), before)


def left_of_line(line: BillLine, credited: Sequence[BillLine]) -> Decimal:
    """Return what earlier credit notes have left of a line of an invoice."""
    return line.amount + total(_credits_of(line, credited))


def _chosen_from(invoice: Iterable[BillLine]) -> list[BillLine]:
    """Return the lines of an invoice that the user credits; the others follow from them."""
    return [line for line in invoice if line.kind not in PROPORTIONAL_KINDS]


def _chosen_amounts(
    invoice: Sequence[BillLine],
    credited: Sequence[BillLine],
    amounts: Mapping[tuple[str, str, str], Decimal] | None,
) -> dict[tuple[str, str, str], Decimal]:
    """Return how much of each line to credit, by its key. Raises CannotBill for more than is left of it."""
    left = {line.key: left_of_line(line, credited) for line in _chosen_from(invoice)}
    if amounts is None:
        return left
    for key, amount in amounts.items():
        most = left.get(key, NO_MONEY)
        if amount * most < 0 or abs(amount) > abs(most):
            raise CannotBill(f"At most {format_price(most)} of that line is left to credit.")
    return {key: amounts.get(key, NO_MONEY) for key in left}


def _credit_line(line: BillLine, credited: Sequence[BillLine], amount: Decimal) -> BillLine:
    """Return the line of the credit note that takes this amount, with its sign, of an invoice line back.

    Its taxed part goes by the share of the line that is credited in all.
    """
    before = _credits_of(line, credited)
    share = Fraction(total(before) + amount) / -Fraction(line.amount)
    taxable = -round_cents(share * Fraction(line.taxable)) - total_taxable(before)
    return replace(line, amount=amount, taxable=taxable)


def _check_rest(invoice: Sequence[BillLine], credited: Sequence[BillLine], work: Sequence[BillLine]) -> None:
    """Raise CannotBill where a deduction would stay without the work that it was taken off.

    What stays of an invoice is never below zero, nor is what stays of the lines that retainage is held from.
    """
    for of in (_chosen_from(invoice), _retained(invoice)):
        keys = {line.key for line in of}
        rest = total(of) + total(line for line in (*credited, *work) if line.key in keys)
        if of and rest < 0:
            raise CannotBill(
                f"Deductions of {format_price(-rest)} would stay on this invoice without the work that they "
                "were deducted from: credit them too, or less of the work."
            )


def _retained(invoice: Iterable[BillLine]) -> list[BillLine]:
    """Return the lines of an invoice that retainage was held from; none where it held none."""
    lines = list(invoice)
    if not any(line.kind == BillLineKind.HELD for line in lines):
        return []
    return [line for line in lines if line.kind in WORK_KINDS and line.retained]


def _retainage_back(
    invoice: Sequence[BillLine], credited: Sequence[BillLine], work: Sequence[BillLine]
) -> list[BillLine]:
    """Return the line that gives retainage back: of each dollar of work as much as was held from it.

    Deductions count as what they are, below zero. So credit notes that together take back the whole invoice
    sum to it exactly.
    """
    retained = _retained(invoice)
    keys, whole = {line.key for line in retained}, Fraction(total(retained))
    in_all = [line for line in (*credited, *work) if line.key in keys]
    lines = []
    for line in invoice:
        if line.kind == BillLineKind.HELD and whole:
            before, share = _credits_of(line, credited), Fraction(line.amount) / whole
            back, taxed_back = -line.amount, -line.taxable
            if not _is_all(retained, in_all):
                back = round_cents(share * Fraction(total(in_all)))
                taxed_back = round_cents(share * Fraction(total_taxable(in_all)))
            amount, taxable = back - total(before), taxed_back - total_taxable(before)
            lines.append(replace(line, amount=amount, taxable=taxable))
    return lines


def _at_most(line: BillLine, held: Decimal, held_taxable: Decimal) -> BillLine:
    """Return the line that gives retainage back, of no more than is held."""
    return line if line.amount <= held else replace(line, amount=held, taxable=held_taxable)


def _deposit_back(
    invoice: Sequence[BillLine], credited: Sequence[BillLine], lines: Sequence[BillLine], given_up: bool
) -> list[BillLine]:
    """Return the line that gives the deposit back which the invoice had taken off.

    `lines` are the credit note's own without it. At most what is credited goes back, and at least what the
    rest of the invoice can't bear.
    """
    room = [line for line in invoice if line.kind != BillLineKind.DEPOSIT_APPLIED]
    keys, rest = {line.key for line in room}, total(invoice) + total(credited)
    in_all = -total(line for line in (*credited, *lines) if line.key in keys)
    back = []
    for line in invoice:
        if line.kind == BillLineKind.DEPOSIT_APPLIED:
            before = _credits_of(line, credited)
            left, left_taxable = -line.amount - total(before), -line.taxable - total_taxable(before)
            least = max(-total(lines) - rest, NO_MONEY)
            share = round_cents(Fraction(in_all) * Fraction(-line.amount) / Fraction(total(room)))
            wanted = NO_MONEY if given_up else share - total(before)
            amount = min(max(wanted, least), -total(lines), left)
            taxable = (
                round_cents(Fraction(left_taxable) * Fraction(amount) / Fraction(left)) if left else left
            )
            back.append(replace(line, amount=amount, taxable=taxable))
    return back


def _is_all(lines: Iterable[BillLine], credited: Sequence[BillLine]) -> bool:
    return not any(left_of_line(line, credited) for line in lines)


def _in_order(invoice: Iterable[BillLine], lines: Sequence[BillLine]) -> list[BillLine]:
    """Return lines of a credit note in the order of its invoice's."""
    by_key = {line.key: line for line in lines}
    return [by_key[line.key] for line in invoice if line.key in by_key]


def _credits_of(line: BillLine, credited: Sequence[BillLine]) -> list[BillLine]:
    """Return the lines of earlier credit notes that took back of this line, with the opposite sign."""
    return [credit for credit in credited if credit.key == line.key]
