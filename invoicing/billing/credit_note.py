"""Credit notes: the lines that take an issued invoice back, whole or in part."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from catalog.money.amounts import format_price, round_cents
from invoicing.billing.draft import Bill, BillLine, CannotBill, Kind, standing
from invoicing.milestones.plan import NO_MONEY, Plan

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
    """The credit's lines; each line's tax base goes by how much of it is credited in all, retainage and
    deposit by how much of the others is, what is taxed of them by how much is taxed of the others. So credit
    notes that together take back the whole invoice sum to it exactly."""
    work = [line for line in invoice if line.kind not in FOLLOWS]
    back = {line.place: _back(line, credited, -chosen[line.place]) for line in work}
    all_back = [each for each in credited if each.kind not in FOLLOWS] + list(back.values())
    share = _share([line.amount for line in all_back], [line.amount for line in work])
    taxed = _share([line.taxable for line in all_back], [line.taxable for line in work], share)
    lines = []
    for line in invoice:
        if line.kind in FOLLOWS:
            amount_before, taxable_before = _credited(credited, line)
            amount = -round_cents(share * Fraction(line.amount)) - amount_before
            taxable = -round_cents(taxed * Fraction(line.taxable)) - taxable_before
            lines.append(replace(line, amount=amount, taxable=taxable))
        else:
            lines.append(back[line.place])
    return lines


def _back(line: BillLine, credited: Sequence[BillLine], amount: Decimal) -> BillLine:
    """The line of the credit note that takes this amount of an invoice's line back."""
    amount_before, taxable_before = _credited(credited, line)
    share = Fraction(amount_before + amount) / -Fraction(line.amount)
    taxable = -round_cents(share * Fraction(line.taxable)) - taxable_before
    return replace(line, amount=amount, taxable=taxable)


def _share(parts: Sequence[Decimal], whole: Sequence[Decimal], otherwise: Fraction = Fraction(0)) -> Fraction:
    """How much of the whole the parts are, without regard to signs; `otherwise` where it is nothing."""
    of = sum(map(abs, whole), NO_MONEY)
    return Fraction(sum(map(abs, parts), NO_MONEY)) / Fraction(of) if of else otherwise


def _credited(credited: Sequence[BillLine], line: BillLine) -> tuple[Decimal, Decimal]:
    """What earlier credit notes took back of this line, as they say it: with the opposite sign."""
    mine = [each for each in credited if each.place == line.place]
    return sum((each.amount for each in mine), NO_MONEY), sum((each.taxable for each in mine), NO_MONEY)
