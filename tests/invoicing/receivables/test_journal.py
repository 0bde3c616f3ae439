"""The journal balances entry by entry."""

from decimal import Decimal
from fractions import Fraction

import pytest

from invoicing.billing.draft import draft_bill, draft_release
from invoicing.billing.lines import BillLine, BillLineKind
from invoicing.milestones.plan import MilestoneTerm, draw_plan
from invoicing.receivables.balances import AccountEntry, EntryFault, EntryKind
from invoicing.receivables.journal import journal, split_by_account
from tests.invoicing.receivables.entries import APRIL, BILL, MARCH, entry


def sides(entries: list[AccountEntry]) -> list[tuple[str, str, str]]:
    return [(line.account, str(line.debit), str(line.credit)) for line in journal(entries)]


def test_an_invoice_is_receivable_against_income_and_tax() -> None:
    assert sides([BILL]) == [
        ("Accounts receivable", "107.25", "0.00"),
        ("Contract income", "0.00", "100.00"),
        ("Sales tax payable", "0.00", "7.25"),
    ]


def test_a_credit_note_turns_its_invoice_round() -> None:
    assert sides([entry(EntryKind.CREDIT_NOTE, "C1", APRIL, "107.25", "7.25", refers_to="I1")]) == [
        ("Accounts receivable", "0.00", "107.25"),
        ("Contract income", "100.00", "0.00"),
        ("Sales tax payable", "7.25", "0.00"),
    ]


def test_money_in_and_out_goes_by_the_bank() -> None:
    assert sides([entry(EntryKind.PAYMENT, "P1", APRIL, "50.00")])[1] == ("Bank", "50.00", "0.00")
    assert sides([entry(EntryKind.REFUND, "R1", APRIL, "50.00")])[1] == ("Bank", "0.00", "50.00")
    assert sides([entry(EntryKind.RETURN, "X1", APRIL, "50.00", refers_to="P1")])[1] == (
        "Bank",
        "0.00",
        "50.00",
    )


def test_retainage_is_income_at_once_and_receivable_until_it_is_billed() -> None:
    plan = draw_plan(Decimal(1000), [MilestoneTerm("A", "All", "Done")], retainage=Fraction(1, 10))
    work = draft_bill(plan, (), ["A"], keep_held=True)
    release = draft_release(plan, work.lines)
    bills = [
        entry(EntryKind.INVOICE, "I1", MARCH, "900.00", split=split_by_account(work.lines)),
        entry(EntryKind.INVOICE, "I2", APRIL, "100.00", split=split_by_account(release.lines)),
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
        journal(
            [entry(EntryKind.INVOICE, "I1", MARCH, "10.00", split=(("Contract income", Decimal("9.99")),))]
        )


def test_entries_are_in_the_order_of_their_days() -> None:
    lines = journal([entry(EntryKind.PAYMENT, "P1", APRIL, "107.25"), BILL])
    assert [line.entry for line in lines] == ["I1", "I1", "I1", "P1", "P1"]


def test_an_account_that_comes_to_nothing_is_left_out() -> None:
    lines = (
        BillLine(BillLineKind.MILESTONE, "Floor", Decimal("500.00")),
        BillLine(BillLineKind.CHANGE, "Less", Decimal("-500.00")),
        BillLine(BillLineKind.LATE, "Late charge", Decimal("9.86")),
    )
    assert split_by_account(lines) == (("Late charges", Decimal("9.86")),)
