"""What is said of a payment that is more than what is due."""

from decimal import Decimal

import pytest

from invoicing.receivables.overpayment import overpayment_in_words


@pytest.mark.parametrize(
    ("chosen", "on"), [(0, "all that is owed"), (1, "that invoice"), (2, "those invoices")]
)
def test_what_is_over_is_named_with_what_it_is_over(chosen: int, on: str) -> None:
    assert overpayment_in_words(Decimal("100.01"), Decimal("100.00"), chosen) == (
        f"$100.01 is more than the $100.00 due on {on}. Type less, or tick “Keep what is over as credit”: "
        "$0.01 then waits for a later invoice and can be given back."
    )


def test_where_nothing_is_due_all_is_over() -> None:
    assert overpayment_in_words(Decimal("5.00"), Decimal("0.00"), 1) == (
        "Nothing is due. Tick “Keep what is over as credit”: $5.00 then waits for a later invoice and can be "
        "given back."
    )


def test_what_is_due_can_be_paid() -> None:
    assert overpayment_in_words(Decimal("100.00"), Decimal("100.00"), 1) == ""
