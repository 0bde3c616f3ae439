"""The journal balances entry by entry, and tax by period sums to the invoices."""

from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from invoicing.billing.draft import draft_bill, draft_release
from invoicing.milestones.plan import Term, draw_plan
from invoicing.receivables.balances import Entry, EntryFault, Kind
from invoicing.receivables.journal import Period, journal, split_by_account, tax_by_period


def entry(kind: Kind, key: str, on: date, amount: str, tax: str = "0.00", **more: Any) -> Entry:
    return Entry(kind, key, on, Decimal(amount), Decimal(tax), **more)


MARCH, APRIL = date(2026, 3, 20), date(2026, 4, 2)
BILL = entry(Kind.INVOICE, "I1", MARCH, "107.25", "7.25", taxable=Decimal("100.00"))


def sides(entries: list[Entry]) -> list[tuple[str, str, str]]:
    return [(line.account, str(line.debit), str(line.credit)) for line in journal(entries)]


def test_an_invoice_is_receivable_against_income_and_tax() -> None:
    assert sides([BILL]) == [
        ("Accounts receivable", "107.25", "0.00"),
        ("Contract income", "0.00", "100.00"),
        ("Sales tax payable", "0.00", "7.25"),
    ]


def test_a_credit_note_turns_its_invoice_round() -> None:
    assert sides([entry(Kind.CREDIT_NOTE, "C1", APRIL, "107.25", "7.25", of="I1")]) == [
        ("Accounts receivable", "0.00", "107.25"),
        ("Contract income", "100.00", "0.00"),
        ("Sales tax payable", "7.25", "0.00"),
    ]


def test_money_in_and_out_goes_by_the_bank() -> None:
    assert sides([entry(Kind.PAYMENT, "P1", APRIL, "50.00")])[1] == ("Bank", "50.00", "0.00")
    assert sides([entry(Kind.REFUND, "R1", APRIL, "50.00")])[1] == ("Bank", "0.00", "50.00")
    assert sides([entry(Kind.RETURN, "X1", APRIL, "50.00", of="P1")])[1] == ("Bank", "0.00", "50.00")


def test_retainage_is_income_at_once_and_receivable_until_it_is_billed() -> None:
    plan = draw_plan(Decimal(1000), [Term("A", "All", "Done")], retainage=Fraction(1, 10))
    work = draft_bill(plan, (), ["A"])
    release = draft_release(plan, work.lines)
    bills = [
        entry(Kind.INVOICE, "I1", MARCH, "900.00", split=split_by_account(work.lines)),
        entry(Kind.INVOICE, "I2", APRIL, "100.00", split=split_by_account(release.lines)),
    ]
    assert sides(bills) == [
        ("Accounts receivable", "900.00", "0.00"),
        ("Contract income", "0.00", "1000.00"),
        ("Retainage receivable", "100.00", "0.00"),
        ("Accounts receivable", "100.00", "0.00"),
        ("Retainage receivable", "0.00", "100.00"),
    ]


def test_a_split_that_is_not_the_amount_is_refused() -> None:
    with pytest.raises(EntryFault, match="don't sum"):
        journal([entry(Kind.INVOICE, "I1", MARCH, "10.00", split=(("Contract income", Decimal("9.99")),))])


def test_tax_is_in_the_period_of_its_invoice_or_of_its_payment() -> None:
    entries = [BILL, entry(Kind.PAYMENT, "P1", APRIL, "107.25")]
    march, april = tax_by_period(entries, Period.MONTH, MARCH, APRIL)
    assert (march.billed, march.taxable, march.tax, march.tax_paid) == tuple(
        map(Decimal, ("100.00", "100.00", "7.25", "0"))
    )
    assert (april.tax, april.tax_paid) == (0, Decimal("7.25"))


def test_a_payment_in_part_holds_its_share_of_the_tax() -> None:
    entries = [
        BILL,
        entry(Kind.PAYMENT, "P1", MARCH, "35.75"),
        entry(Kind.PAYMENT, "P2", APRIL, "71.50"),
    ]
    rows = tax_by_period(entries, Period.MONTH, MARCH, APRIL)
    # a third of 7.25 is 2.4167; the rest comes with the rest
    assert [str(row.tax_paid) for row in rows] == ["2.42", "4.83"]


def test_credit_notes_and_returned_checks_take_tax_back() -> None:
    entries = [
        BILL,
        entry(Kind.PAYMENT, "P1", MARCH, "107.25"),
        entry(Kind.RETURN, "X1", APRIL, "107.25", of="P1"),
        entry(Kind.CREDIT_NOTE, "C1", APRIL, "107.25", "7.25", of="I1", taxable=Decimal("100.00")),
    ]
    march, april = tax_by_period(entries, Period.MONTH, MARCH, APRIL)
    assert (april.billed, april.tax, april.tax_paid) == tuple(map(Decimal, ("-100.00", "-7.25", "-7.25")))
    assert march.tax + april.tax == 0


@pytest.mark.parametrize(
    ("period", "firsts"),
    [
        (Period.MONTH, [date(2025, 12, 1), date(2026, 1, 1), date(2026, 2, 1)]),
        (Period.QUARTER, [date(2025, 10, 1), date(2026, 1, 1)]),
        (Period.YEAR, [date(2025, 1, 1), date(2026, 1, 1)]),
    ],
)
def test_periods_follow_one_another_without_a_gap(period: Period, firsts: list[date]) -> None:
    rows = tax_by_period([], period, date(2025, 12, 31), date(2026, 2, 28))
    assert [row.first for row in rows] == firsts
    assert all((after.first - row.last).days == 1 for row, after in zip(rows, rows[1:], strict=False))
