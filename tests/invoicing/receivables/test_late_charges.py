"""Late charges against published figures."""

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest

from invoicing.receivables.balances import EntryKind
from invoicing.receivables.late_charges import LateChargeTerms, late_charge, late_charge_on, late_days
from tests.invoicing.receivables.entries import entry

DUE = date(2026, 4, 1)
FEDERAL = LateChargeTerms(Fraction("0.065"), days_in_year=360)
YEARLY_12 = LateChargeTerms(Fraction("0.12"))


BILL = entry(EntryKind.INVOICE, "I1", date(2026, 3, 1), "10000.00", due=DUE)


def test_interest_runs_from_the_day_after_the_due_date_to_the_day_of_payment() -> None:
    """U.S. Treasury, Prompt Payment: due 1 April, paid 11 April is 10 days."""
    assert late_days(DUE, date(2026, 4, 11)) == 10
    assert late_days(DUE, DUE) == late_days(DUE, date(2026, 3, 1)) == 0


def test_the_federal_formula_counts_360_days() -> None:
    """5 CFR 1315.17: 1,500 at 6.5 % for 10 days is 2.71."""
    assert late_charge(Decimal(1500), FEDERAL, DUE, date(2026, 4, 11)) == Decimal("2.71")


def test_a_year_of_365_days_charges_the_yearly_rate() -> None:
    assert late_charge(Decimal(1000), YEARLY_12, DUE, date(2027, 4, 1)) == Decimal("120.00")


def test_nothing_is_charged_on_the_due_date() -> None:
    assert late_charge(Decimal(1000), YEARLY_12, DUE, DUE) == 0


def test_a_payment_in_part_lowers_the_charge_from_the_day_after_it() -> None:
    entries = [BILL, entry(EntryKind.PAYMENT, "P1", date(2026, 4, 11), "4000.00")]
    # 10,000 for 10 days and 6,000 for 20 at 12 %: 32.877 + 39.452
    assert late_charge_on(entries, "I1", YEARLY_12, date(2026, 5, 1)) == Decimal("72.33")


def test_a_payment_on_the_last_day_still_owes_for_that_day() -> None:
    entries = [BILL, entry(EntryKind.PAYMENT, "P1", date(2026, 4, 11), "10000.00")]
    assert late_charge_on(entries, "I1", YEARLY_12, date(2026, 4, 11)) == Decimal("32.88")
    assert late_charge_on(entries, "I1", YEARLY_12, date(2026, 6, 1)) == Decimal("32.88")


def test_a_returned_check_never_stopped_the_days_after_it_came_back() -> None:
    entries = [
        BILL,
        entry(EntryKind.PAYMENT, "P1", DUE, "10000.00"),
        entry(EntryKind.RETURN, "X1", date(2026, 4, 11), "10000.00", refers_to="P1"),
    ]
    assert late_charge_on(entries, "I1", YEARLY_12, date(2026, 4, 21)) == Decimal("32.88")


def test_what_was_charged_before_is_not_charged_again() -> None:
    assert late_charge_on([BILL], "I1", YEARLY_12, date(2026, 4, 11), Decimal("32.88")) == 0
    assert late_charge_on([BILL], "I1", YEARLY_12, date(2026, 4, 21), Decimal("32.88")) == Decimal("32.87")


def test_the_rate_is_zero_or_more_and_the_year_is_stated() -> None:
    for terms in ((Fraction(-1, 100), 365), (Fraction(1, 10), 364)):
        with pytest.raises(ValueError, match="360 or 365"):
            LateChargeTerms(*terms)


def test_a_charge_counts_only_its_own_invoice_and_days_up_to_the_last() -> None:
    entries = [
        BILL,
        entry(EntryKind.INVOICE, "I2", date(2026, 3, 1), "5000.00", due=DUE),
        entry(EntryKind.PAYMENT, "P1", date(2026, 5, 1), "15000.00"),
    ]
    assert late_charge_on(entries, "I1", YEARLY_12, date(2026, 4, 11)) == Decimal("32.88")


def test_a_charge_is_rounded_half_up_once() -> None:
    """36.50 at 50 % a year is 0.05 a day; on 3.65 for a day it is 0.005."""
    terms = LateChargeTerms(Fraction(1, 2))
    assert late_charge(Decimal("3.65"), terms, DUE, date(2026, 4, 2)) == Decimal("0.01")
    bill = entry(EntryKind.INVOICE, "I1", date(2026, 3, 1), "3.65", due=DUE)
    payments = [entry(EntryKind.PAYMENT, f"P{n}", date(2026, 4, n), "0.01") for n in (2, 3)]
    # 3.65, 3.64 and 3.63 for a day each: 0.01496
    assert late_charge_on([bill, *payments], "I1", terms, date(2026, 4, 4)) == Decimal("0.01")


def test_a_rate_of_zero_charges_nothing() -> None:
    assert late_charge(Decimal(1000), LateChargeTerms(Fraction(0)), DUE, date(2027, 4, 1)) == 0
