"""A client's statement of account."""

from invoicing.receivables.statement import account_statement
from tests.invoicing.receivables.entries import day, invoice, payment


def test_a_statement_brings_the_balance_forward_and_runs_on() -> None:
    entries = [invoice("I1", "100.00"), payment("P1", "40.00", 10), invoice("I2", "25.00", on=15)]
    rows = account_statement(entries, day(10), day(20))
    assert [(row.description, str(row.charge), str(row.credit), str(row.balance)) for row in rows] == [
        ("Brought forward", "0.00", "0.00", "100.00"),
        ("Check", "0.00", "40.00", "60.00"),
        ("Invoice", "25.00", "0.00", "85.00"),
    ]


def test_rows_are_in_the_order_of_their_days_up_to_the_last() -> None:
    entries = [payment("P1", "40.00", 20), invoice("I1", "100.00", on=10), invoice("I2", "25.00", on=21)]
    rows = account_statement(entries, day(10), day(20))
    assert [(row.key, str(row.balance)) for row in rows] == [("", "0.00"), ("I1", "100.00"), ("P1", "60.00")]
