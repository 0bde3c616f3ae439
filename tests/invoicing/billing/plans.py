"""A plan of two halves, and bills read back as kinds and amounts."""

from decimal import Decimal
from fractions import Fraction

from invoicing.billing.draft import Bill, draft_bill
from invoicing.billing.lines import BillLine
from invoicing.milestones.plan import NO_MONEY, MilestoneTerm, Plan, draw_plan


def halves(
    total: str = "1000.00",
    taxable: str = "0.00",
    retainage: Fraction = Fraction(0),
    deposit: Decimal = NO_MONEY,
) -> Plan:
    """A plan of two milestones, A and B, of half of the sum each."""
    terms = [MilestoneTerm(key, key, "Seen", Fraction(1, 2)) for key in ("A", "B")]
    return draw_plan(Decimal(total), terms, Decimal(taxable), retainage, deposit)


def kinds_and_amounts(bill: Bill) -> list[tuple[str, str]]:
    return [(line.kind.value, str(line.amount)) for line in bill.lines]


def bill_each(plan: Plan, *keys: str, keep_held: bool = False) -> list[BillLine]:
    """The history after one bill for each of these milestones."""
    history: list[BillLine] = []
    for key in keys:
        history += draft_bill(plan, history, [key], keep_held=keep_held).lines
    return history
