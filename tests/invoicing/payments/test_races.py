"""Two at the same moment: one payment of a double tap, and no more refunded than is held."""

import contextlib
from collections.abc import Callable
from decimal import Decimal
from threading import Barrier, Thread

import pytest
from django.db import connection

from invoicing.ledger.accounts import read_books
from invoicing.models import Payment
from invoicing.payments.record import apply_credit, record_payment, record_refund
from invoicing.receivables.balances import EntryFault
from tests.factories import make_job
from tests.invoicing.money_rows import AT, TODAY, add_bill, moved, pay

pytestmark = pytest.mark.django_db(transaction=True)


def at_once(deed: Callable[[int], object], number: int) -> None:
    """Each on a connection of its own, all begun together."""
    begin = Barrier(number)

    def run(place: int) -> None:
        try:
            begin.wait(timeout=20)
            with contextlib.suppress(EntryFault):
                deed(place)
        finally:
            connection.close()

    threads = [Thread(target=run, args=(place,)) for place in range(number)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=60)


def test_a_form_sent_twice_at_once_is_one_payment() -> None:
    invoice = add_bill(make_job())
    once = moved("60.00", job=invoice.job)
    at_once(lambda place: record_payment(invoice.job.client, once, [invoice], AT), 4)
    assert Payment.objects.count() == 1


def test_two_refunds_at_once_give_back_no_more_than_is_held() -> None:
    job = make_job()
    pay(job, "50.00")
    both = [moved("50.00", job=job) for _ in range(2)]
    at_once(lambda place: record_refund(job.client, both[place], AT), 2)
    assert Payment.objects.filter(kind=Payment.Kind.REFUND).count() == 1
    assert read_books(job.client).account_of(job.client_id).balance == Decimal("0.00")


def test_credit_put_twice_at_once_is_used_once() -> None:
    job = make_job()
    older, newer = add_bill(job, "80.00"), add_bill(job)
    pay(job, "150.00", newer)
    keys = [moved("1").once for _ in range(2)]
    at_once(lambda place: apply_credit(job.client, older, TODAY, keys[place], AT), 2)
    assert [row.amount.amount for row in Payment.objects.filter(kind="put")] == [Decimal("50.00")]
