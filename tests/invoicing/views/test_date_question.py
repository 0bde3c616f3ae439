"""No money is entered and no bill issued on a date in doubt before somebody says that the date is right."""

from datetime import timedelta

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from estimating.documents.clock import DateInDoubt
from estimating.models import Document
from invoicing.models import Payment
from tests.factories import make_job
from tests.invoicing.money_rows import add_bill, pay

pytestmark = [pytest.mark.django_db, pytest.mark.asks_for_the_date]


@pytest.fixture
def invoice() -> Document:
    """A bill, last sent by a clock a month ahead of today's."""
    invoice = add_bill(make_job(), "100.00", on=timezone.localdate())
    with transaction.atomic():
        invoice.record("sent", timezone.now() + timedelta(days=30))
    return invoice


def test_a_payment_is_taken_only_with_the_tick(signed_in: Client, invoice: Document) -> None:
    address = reverse("payment-new", args=[invoice.job_id])
    assert "this machine says it is" in signed_in.get(address).content.decode()
    typed = {"once": "k", "amount": "100.00", "on": f"{timezone.localdate()}", "method": "check"}
    refused = signed_in.post(address, typed)
    assert refused.status_code == 422
    assert "The date is right: Tick that the date is right" in refused.content.decode()
    assert not Payment.objects.exists()
    assert signed_in.post(address, typed | {"date_is_right": "on"}).status_code == 302
    assert Payment.objects.count() == 1


def test_paid_in_full_by_one_tap_asks_on_the_form_instead(signed_in: Client, invoice: Document) -> None:
    typed = {"once": "k", "amount": "100.00"}
    answer = signed_in.post(reverse("invoice-paid", args=[invoice.pk]), typed, follow=True)
    page = answer.content.decode()
    assert answer.redirect_chain[0][0].startswith(reverse("payment-new", args=[invoice.job_id]))
    assert 'name="date_is_right"' in page
    assert not Payment.objects.exists()


def test_a_program_that_enters_money_has_to_say_that_the_date_is_right(invoice: Document) -> None:
    with pytest.raises(DateInDoubt):
        pay(invoice.job, "40.00", on=timezone.localdate())
    assert not Payment.objects.exists()
