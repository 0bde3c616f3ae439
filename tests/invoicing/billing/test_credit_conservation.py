"""Whatever is credited in whichever parts, nothing is lost: deductions, deposits, retainage and tax mixed.

What is held and taxed of the rest is worked out here by itself.
"""

from contextlib import suppress
from decimal import Decimal
from fractions import Fraction

from hypothesis import example, given, settings
from hypothesis import strategies as st

from invoicing.billing.credit_note import PROPORTIONAL_KINDS, draft_credit
from invoicing.billing.draft import CannotBill, draft_bill, draft_deposit
from invoicing.billing.lines import BillLine, BillLineKind
from invoicing.billing.status import billing_status
from invoicing.milestones.change_placement import place_with
from invoicing.milestones.plan import MilestoneTerm, Plan, PlanFault, SignedChange, draw_plan

CENT = Fraction(1, 100)
# Of each line: how many twentieths of what is left of it.
parts = st.lists(st.integers(0, 20), min_size=8, max_size=8)
changes = st.lists(
    st.tuples(st.integers(-300_00, 300_00), st.integers(0, 2), st.sampled_from([0, 40, 100])), max_size=4
)


def job(
    cents: int, taxed: int, held: int, first: bool, taken_off: int, signed: list[tuple[int, int, int]]
) -> Plan:
    """Three milestones, the first of them a deposit where `first`, and changes placed with them."""
    total = Decimal(cents) / 100
    terms = [
        MilestoneTerm("M0", "M0", "Seen", Fraction(1, 5), is_deposit=first),
        MilestoneTerm("M1", "M1", "Seen", Fraction(2, 5)),
        MilestoneTerm("M2", "M2", "Seen"),
    ]
    deposit = Decimal(0) if first else Decimal(cents * taken_off // 100) / 100
    plan = draw_plan(total, terms, Decimal(cents * taxed // 100) / 100, Fraction(held, 100), deposit)
    for number, (amount, where, share) in enumerate(signed):
        change = SignedChange(
            f"CO-{number}", "Change", Decimal(amount) / 100, Decimal(int(amount * share / 100)) / 100
        )
        try:
            plan = place_with(plan, change, f"M{where}", {f"M{where}": plan.amount(f"M{where}")})
        except PlanFault:
            continue
    return plan


def rest_of(
    invoice: tuple[BillLine, ...], credits: list[BillLine], kind: str = ""
) -> tuple[Decimal, Decimal]:
    """What stays of the invoice, or of its lines of a kind, and how much of that is taxed."""
    rest = [line for line in (*invoice, *credits) if not kind or line.kind == kind]
    return sum((line.amount for line in rest), Decimal(0)), sum((line.taxable for line in rest), Decimal(0))


def check(
    plan: Plan,
    invoice: tuple[BillLine, ...],
    credits: list[BillLine],
    history: list[BillLine],
    count: int,
) -> None:
    """`count` is of the credit notes so far."""

    def is_held_from(line: BillLine) -> bool:
        is_deposit = line.kind == "milestone" and line.milestone == "M0" and plan.milestones[0].is_deposit
        return line.kind in ("milestone", "change") and not is_deposit

    work = [line for line in (*invoice, *credits) if is_held_from(line)]
    amount = sum((Fraction(line.amount) for line in work), Fraction(0))
    taxable = sum((Fraction(line.taxable) for line in work), Fraction(0))
    held, held_taxable = map(Fraction, rest_of(invoice, credits, "retainage held"))
    if any(line.kind == BillLineKind.HELD for line in invoice):
        # The invoice and each credit note round their share to a cent by themselves. What is credited goes by
        # the rate that was held, rounding and all: that counts for more where a deduction is credited, so
        # that more stays than was billed.
        whole = sum((Fraction(line.amount) for line in invoice if is_held_from(line)), Fraction(0))
        rounding = CENT / 2 * (max(Fraction(1), abs(amount / whole)) + count)
        assert abs(held + plan.retainage * amount) <= rounding
        slack = CENT + rounding + CENT * abs(taxable / whole)  # the rate that was held is rounded to a cent
        assert abs(held_taxable + plan.retainage * taxable) <= slack
    status = billing_status(plan, history)
    assert 0 <= status.deposit_left <= status.deposit
    assert rest_of(invoice, credits)[0] >= 0
    assert status.held >= 0


@example(
    cents=918,
    taxed=35,
    held=5,
    first=True,
    taken_off=100,
    signed=[(-160, 0, 100), (191, 0, 100)],
    keep_held=False,
    notes=[([3, 1, 0, 0, 2, 0, 17, 20], False)],
    one_bill=False,
)
@settings(max_examples=400)
@given(
    cents=st.integers(1, 2_000_00),
    taxed=st.sampled_from([0, 35, 100]),
    held=st.sampled_from([0, 5, 10]),
    first=st.booleans(),
    taken_off=st.sampled_from([0, 10, 60, 100]),
    signed=changes,
    keep_held=st.booleans(),
    notes=st.lists(st.tuples(parts, st.booleans()), max_size=5),
    one_bill=st.booleans(),
)
def test_credits_in_any_parts_hold_each_share_and_come_to_the_whole(
    cents: int,
    taxed: int,
    held: int,
    first: bool,
    taken_off: int,
    signed: list[tuple[int, int, int]],
    keep_held: bool,
    notes: list[tuple[list[int], bool]],
    one_bill: bool,
) -> None:
    plan = job(cents, taxed, held, first, taken_off, signed)
    history: list[BillLine] = []
    with suppress(CannotBill):  # deductions may leave less than the deposit
        history += draft_deposit(plan, ()).lines
    invoices: list[tuple[BillLine, ...]] = []
    for keys in [["M0", "M1", "M2"]] if one_bill else [["M0"], ["M1", "M2"]]:
        try:
            invoices.append(draft_bill(plan, history, keys, keep_held=keep_held).lines)
        except CannotBill:
            continue
        history += invoices[-1]
    for invoice in reversed(invoices):
        credits: list[BillLine] = []
        count = 0
        for shares, given_up in notes:
            chosen = {}
            for line, share in zip(invoice, shares * 2, strict=False):
                if line.kind not in PROPORTIONAL_KINDS:
                    left = line.amount + sum(row.amount for row in credits if row.key == line.key)
                    chosen[line.key] = Decimal(int(left * 100 * share / 20)) / 100
            try:
                note = draft_credit(plan, history, invoice, credits, chosen, given_up).lines
            except CannotBill:
                continue
            assert sum(line.amount for line in note) <= 0
            credits += note
            history += note
            count += 1
            check(plan, invoice, credits, history, count)
        if any(line.amount + sum(r.amount for r in credits if r.key == line.key) for line in invoice):
            note = draft_credit(plan, history, invoice, credits).lines
            credits += note
            history += note
        for line in invoice:
            assert sum(row.amount for row in credits if row.key == line.key) == -line.amount
            assert sum(row.taxable for row in credits if row.key == line.key) == -line.taxable
    status = billing_status(plan, history)
    assert (status.billed, status.held) == (status.deposit, 0)
