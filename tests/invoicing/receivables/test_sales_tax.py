"""Sales tax by period sums to the invoices, as billed and as paid."""

from datetime import date
from decimal import Decimal

import pytest

from invoicing.receivables.balances import EntryKind
from invoicing.receivables.sales_tax import Period, tax_by_month, tax_by_period
from tests.invoicing.receivables.entries import APRIL, BILL, MARCH, entry


def test_tax_is_in_the_period_of_its_invoice_or_of_its_payment() -> None:
    entries = [BILL, entry(EntryKind.PAYMENT, "P1", APRIL, "107.25")]
    march, april = tax_by_period(tax_by_month(entries), Period.MONTH, MARCH, APRIL)
    assert (march.billed, march.taxable, march.tax, march.tax_paid) == tuple(
        map(Decimal, ("100.00", "100.00", "7.25", "0"))
    )
    assert (april.tax, april.tax_paid) == (Decimal(0), Decimal("7.25"))


def test_a_payment_in_part_holds_its_share_of_the_tax() -> None:
    entries = [
        BILL,
        entry(EntryKind.PAYMENT, "P1", MARCH, "35.75"),
        entry(EntryKind.PAYMENT, "P2", APRIL, "71.50"),
    ]
    rows = tax_by_period(tax_by_month(entries), Period.MONTH, MARCH, APRIL)
    # a third of 7.25 is 2.4167; the rest comes with the rest
    assert [str(row.tax_paid) for row in rows] == ["2.42", "4.83"]


def test_credit_notes_and_returned_checks_take_tax_back() -> None:
    entries = [
        BILL,
        entry(EntryKind.PAYMENT, "P1", MARCH, "107.25"),
        entry(EntryKind.RETURN, "X1", APRIL, "107.25", refers_to="P1"),
        entry(EntryKind.CREDIT_NOTE, "C1", APRIL, "107.25", "7.25", refers_to="I1", taxable="100.00"),
    ]
    march, april = tax_by_period(tax_by_month(entries), Period.MONTH, MARCH, APRIL)
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


def test_a_period_that_begins_on_the_last_day_is_among_them() -> None:
    rows = tax_by_period([], Period.MONTH, date(2026, 1, 31), date(2026, 2, 1))
    assert [row.first for row in rows] == [date(2026, 1, 1), date(2026, 2, 1)]


def test_what_is_paid_of_an_invoice_that_is_credited_in_part_holds_the_tax_that_is_left_of_it() -> None:
    """Half of 7.25 is credited; the other half of 107.25 is paid."""
    entries = [
        BILL,
        entry(EntryKind.CREDIT_NOTE, "C1", MARCH, "53.63", "3.63", "50.00", refers_to="I1"),
        entry(EntryKind.PAYMENT, "P1", MARCH, "53.62"),
    ]
    (march,) = tax_by_period(tax_by_month(entries), Period.MONTH, MARCH, MARCH)
    assert (march.billed, march.taxable, march.tax, march.tax_paid) == tuple(
        map(Decimal, ("50.00", "50.00", "3.62", "3.62"))
    )


def test_an_invoice_that_is_credited_whole_holds_no_tax_that_was_paid() -> None:
    entries = [BILL, entry(EntryKind.CREDIT_NOTE, "C1", MARCH, "107.25", "7.25", "100.00", refers_to="I1")]
    (march,) = tax_by_period(tax_by_month(entries), Period.MONTH, MARCH, MARCH)
    assert (march.tax, march.tax_paid) == (Decimal(0), Decimal(0))


def test_the_first_and_the_last_day_belong_to_their_period() -> None:
    first, last, after = date(2026, 3, 1), date(2026, 3, 31), date(2026, 4, 1)
    entries = [
        entry(EntryKind.INVOICE, "I1", first, "107.25", "7.25", "100.00"),
        entry(EntryKind.PAYMENT, "P1", last, "107.25"),
        entry(EntryKind.INVOICE, "I2", last, "10.73", "0.73", "10.00"),
        entry(EntryKind.PAYMENT, "P2", after, "10.73"),
    ]
    february, march, april = tax_by_period(tax_by_month(entries), Period.MONTH, date(2026, 2, 28), after)
    assert (february.tax, february.tax_paid) == (Decimal(0), Decimal(0))
    assert (march.tax, march.tax_paid) == (Decimal("7.98"), Decimal("7.25"))
    assert (april.tax, april.tax_paid) == (Decimal(0), Decimal("0.73"))
