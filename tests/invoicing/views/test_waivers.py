"""A lien waiver from an invoice to the client's page. The floor is $196.80; 30 %, $59.04, are billed."""

from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from estimating.models import Document
from estimating.verification.documents import faults
from invoicing.models import StateWaiver
from tests.estimating.client_visits import sent
from tests.estimating.issuing import DAY
from tests.invoicing.bills import billed, signed_floor
from tests.invoicing.money_rows import pay
from tests.pdf_text import text_of
from tests.responses import PageResponse

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def on_the_day(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(timezone, "localdate", lambda *_: DAY)


@pytest.fixture
def invoice() -> Document:
    return billed(signed_floor(), "Begun")


def waive(signed_in: Client, invoice: Document, kind: str, **typed: str) -> PageResponse:
    values = {"kind": kind, "through": f"{DAY}", "exceptions": "", "signed_by": "", **typed}
    return signed_in.post(reverse("waiver-new", args=[invoice.pk]), values)


def test_the_page_offers_the_waiver_that_fits(signed_in: Client, invoice: Document) -> None:
    page = signed_in.get(reverse("waiver-new", args=[invoice.pk]))
    assert page.context["form"].initial["kind"] == "conditional_progress"
    pay(invoice.job, "59.04", invoice, on=DAY)
    page = signed_in.get(reverse("waiver-new", args=[invoice.pk]))
    assert page.context["form"].initial["kind"] == "unconditional_progress"


def test_a_waiver_is_numbered_says_its_payment_and_stands_on_the_clients_page(
    signed_in: Client, invoice: Document
) -> None:
    answer = waive(signed_in, invoice, "conditional_progress", signed_by="Wren Tolliver")
    waiver = Document.objects.get(kind="waiver")
    assert answer["Location"] == reverse("document-send", args=[waiver.pk])
    words = " ".join(text_of(bytes(waiver.pdf)).split())
    assert "Conditional waiver on progress payment LW-1" in words
    assert f"has received $59.04 for invoice {invoice.printed_number} and the payment has cleared" in words
    assert "Signed by Wren Tolliver" in words
    page = Client().get(sent(signed_in, waiver), follow=True).content.decode()
    assert "Lien waiver LW-1" in page
    assert "given to you" in page
    assert list(faults()) == []


def test_a_waiver_is_for_what_is_paid_sales_tax_included(signed_in: Client) -> None:
    taxed = billed(signed_floor(tax_policy="everything", tax_percent=10), "Begun")
    waive(signed_in, taxed, "conditional_progress", signed_by="Wren Tolliver")
    waiver = Document.objects.get(kind="waiver")
    assert "has received $64.94 for invoice" in " ".join(text_of(bytes(waiver.pdf)).split())  # 59.04 x 1.1
    assert (taxed.total.amount, waiver.total.amount) == (Decimal("64.94"), Decimal("64.94"))


@pytest.mark.parametrize(
    ("kind", "typed", "sentence"),
    [
        ("unconditional_progress", {}, "No payment is entered"),
        ("conditional_final", {}, "$137.76 of the contract isn&#x27;t billed yet"),
        ("conditional_progress", {"through": "2050-01-01"}, "Work that isn&#x27;t done yet"),
    ],
)
def test_what_is_not_so_is_refused_beside_its_field(
    signed_in: Client, invoice: Document, kind: str, typed: dict[str, str], sentence: str
) -> None:
    answer = waive(signed_in, invoice, kind, **typed)
    assert answer.status_code == 422
    assert sentence in answer.content.decode()
    assert not Document.objects.filter(kind="waiver").exists()


def test_the_words_of_the_state_are_printed_in_place_of_ours(signed_in: Client, invoice: Document) -> None:
    typed = {"kind": "conditional_progress", "citation": "Lien Code section 7", "confirmed": "on"}
    address = reverse("state-waiver-new")
    wrong = signed_in.post(address, {**typed, "text": "{owner} owes {amount}."})
    assert "{owner} isn&#x27;t filled in here" in wrong.content.decode()
    signed_in.post(address, {**typed, "text": "{client} owes {amount}."})
    waive(signed_in, invoice, "conditional_progress")
    snapshot = Document.objects.get(kind="waiver").read_snapshot()
    assert snapshot["words"] == [f"{invoice.job.client.name} owes $59.04."]
    assert snapshot["citation"] == "Lien Code section 7"
    signed_in.post(reverse("state-waiver-remove", args=[StateWaiver.objects.get().pk]))
    assert not StateWaiver.objects.exists()
