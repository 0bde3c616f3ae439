"""Balances, ages and statements from entries alone."""

from datetime import date
from decimal import Decimal

import pytest

from invoicing.receivables.ageing import NOTHING_OWED, ages, statement
from invoicing.receivables.balances import Account, Entry, EntryFault, Kind, account

DAY = date(2026, 3, 1)


def day(number: int) -> date:
    return date.fromordinal(DAY.toordinal() + number)


def invoice(key: str, amount: str, on: int = 0, due: int | None = None, tax: str = "0.00") -> Entry:
    due_on = day(on + 5 if due is None else due)
    return Entry(Kind.INVOICE, key, day(on), Decimal(amount), Decimal(tax), due=due_on)


def payment(key: str, amount: str, on: int = 10, *invoices: str) -> Entry:
    return Entry(Kind.PAYMENT, key, day(on), Decimal(amount), invoices=invoices, says="Check")


def credit_note(key: str, amount: str, of: str, on: int = 20) -> Entry:
    return Entry(Kind.CREDIT_NOTE, key, day(on), Decimal(amount), of=of)


def returned(key: str, amount: str, of: str, on: int = 30) -> Entry:
    return Entry(Kind.RETURN, key, day(on), Decimal(amount), of=of)


def refund(key: str, amount: str, on: int = 25) -> Entry:
    return Entry(Kind.REFUND, key, day(on), Decimal(amount))


def put(key: str, amount: str, invoice: str, on: int = 28) -> Entry:
    return Entry(Kind.PUT, key, day(on), Decimal(amount), invoices=(invoice,))


def still_open(state: Account) -> dict[str, str]:
    return {each.key: str(each.open) for each in state.owed if each.open}


def test_a_payment_in_part_leaves_the_rest_open() -> None:
    state = account([invoice("I1", "100.00"), payment("P1", "40.00")])
    assert (still_open(state), state.balance) == ({"I1": "60.00"}, Decimal("60.00"))


def test_a_payment_goes_to_the_oldest_first() -> None:
    entries = [invoice("I2", "100.00", on=2), invoice("I1", "100.00", on=1), payment("P1", "150.00")]
    assert still_open(account(entries)) == {"I2": "50.00"}


def test_a_payment_for_a_chosen_invoice_leaves_older_ones_open() -> None:
    entries = [invoice("I1", "100.00"), invoice("I2", "100.00"), payment("P1", "100.00", 10, "I2")]
    assert still_open(account(entries)) == {"I1": "100.00"}


def kept_over() -> list[Entry]:
    """I1 is open, and $50.00 of what was paid on I2 is held."""
    return [invoice("I1", "80.00"), invoice("I2", "100.00"), payment("P1", "150.00", 10, "I2")]


def test_credit_put_on_an_older_invoice_pays_it_and_leaves_the_balance() -> None:
    before, after = account(kept_over()), account([*kept_over(), put("C1", "50.00", "I1")])
    assert (still_open(before), before.credit) == ({"I1": "80.00"}, Decimal("50.00"))
    assert (still_open(after), after.credit) == ({"I1": "30.00"}, 0)
    assert before.balance == after.balance == Decimal("30.00")
    assert after.invoice("I1").paid_by == (("P1", Decimal("50.00")),)


def test_credit_is_put_only_as_far_as_its_amount() -> None:
    state = account([*kept_over(), put("C1", "20.00", "I1")])
    assert (still_open(state), state.credit) == ({"I1": "60.00"}, Decimal("30.00"))


def test_credit_put_on_an_invoice_comes_off_it_with_the_payment_that_bounced() -> None:
    state = account([*kept_over(), put("C1", "50.00", "I1"), returned("X1", "150.00", "P1")])
    assert (still_open(state), state.credit) == ({"I1": "80.00", "I2": "100.00"}, 0)


def test_what_was_refunded_on_an_earlier_day_cannot_be_put_on_an_invoice_again() -> None:
    state = account([*kept_over(), refund("R1", "45.00"), put("C1", "50.00", "I1")])
    assert (still_open(state), state.credit, state.balance) == ({"I1": "75.00"}, 0, Decimal("75.00"))


def test_an_overpayment_stays_as_credit_and_goes_to_the_next_invoice() -> None:
    entries = [invoice("I1", "100.00"), payment("P1", "130.00")]
    assert (account(entries).credit, account(entries).balance) == (Decimal("30.00"), Decimal("-30.00"))
    assert still_open(account([*entries, invoice("I2", "50.00", on=12)])) == {"I2": "20.00"}


def test_money_that_came_before_its_invoice_waits_for_it() -> None:
    entries = [payment("P1", "80.00", 1, "I2"), invoice("I1", "50.00", on=2), invoice("I2", "100.00", on=3)]
    assert still_open(account(entries)) == {"I1": "50.00", "I2": "20.00"}


def test_credit_can_be_refunded_and_no_more() -> None:
    entries = [invoice("I1", "100.00"), payment("P1", "130.00")]
    assert account([*entries, refund("R1", "30.00")]).balance == 0
    with pytest.raises(EntryFault, match=r"\$30\.00 is held as credit"):
        account([*entries, refund("R1", "30.01")])


def test_a_returned_payment_opens_just_what_it_paid() -> None:
    entries = [
        invoice("I1", "100.00"),
        payment("P1", "100.00", 10),
        invoice("I2", "50.00", on=11),
        payment("P2", "50.00", 12),
        returned("X1", "100.00", "P1"),
    ]
    state = account(entries)
    assert still_open(state) == {"I1": "100.00"}
    assert (state.paid, state.balance) == (Decimal("50.00"), Decimal("100.00"))
    assert account(entries, as_of=day(29)).balance == 0


def test_a_payment_comes_back_once_and_whole() -> None:
    entries = [invoice("I1", "100.00"), payment("P1", "100.00"), returned("X1", "100.00", "P1")]
    with pytest.raises(EntryFault, match="already"):
        account([*entries, returned("X2", "100.00", "P1")])
    with pytest.raises(EntryFault, match="comes back whole"):
        account([*entries[:2], returned("X1", "99.99", "P1")])
    with pytest.raises(EntryFault, match="no payment"):
        account([invoice("I1", "100.00"), returned("X1", "100.00", "I1")])


def test_a_refund_of_money_that_comes_back_is_owed() -> None:
    entries = [payment("P1", "30.00"), refund("R1", "30.00"), returned("X1", "30.00", "P1")]
    assert still_open(account(entries)) == {"R1": "30.00"}


def test_a_credit_note_opens_less_and_frees_what_was_paid_beyond() -> None:
    entries = [invoice("I1", "100.00"), payment("P1", "90.00"), credit_note("C1", "40.00", "I1")]
    state = account(entries)
    assert (state.invoice("I1").paid, state.credit, state.balance) == tuple(
        map(Decimal, ("60.00", "30.00", "-30.00"))
    )


def test_a_credit_note_names_an_invoice_and_is_no_larger() -> None:
    with pytest.raises(EntryFault, match=r"\$60\.00 of invoice I1 is left"):
        account([invoice("I1", "100.00"), credit_note("C1", "40.00", "I1"), credit_note("C2", "60.01", "I1")])
    with pytest.raises(EntryFault, match="names its invoice"):
        account([credit_note("C1", "1.00", "I9")])


def test_an_entry_is_entered_once_and_above_zero() -> None:
    with pytest.raises(EntryFault, match="entered already"):
        account([invoice("I1", "100.00"), invoice("I1", "100.00")])
    with pytest.raises(EntryFault, match="above zero"):
        account([payment("P1", "0.00")])
    with pytest.raises(EntryFault, match="above zero"):
        account([invoice("I1", "-1.00")])


def test_an_invoice_that_the_deposit_covers_asks_for_nothing() -> None:
    state = account([invoice("I1", "0.00"), credit_note("C1", "0.00", "I1")])
    assert (state.owed[0].days_late(day(50)), state.balance) == (0, 0)


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
    state = account([invoice("I1", "100.00", due=5)])
    assert getattr(ages(state, day(5 + late)), bucket) == Decimal("100.00")
    assert state.owed[0].days_late(day(5 + late)) == late


def test_ages_and_credit_sum_to_the_balance() -> None:
    entries = [
        invoice("I1", "100.00", due=5),
        invoice("I2", "70.00", due=60),
        payment("P", "75.00", 9, "I2"),
    ]
    sums = ages(account(entries), day(50))
    assert (sums.to_60, sums.credit, sums.balance) == tuple(map(Decimal, ("100.00", "-5.00", "95.00")))
    assert (sums + sums).balance == Decimal("190.00")
    assert sums + NOTHING_OWED == sums


def test_a_statement_brings_the_balance_forward_and_runs_on() -> None:
    entries = [invoice("I1", "100.00"), payment("P1", "40.00", 10), invoice("I2", "25.00", on=15)]
    rows = statement(entries, day(10), day(20))
    assert [(row.says, str(row.charge), str(row.credit), str(row.balance)) for row in rows] == [
        ("Brought forward", "0.00", "0.00", "100.00"),
        ("Check", "0.00", "40.00", "60.00"),
        ("Invoice", "25.00", "0.00", "85.00"),
    ]


def test_an_invoice_that_is_not_there_is_named() -> None:
    with pytest.raises(EntryFault, match="no invoice I9"):
        account([]).invoice("I9")
