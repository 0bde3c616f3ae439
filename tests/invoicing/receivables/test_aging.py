"""Open money by its age."""

from decimal import Decimal

import pytest

from invoicing.receivables.aging import NOTHING_OWED, aged_balance
from invoicing.receivables.balances import account_after
from tests.invoicing.receivables.entries import day, invoice, payment


@pytest.mark.parametrize(
    ("late", "bucket"),
    [
        (0, "not_late"),
        (1, "to_30"),
        (30, "to_30"),
        (31, "to_60"),
        (60, "to_60"),
        (61, "to_90"),
        (90, "to_90"),
        (91, "over_90"),
    ],
)
def test_age_is_counted_from_the_due_date(late: int, bucket: str) -> None:
    state = account_after([invoice("I1", "100.00", due=5)])
    assert getattr(aged_balance(state, day(5 + late)), bucket) == Decimal("100.00")
    assert state.receivables[0].days_late(day(5 + late)) == late


def test_ages_and_credit_sum_to_the_balance() -> None:
    entries = [
        invoice("I1", "100.00", due=5),
        invoice("I2", "70.00", due=60),
        payment("P", "75.00", 9, "I2"),
    ]
    sums = aged_balance(account_after(entries), day(50))
    assert (sums.to_60, sums.credit, sums.balance) == tuple(map(Decimal, ("100.00", "-5.00", "95.00")))
    assert (sums + sums).balance == Decimal("190.00")
    assert sums + NOTHING_OWED == sums


def test_all_that_is_past_its_due_date_is_late() -> None:
    entries = [
        invoice(f"I{late}", amount, due=100 - late)
        for late, amount in ((0, "1.00"), (1, "2.00"), (31, "4.00"), (61, "8.00"), (91, "16.00"))
    ]
    sums = aged_balance(account_after(entries), day(100))
    assert (sums.not_late, sums.late, sums.balance) == tuple(map(Decimal, ("1.00", "30.00", "31.00")))
