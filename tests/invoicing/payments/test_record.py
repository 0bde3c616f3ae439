"""Taking payments: what they pay, what comes back, and rows that stay as they were."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db import DatabaseError, transaction

from estimating.models import Document
from invoicing.bookkeeping.csv_files import Span, journal_table, payments_table
from invoicing.ledger.accounts import Books, job_balance, read_books, uses_in_words
from invoicing.models import Payment, PaymentFor
from invoicing.payments.record import apply_credit, record_payment, record_refund, void_payment
from invoicing.payments.search import payment_hit, payments_with
from invoicing.payments.summary import figure_rows, read_figures, read_firm_accounts
from invoicing.receivables.balances import EntryFault
from tests.factories import make_client, make_job
from tests.invoicing.money_rows import AT, TODAY, add_bill, balance_of, moved, paid_of, pay

pytestmark = pytest.mark.django_db


def days(number: int) -> date:
    return TODAY + timedelta(days=number)


def still_open(books: Books, client_id: int) -> dict[str, str]:
    return {item.key: str(item.open) for item in books.account_of(client_id).receivables if item.open}


def opened(document: Document) -> dict[str, str]:
    client = document.job.client
    return still_open(read_books(client), client.pk)


def test_a_payment_for_nothing_named_goes_to_what_was_due_first_on_any_job() -> None:
    client = make_client()
    later = add_bill(make_job(client=client, name="Bath"), "100.00", due=days(20))
    sooner = add_bill(make_job(client=client), "100.00", due=days(5))
    pay(sooner.job, "130.00")
    assert opened(later) == {str(later): "70.00"}
    assert (paid_of(sooner), paid_of(later)) == (Decimal("100.00"), Decimal("30.00"))


def test_a_payment_for_a_named_invoice_leaves_older_ones_open() -> None:
    job = make_job()
    first, second = add_bill(job), add_bill(job)
    pay(job, "100.00", second)
    assert opened(first) == {str(first): "100.00"}


def test_money_that_comes_before_its_invoice_pays_it_when_it_is_issued() -> None:
    job = make_job()
    pay(job, "80.00")
    invoice = add_bill(job)
    assert opened(invoice) == {str(invoice): "20.00"}


def test_what_is_paid_over_stays_as_credit_and_can_be_given_back_and_no_more() -> None:
    invoice = add_bill(make_job())
    client = invoice.job.client
    pay(invoice.job, "150.00")
    assert read_books(client).account_of(client.pk).credit == Decimal("50.00")
    with pytest.raises(EntryFault, match=r"credit on account is \$50\.00"):
        record_refund(client, moved("50.01"), AT)
    record_refund(client, moved("50.00"), AT)
    assert read_books(client).account_of(client.pk).balance == 0 == balance_of(client)
    assert Payment.objects.count() == 2


def credit_of_50() -> tuple[Document, Document]:
    """An older invoice that is open, and one that was paid $50.00 over."""
    job = make_job()
    older, newer = add_bill(job, "80.00"), add_bill(job)
    pay(job, "150.00", newer)
    return older, newer


def test_credit_is_put_on_an_older_invoice_as_far_as_it_goes() -> None:
    older, newer = credit_of_50()
    row = apply_credit(older.job.client, older, TODAY, "key", AT)
    books = read_books(older.job.client)
    assert (row.amount.amount, opened(older)) == (Decimal("50.00"), {str(older): "30.00"})
    assert uses_in_words(books, row) == str(older)
    assert books.account_of(row.client_id).balance == balance_of(row.client) == Decimal("30.00")
    assert opened(newer) == {str(older): "30.00"}


def test_credit_beyond_what_is_open_stays_held() -> None:
    job = make_job()
    small, newer = add_bill(job, "20.00"), add_bill(job)
    pay(job, "150.00", newer)
    apply_credit(job.client, small, TODAY, "key", AT)
    assert read_books(job.client).account_of(job.client_id).credit == Decimal("30.00")
    with pytest.raises(EntryFault, match="has nothing open"):
        apply_credit(job.client, small, TODAY, "another", AT)


def test_credit_from_a_credit_note_is_put_on_an_older_invoice() -> None:
    job = make_job()
    older, newer = add_bill(job, "80.00"), add_bill(job)
    pay(job, "100.00", newer)
    add_bill(job, "100.00", credits=newer)
    apply_credit(job.client, older, TODAY, "key", AT)
    assert (opened(older), read_books(job.client).account_of(job.client_id).credit) == ({}, Decimal("20.00"))


def test_a_double_tap_puts_credit_once_and_none_is_put_where_none_is_held() -> None:
    older, _ = credit_of_50()
    client = older.job.client
    assert apply_credit(client, older, TODAY, "key", AT) == apply_credit(client, older, TODAY, "key", AT)
    with pytest.raises(EntryFault, match="no credit on account"):
        apply_credit(client, older, TODAY, "another", AT)


def test_credit_put_on_an_invoice_is_no_money_that_moved() -> None:
    older, _ = credit_of_50()
    row = apply_credit(older.job.client, older, TODAY, "key", AT)
    accounts = read_firm_accounts()
    rows = [line.amount for line in figure_rows(accounts, "paid", TODAY, "")]
    assert (read_figures(accounts, TODAY)["paid"].amount, rows) == (Decimal("150.00"), [Decimal("150.00")])
    today = Span(TODAY, TODAY)
    assert str(row) not in {line[1] for line in payments_table(today).rows}
    assert str(row) not in {line[1] for line in journal_table(today).rows}


def test_a_double_tap_makes_one_payment() -> None:
    invoice = add_bill(make_job())
    once = moved("60.00")
    first, second = (record_payment(invoice.job.client, once, [invoice], AT) for _ in range(2))
    assert first == second
    assert paid_of(invoice) == Decimal("60.00")


def test_a_returned_check_opens_what_it_paid_and_the_history_keeps_both() -> None:
    invoice = add_bill(make_job())
    check = pay(invoice.job, "100.00")
    back = void_payment(check, days(0), Payment.Why.BANK, "", "key", AT)
    assert opened(invoice) == {str(invoice): "100.00"}
    assert list(Payment.objects.order_by("pk")) == [check, back]


def test_a_payment_comes_back_once() -> None:
    check = pay(make_job(), "100.00")
    void_payment(check, TODAY, Payment.Why.BANK, "", "one", AT)
    with pytest.raises(EntryFault, match="has come back already"):
        void_payment(check, TODAY, Payment.Why.BANK, "", "two", AT)


def test_a_refund_of_a_check_that_then_bounces_is_owed() -> None:
    job = make_job()
    check = pay(job, "100.00")
    given = record_refund(job.client, moved("100.00", job=job), AT)
    void_payment(check, TODAY, Payment.Why.BANK, "", "key", AT)
    assert still_open(read_books(job.client), job.client_id) == {str(given): "100.00"}


def test_a_credit_note_takes_off_what_is_open_and_frees_what_was_paid() -> None:
    invoice = add_bill(make_job())
    pay(invoice.job, "90.00")
    add_bill(invoice.job, "30.00", credits=invoice)
    client = invoice.job.client
    account = read_books(client).account_of(client.pk)
    assert (account.open, account.credit, account.balance) == (0, Decimal("20.00"), Decimal("-20.00"))


def test_entries_of_one_day_count_in_the_order_in_which_they_came() -> None:
    """The refund went out while the credit was there; the invoice of the same day finds none."""
    job = make_job()
    pay(job, "40.00")
    record_refund(job.client, moved("40.00"), AT)
    invoice = add_bill(job)
    assert opened(invoice) == {str(invoice): "100.00"}


def test_another_client_s_money_pays_nothing_here() -> None:
    invoice = add_bill(make_job())
    pay(make_job(client=make_client(name="Ines Varga")), "100.00")
    assert paid_of(invoice) == 0


def test_a_job_shows_its_own_invoices_and_the_client_s_credit() -> None:
    client = make_client()
    job, other = make_job(client=client), make_job(client=client, name="Bath")
    mine = add_bill(job, "100.00", tax="8.25", due=days(-40))
    elsewhere = add_bill(other, "50.00")
    pay(other, "70.00", elsewhere)
    balance = job_balance(read_books(client), job, TODAY)
    assert (balance.billed, balance.paid, balance.open) == (Decimal("108.25"), 0, Decimal("108.25"))
    assert (balance.ages.to_60, balance.credit) == (Decimal("108.25"), Decimal("20.00"))
    assert [item.key for item in balance.owed] == [str(mine)]


@pytest.mark.parametrize("change", ["update", "delete"])
@pytest.mark.parametrize("model", [Payment, PaymentFor])
def test_the_database_refuses_to_change_or_delete_what_was_entered(
    model: type[Payment] | type[PaymentFor], change: str
) -> None:
    invoice = add_bill(make_job())
    pay(invoice.job, "10.00", invoice)
    rows = model.objects.all()
    with pytest.raises(DatabaseError, match="stays as it is"), transaction.atomic():
        rows.update(id=1000) if change == "update" else rows._raw_delete("default")


def test_a_row_of_no_money_or_a_return_of_nothing_is_refused_by_the_database() -> None:
    job = make_job()
    common = {"client": job.client, "on": TODAY, "method": "check", "place": 0, "entered_at": AT}
    for row in ({"amount": Decimal(0)}, {"amount": Decimal(5), "kind": Payment.Kind.RETURN}):
        with pytest.raises(DatabaseError), transaction.atomic():
            Payment.objects.create(**common, once=f"{row}", **row)


def test_a_payment_is_found_by_its_check_number_client_amount_and_year() -> None:
    job = make_job()
    record_payment(job.client, moved("1250.50", job=job, reference="4711"), [], AT)
    for words in (["4711"], ["okonjo"], ["$1,250.50"], ["1250.5", "2026"]):
        assert [hit.url for hit in map(payment_hit, payments_with(words))], words
    assert not payments_with(["4712"])
