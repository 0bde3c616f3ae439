"""The snapshot of a client's statement of account."""

from datetime import date
from decimal import Decimal

from estimating.snapshots.wording import DocumentParty
from invoicing.snapshots.statement import StatementHeader, statement_snapshot
from tests.invoicing.receivables.entries import day, invoice, payment

HEADER = StatementHeader(DocumentParty("Firm"), DocumentParty("Okonjo"), date(2026, 3, 11), date(2026, 3, 21))


def test_a_statement_shows_the_rows_of_its_period_and_ages_on_its_last_day() -> None:
    entries = [invoice("I1", "100.00"), payment("P1", "40.00", 15), invoice("I2", "25.00", on=25)]
    snapshot = statement_snapshot(HEADER, entries)
    assert [(row["says"], row["charge"], row["credit"], row["balance"]) for row in snapshot["rows"]] == [
        ("Brought forward", "", "", "100.00"),
        ("Check", "", "40.00", "60.00"),
    ]
    assert snapshot["balance"] == "60.00"
    assert snapshot["ages"] == [{"label": "1 to 30 days overdue", "amount": "60.00"}]
    assert snapshot["first_line"] == (
        "On Sat 21 Mar 2026 you owed $60.00. What is past its due date is asked for now."
    )
    assert day(20) == HEADER.until


def test_what_is_held_and_nothing_owed_are_said() -> None:
    held = statement_snapshot(HEADER, [payment("P1", "40.00", 15)])
    assert held["first_line"] == "On Sat 21 Mar 2026 we held $40.00 for you."
    assert held["ages"] == [{"label": "Credit on account", "amount": "-40.00"}]
    assert statement_snapshot(HEADER, [])["first_line"] == "On Sat 21 Mar 2026 nothing was owed."


def test_a_cent_is_owed() -> None:
    cent = statement_snapshot(HEADER, [invoice("I1", "0.01")])
    assert cent["first_line"].startswith("On Sat 21 Mar 2026 you owed $0.01.")
    assert Decimal(cent["balance"]) == Decimal("0.01")
