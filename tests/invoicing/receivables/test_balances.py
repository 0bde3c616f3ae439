"""Balances of a client's account from its entries alone."""

from dataclasses import replace
from decimal import Decimal

import pytest

from invoicing.receivables.balances import AccountEntry, ClientAccount, EntryFault, EntryKind, account_after
from tests.invoicing.receivables.entries import (
    credit_applied,
    credit_note,
    day,
    invoice,
    payment,
    refund,
    returned,
)


def still_open(state: ClientAccount) -> dict[str, str]:
    return {invoice.key: str(invoice.open) for invoice in state.receivables if invoice.open}


def test_a_payment_in_part_leaves_the_rest_open() -> None:
    state = account_after([invoice("I1", "100.00"), payment("P1", "40.00")])
    assert (still_open(state), state.balance) == ({"I1": "60.00"}, Decimal("60.00"))


def test_a_payment_goes_to_the_oldest_first() -> None:
    entries = [invoice("I2", "100.00", on=2), invoice("I1", "100.00", on=1), payment("P1", "150.00")]
    assert still_open(account_after(entries)) == {"I2": "50.00"}


def test_a_payment_for_a_chosen_invoice_leaves_older_ones_open() -> None:
    entries = [invoice("I1", "100.00"), invoice("I2", "100.00"), payment("P1", "100.00", 10, "I2")]
    assert still_open(account_after(entries)) == {"I1": "100.00"}


def kept_over() -> list[AccountEntry]:
    """I1 is open, and $50.00 of what was paid on I2 is held."""
    return [invoice("I1", "80.00"), invoice("I2", "100.00"), payment("P1", "150.00", 10, "I2")]


def test_credit_put_on_an_older_invoice_pays_it_and_leaves_the_balance() -> None:
    before, after = (
        account_after(kept_over()),
        account_after([*kept_over(), credit_applied("C1", "50.00", "I1")]),
    )
    assert (still_open(before), before.credit) == ({"I1": "80.00"}, Decimal("50.00"))
    assert (still_open(after), after.credit) == ({"I1": "30.00"}, Decimal(0))
    assert before.balance == after.balance == Decimal("30.00")
    assert after.invoice("I1").paid_by == (("P1", Decimal("50.00")),)


def test_credit_is_put_only_as_far_as_its_amount() -> None:
    state = account_after([*kept_over(), credit_applied("C1", "20.00", "I1")])
    assert (still_open(state), state.credit) == ({"I1": "60.00"}, Decimal("30.00"))


def test_credit_put_on_an_invoice_comes_off_it_with_the_payment_that_bounced() -> None:
    state = account_after([*kept_over(), credit_applied("C1", "50.00", "I1"), returned("X1", "150.00", "P1")])
    assert (still_open(state), state.credit) == ({"I1": "80.00", "I2": "100.00"}, Decimal(0))


def test_what_was_refunded_on_an_earlier_day_cannot_be_put_on_an_invoice_again() -> None:
    state = account_after([*kept_over(), refund("R1", "45.00"), credit_applied("C1", "50.00", "I1")])
    assert (still_open(state), state.credit, state.balance) == ({"I1": "75.00"}, Decimal(0), Decimal("75.00"))


def test_an_overpayment_stays_as_credit_and_goes_to_the_next_invoice() -> None:
    entries = [invoice("I1", "100.00"), payment("P1", "130.00")]
    assert (account_after(entries).credit, account_after(entries).balance) == (
        Decimal("30.00"),
        Decimal("-30.00"),
    )
    assert still_open(account_after([*entries, invoice("I2", "50.00", on=12)])) == {"I2": "20.00"}


def test_money_that_came_before_its_invoice_waits_for_it() -> None:
    entries = [payment("P1", "80.00", 1, "I2"), invoice("I1", "50.00", on=2), invoice("I2", "100.00", on=3)]
    assert still_open(account_after(entries)) == {"I1": "50.00", "I2": "20.00"}


def test_credit_can_be_refunded_and_no_more() -> None:
    entries = [invoice("I1", "100.00"), payment("P1", "130.00")]
    assert account_after([*entries, refund("R1", "30.00")]).balance == 0
    with pytest.raises(EntryFault, match=r"credit on account is \$30\.00"):
        account_after([*entries, refund("R1", "30.01")])


def test_a_returned_payment_opens_just_what_it_paid() -> None:
    entries = [
        invoice("I1", "100.00"),
        payment("P1", "100.00", 10),
        invoice("I2", "50.00", on=11),
        payment("P2", "50.00", 12),
        returned("X1", "100.00", "P1"),
    ]
    state = account_after(entries)
    assert still_open(state) == {"I1": "100.00"}
    assert (state.paid, state.balance) == (Decimal("50.00"), Decimal("100.00"))
    assert account_after(entries, as_of=day(29)).balance == 0


def test_a_payment_comes_back_once_and_whole() -> None:
    entries = [invoice("I1", "100.00"), payment("P1", "100.00"), returned("X1", "100.00", "P1")]
    with pytest.raises(EntryFault, match="already"):
        account_after([*entries, returned("X2", "100.00", "P1")])
    with pytest.raises(EntryFault, match="comes back whole"):
        account_after([*entries[:2], returned("X1", "99.99", "P1")])
    with pytest.raises(EntryFault, match="no payment"):
        account_after([invoice("I1", "100.00"), returned("X1", "100.00", "I1")])


def test_a_refund_of_money_that_comes_back_is_owed() -> None:
    entries = [payment("P1", "30.00"), refund("R1", "30.00"), returned("X1", "30.00", "P1")]
    assert still_open(account_after(entries)) == {"R1": "30.00"}


def test_a_credit_note_opens_less_and_frees_what_was_paid_beyond() -> None:
    entries = [invoice("I1", "100.00"), payment("P1", "90.00"), credit_note("C1", "40.00", "I1")]
    state = account_after(entries)
    assert (state.invoice("I1").paid, state.credit, state.balance) == tuple(
        map(Decimal, ("60.00", "30.00", "-30.00"))
    )


def test_a_credit_note_names_an_invoice_and_is_no_larger() -> None:
    with pytest.raises(EntryFault, match=r"\$60\.00 of invoice I1 is left"):
        account_after(
            [invoice("I1", "100.00"), credit_note("C1", "40.00", "I1"), credit_note("C2", "60.01", "I1")]
        )
    with pytest.raises(EntryFault, match="names its invoice"):
        account_after([credit_note("C1", "1.00", "I9")])


def test_an_entry_is_entered_once_and_above_zero() -> None:
    with pytest.raises(EntryFault, match="entered already"):
        account_after([invoice("I1", "100.00"), invoice("I1", "100.00")])
    with pytest.raises(EntryFault, match="above zero"):
        account_after([payment("P1", "0.00")])
    with pytest.raises(EntryFault, match="above zero"):
        account_after([invoice("I1", "-1.00")])


def test_an_invoice_that_the_deposit_covers_asks_for_nothing() -> None:
    state = account_after([invoice("I1", "0.00"), credit_note("C1", "0.00", "I1")])
    assert (state.receivables[0].days_late(day(50)), state.balance) == (0, Decimal(0))


def test_an_invoice_that_is_not_there_is_named() -> None:
    with pytest.raises(EntryFault, match="no invoice I9"):
        account_after([]).invoice("I9")


def test_entries_count_by_date_however_they_are_given() -> None:
    entries = [credit_note("C1", "40.00", "I1", on=20), invoice("I1", "100.00", on=0)]
    assert account_after(entries).balance == Decimal("60.00")


def test_the_oldest_is_the_one_that_was_due_first() -> None:
    entries = [
        invoice("I1", "100.00", on=1, due=30),
        invoice("I2", "100.00", on=2, due=10),
        payment("P1", "100.00"),
    ]
    assert still_open(account_after(entries)) == {"I1": "100.00"}
    same_day = [
        invoice("I2", "9.00", on=2, due=30),
        invoice("I1", "9.00", on=1, due=30),
        payment("P1", "9.00"),
    ]
    assert still_open(account_after(same_day)) == {"I2": "9.00"}


def test_a_credit_note_frees_the_latest_payment_first() -> None:
    entries = [
        invoice("I1", "100.00"),
        payment("P1", "60.00"),
        payment("P2", "40.00", 11),
        credit_note("C1", "50.00", "I1"),
    ]
    state = account_after(entries)
    assert state.credit_by_payment == (("P1", Decimal("10.00")), ("P2", Decimal("40.00")))
    assert state.invoice("I1").paid_by == (("P1", Decimal("50.00")),)


def test_a_credit_note_of_all_that_is_left_is_taken() -> None:
    state = account_after([invoice("I1", "100.00", tax="7.00"), credit_note("C1", "100.00", "I1")])
    assert (still_open(state), state.credited, state.balance) == ({}, Decimal("100.00"), Decimal(0))


def test_credit_that_was_meant_for_an_invoice_is_used_on_it_before_other_credit() -> None:
    entries = [
        payment("P1", "30.00", 1),
        payment("P2", "30.00", 2, "I1"),
        invoice("I1", "40.00", on=3),
    ]
    state = account_after(entries)
    assert state.invoice("I1").paid_by == (("P2", Decimal("30.00")), ("P1", Decimal("10.00")))
    assert state.credit_by_payment == (("P1", Decimal("20.00")),)


def test_a_refund_is_taken_from_the_oldest_credit() -> None:
    entries = [payment("P1", "30.00", 1), payment("P2", "30.00", 2), refund("R1", "40.00")]
    state = account_after(entries)
    assert state.credit_by_payment == (("P2", Decimal("20.00")),)
    assert (state.refunded, state.balance) == (Decimal("40.00"), Decimal("-20.00"))
    back = account_after([*entries, returned("X1", "30.00", "P2")])
    assert still_open(back) == {"R1": "10.00"}


def test_an_account_as_of_a_day_has_what_came_on_it() -> None:
    entries = [invoice("I1", "100.00"), payment("P1", "40.00", 10)]
    assert account_after(entries, as_of=day(10)).balance == Decimal("60.00")
    assert account_after(entries, as_of=day(9)).balance == Decimal("100.00")


def test_an_invoice_without_a_due_date_is_due_on_its_own() -> None:
    entry = AccountEntry(EntryKind.INVOICE, "I1", day(3), Decimal("5.00"))
    assert account_after([entry]).invoice("I1").due == day(3)


def test_a_credit_note_without_its_invoice_is_refused_by_name() -> None:
    with pytest.raises(EntryFault, match="there is no invoice I9"):
        account_after([credit_note("C1", "1.00", "I9")])
    with pytest.raises(EntryFault, match="there is no invoice named"):
        account_after([credit_note("C1", "1.00", "")])


def test_credit_is_applied_out_of_several_payments_up_to_its_amount() -> None:
    entries = [
        invoice("I1", "80.00"),
        payment("P1", "30.00", 1, "I2"),
        payment("P2", "30.00", 2, "I2"),
        credit_applied("C1", "40.00", "I1"),
    ]
    state = account_after(entries)
    assert state.invoice("I1").paid_by == (("P1", Decimal("30.00")), ("P2", Decimal("10.00")))
    assert state.credit == Decimal("20.00")


def test_credit_applied_to_an_invoice_that_is_not_there_stays_credit() -> None:
    state = account_after([payment("P1", "30.00"), credit_applied("C1", "30.00", "I9")])
    assert (state.credit, state.balance) == (Decimal("30.00"), Decimal("-30.00"))


def test_credit_put_on_an_invoice_twice_pays_it_with_both() -> None:
    entries = [*kept_over(), credit_applied("C1", "20.00", "I1"), credit_applied("C2", "30.00", "I1")]
    assert account_after(entries).invoice("I1").paid_by == (("P1", Decimal("50.00")),)


def test_each_credit_note_gives_its_own_tax_back() -> None:
    notes = [replace(credit_note(key, "10.00", "I1"), tax=Decimal("0.80")) for key in ("N1", "N2")]
    state = account_after([invoice("I1", "108.00", tax="8.00"), *notes])
    assert state.invoice("I1").credited_tax == Decimal("1.60")


def test_what_was_refunded_of_two_payments_that_bounced_is_owed_under_the_refund() -> None:
    state = account_after(
        [
            payment("P1", "30.00"),
            payment("P2", "20.00", 11),
            refund("R1", "35.00"),
            refund("R2", "15.00"),
            returned("X1", "30.00", "P1"),
            returned("X2", "20.00", "P2", 31),
        ]
    )
    assert still_open(state) == {"R1": "35.00", "R2": "15.00"}
    assert [(item.on, item.due) for item in state.receivables] == [(day(30), day(30)), (day(31), day(31))]


def test_a_receivable_is_of_the_day_of_its_invoice() -> None:
    assert account_after([invoice("I1", "100.00", on=3, due=17)]).invoice("I1").on == day(3)
