"""How a client pays: what his page of an invoice offers him, and what the paper prints.

The floor is signed at $196.80, and 30 % of it are billed: $59.04.
"""

import pytest
from django.core import mail
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from catalog.models import Firm
from estimating.models import Document
from tests.estimating.client_visits import sent
from tests.estimating.issuing import DAY
from tests.invoicing.bills import billed, credited, signed_floor
from tests.invoicing.money_rows import pay

pytestmark = pytest.mark.django_db

LINK = "https://pay.example.com/you?sum={amount}&ref={number}"


@pytest.fixture(autouse=True)
def on_the_day(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(timezone, "localdate", lambda *_: DAY)


@pytest.fixture
def invoice() -> Document:
    contract = signed_floor()
    Firm.objects.update(pay_link=LINK, bank_details="Account number: 000123456")
    return billed(contract, "Begun")


def pages(signed_in: Client, invoice: Document) -> tuple[str, str, str]:
    """What the client sees of the whole job, of the invoice, and of how to pay it."""
    client, address = Client(), sent(signed_in, invoice)
    job = client.get(address, follow=True)
    link = invoice.links.get()
    return (
        job.content.decode(),
        client.get(reverse("client-page", args=[link.pk])).content.decode(),
        client.get(reverse("client-pay", args=[link.pk])).content.decode(),
    )


def test_what_is_open_now_goes_into_the_address_with_the_number(signed_in: Client, invoice: Document) -> None:
    pay(invoice.job, "20.00", invoice, on=DAY)
    job, paper, how = pages(signed_in, invoice)
    assert f"sum=39.04&amp;ref={invoice.printed_number}" in how
    assert 'value="000123456" readonly' in how
    assert 'value="39.04" readonly' in how
    assert all(reverse("client-pay", args=[invoice.links.get().pk]) in page for page in (job, paper))


@pytest.mark.parametrize("settled_by", ["payment", "credit note"])
def test_a_settled_invoice_asks_for_nothing(signed_in: Client, invoice: Document, settled_by: str) -> None:
    pay(invoice.job, "59.04", invoice, on=DAY) if settled_by == "payment" else credited(invoice)
    job, paper, how = pages(signed_in, invoice)
    assert "Nothing is left to pay" in how
    assert "pay.example.com" not in how + job
    assert reverse("client-pay", args=[invoice.links.get().pk]) not in job + paper


def test_the_invoice_keeps_the_address_that_it_was_issued_with(signed_in: Client, invoice: Document) -> None:
    Firm.objects.update(pay_link="")
    _, paper, how = pages(signed_in, invoice)
    assert f"https://pay.example.com/you?sum=59.04&amp;ref={invoice.printed_number}" in paper
    assert "pay.example.com" not in how


def test_bank_details_are_neither_on_paper_nor_in_a_mail(signed_in: Client, invoice: Document) -> None:
    _, paper, _ = pages(signed_in, invoice)
    assert "000123456" not in paper + mail.outbox[-1].body


def test_nobody_sees_how_to_pay_without_a_link(signed_in: Client, invoice: Document) -> None:
    sent(signed_in, invoice)
    assert Client().get(reverse("client-pay", args=[invoice.links.get().pk])).status_code == 404
