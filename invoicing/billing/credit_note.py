"""Credit notes: the lines that take an issued invoice back, all of it or a part."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from catalog.money.amounts import format_price, round_cents
from invoicing.billing.draft import Bill, CannotBill
from invoicing.billing.lines import BillLine, BillLineKind, total, total_taxable
from invoicing.billing.status import billing_status
from invoicing.milestones.plan import NO_MONEY, Plan, sum_money

# Credited in proportion to the other lines of the invoice, from which the user chooses.
PROPORTIONAL_KINDS = (BillLineKind.HELD, BillLineKind.DEPOSIT_APPLIED)


def draft_credit(
    plan: Plan,
    history: Sequence[BillLine],
    invoice: Sequence[BillLine],
    credited: Sequence[BillLine] = (),
    amounts: Mapping[tuple[str, str, str], Decimal] | None = None,
) -> Bill:
    """Credit what is left of an invoice or, where `amounts` are given, an amount of each line by its key.

    `credited` are the lines of earlier credit notes on this invoice. Retainage and deposit on it are given
    back in proportion. The lines of the credit note have the opposite sign of the invoice's, as in the
    history. Raises CannotBill when nothing is left, for more than is left of a line, for a deduction alone,
    and when the deposit or retainage concerned was used by another invoice.
    """
    chosen = _chosen_amounts(invoice, credited, amounts)
    if not any(chosen.values()):
        raise CannotBill("Nothing is left to credit on this invoice.")
    lines = [line for line in _credit_lines(invoice, credited, chosen) if line.amount or line.taxable]
    if (added := total(lines)) > 0:
        raise CannotBill(f"This would add {format_price(added)} to what is owed: bill it instead.")
    after = billing_status(plan, [*history, *lines])
    if after.held < 0:
        raise CannotBill("Retainage of this invoice was released on another: credit that one first.")
    if after.deposit_left < 0:
        raise CannotBill("This deposit was taken off another invoice: credit that one first.")
    return Bill(tuple(lines), billing_status(plan, history))


def left_of_line(line: BillLine, credited: Sequence[BillLine]) -> Decimal:
    """Return what earlier credit notes have left of a line of an invoice."""
    return line.amount + total(_credits_of(line, credited))


def _chosen_amounts(
    invoice: Sequence[BillLine],
    credited: Sequence[BillLine],
    amounts: Mapping[tuple[str, str, str], Decimal] | None,
) -> dict[tuple[str, str, str], Decimal]:
    """Return how much of each line to credit, by its key. Raises CannotBill for more than is left of it."""
    left = {line.key: left_of_line(line, credited) for line in invoice if line.kind not in PROPORTIONAL_KINDS}
    if amounts is None:
        return left
    for key, amount in amounts.items():
        most = left.get(key, NO_MONEY)
        if amount * most < 0 or abs(amount) > abs(most):
            raise CannotBill(f"At most {format_price(most)} of that line is left to credit.")
    return {key: amounts.get(key, NO_MONEY) for key in left}


def _credit_lines(
    invoice: Sequence[BillLine], credited: Sequence[BillLine], chosen: Mapping[tuple[str, str, str], Decimal]
) -> list[BillLine]:
    """Return the lines of the credit note, in the order of the invoice.

    Retainage and deposit are credited by the share of the other lines that is credited in all, what is
    taxed of them by the share of the others' taxed part. So credit notes that together take back the whole
    invoice sum to it exactly.
    """
    work = [line for line in invoice if line.kind not in PROPORTIONAL_KINDS]
    now = {line.key: _credit_line(line, credited, -chosen[line.key]) for line in work}
    in_all = [line for line in credited if line.kind not in PROPORTIONAL_KINDS] + list(now.values())
    share = _share([line.amount for line in in_all], [line.amount for line in work])
    taxable_share = _share([line.taxable for line in in_all], [line.taxable for line in work], share)
    lines = []
    for line in invoice:
        if line.kind in PROPORTIONAL_KINDS:
            before = _credits_of(line, credited)
            amount = -round_cents(share * Fraction(line.amount)) - total(before)
            taxable = -round_cents(taxable_share * Fraction(line.taxable)) - total_taxable(before)
            lines.append(replace(line, amount=amount, taxable=taxable))
        else:
            lines.append(now[line.key])
    return lines


def _credit_line(line: BillLine, credited: Sequence[BillLine], amount: Decimal) -> BillLine:
    """Return the line of the credit note that takes this amount, with its sign, of an invoice line back.

    Its taxed part goes by the share of the line that is credited in all.
    """
    before = _credits_of(line, credited)
    share = Fraction(total(before) + amount) / -Fraction(line.amount)
    taxable = -round_cents(share * Fraction(line.taxable)) - total_taxable(before)
    return replace(line, amount=amount, taxable=taxable)


def _share(parts: Sequence[Decimal], whole: Sequence[Decimal], otherwise: Fraction = Fraction(0)) -> Fraction:
    """Return the share that the parts are of the whole, signs left out; `otherwise` where that is nothing."""
    of = sum_money(map(abs, whole))
    return Fraction(sum_money(map(abs, parts))) / Fraction(of) if of else otherwise


def _credits_of(line: BillLine, credited: Sequence[BillLine]) -> list[BillLine]:
    """Return the lines of earlier credit notes that took back of this line, with the opposite sign."""
    return [credit for credit in credited if credit.key == line.key]
