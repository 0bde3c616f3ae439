"""Credit notes: the lines that take an issued invoice back, whole or in part."""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from fractions import Fraction

from catalog.money import format_price, round_cents
from invoicing.billing import Bill, BillLine, CannotBill, Kind, standing
from invoicing.milestones import NO_MONEY, Plan

FOLLOWS = (Kind.HELD, Kind.DEPOSIT_APPLIED)  # what is credited in proportion to the lines chosen


def draft_credit(
    plan: Plan,
    history: Sequence[BillLine],
    invoice: Sequence[BillLine],
    credited: Sequence[BillLine] = (),
    amounts: Mapping[tuple[str, str, str], Decimal] | None = None,
) -> Bill:
    """Credit what is left of an invoice, or an amount of each of its lines by their `place`.

    `credited` are the lines of earlier credit notes on this invoice. Retainage and deposit on it are
    given back in proportion. The lines have the opposite sign of the invoice's, as they enter history.
    Raises CannotBill when nothing is left, for more than is left of a line, for a deduction alone, or when
    the deposit or retainage concerned has moved to another invoice.
    """
    chosen = _chosen(invoice, credited, amounts)
    if not any(chosen.values()):
        raise CannotBill("Nothing is left to credit on this invoice.")
    lines = [line for line in _lines(invoice, credited, chosen) if line.amount or line.taxable]
    if (adds := sum((line.amount for line in lines), NO_MONEY)) > 0:
        raise CannotBill(f"This would add {format_price(adds)} to what is owed: bill it instead.")
    after = standing(plan, [*history, *lines])
    if after.held < 0:
        raise CannotBill("Retainage of this invoice was released on another: credit that one first.")
    if after.deposit_left < 0:
        raise CannotBill("This deposit was taken off another invoice: credit that one first.")
    return Bill(tuple(lines), standing(plan, history))


def _chosen(
    invoice: Sequence[BillLine],
    credited: Sequence[BillLine],
    amounts: Mapping[tuple[str, str, str], Decimal] | None,
) -> dict[tuple[str, str, str], Decimal]:
    left = {
        line.place: line.amount + _credited(credited, line)[0] for line in invoice if line.kind not in FOLLOWS
    }
    if amounts is None:
        return left
    for place, amount in amounts.items():
        most = left.get(place, NO_MONEY)
        if amount * most < 0 or abs(amount) > abs(most):
            raise CannotBill(f"At most {format_price(most)} of that line is left to credit.")
    return {place: amounts.get(place, NO_MONEY) for place in left}


def _lines(
    invoice: Sequence[BillLine], credited: Sequence[BillLine], chosen: Mapping[tuple[str, str, str], Decimal]
) -> list[BillLine]:
    """The credit's lines; each line's tax base, retainage and deposit go by how much of it is credited
    in all, so that credit notes that together take back the whole invoice sum to it exactly."""
    whole = sum((abs(line.amount) for line in invoice if line.kind not in FOLLOWS), NO_MONEY)
    so_far = sum((abs(amount) for amount in chosen.values()), NO_MONEY)
    so_far += sum((abs(line.amount) for line in credited if line.kind not in FOLLOWS), NO_MONEY)
    lines = []
    for line in invoice:
        amount_before, taxable_before = _credited(credited, line)
        if line.kind in FOLLOWS:
            share = Fraction(so_far) / Fraction(whole)
            amount = -round_cents(share * Fraction(line.amount)) - amount_before
        else:
            amount = -chosen[line.place]
            share = Fraction(amount_before + amount) / -Fraction(line.amount)
        taxable = -round_cents(share * Fraction(line.taxable)) - taxable_before
        lines.append(BillLine(line.kind, line.title, amount, taxable, line.milestone, line.change))
    return lines


def _credited(credited: Sequence[BillLine], line: BillLine) -> tuple[Decimal, Decimal]:
    """What earlier credit notes took back of this line, as they say it: with the opposite sign."""
    mine = [each for each in credited if each.place == line.place]
    return sum((each.amount for each in mine), NO_MONEY), sum((each.taxable for each in mine), NO_MONEY)
