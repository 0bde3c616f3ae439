"""The pages of money in: what he types, what is refused with a sentence, and what the job then shows."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from estimating.models import Document, Job
from invoicing.ledger.accounts import read_books
from invoicing.models import Payment
from invoicing.payments.record import record_refund
from tests.factories import make_client, make_job
from tests.invoicing.money_rows import AT, add_bill, moved, paid_of, pay

pytestmark = pytest.mark.every_database


@pytest.fixture
def invoice(db: None) -> Document:
    return add_bill(make_job(), "100.00", on=timezone.localdate())


def money_page(job: Job) -> str:
    return reverse("job-money", args=[job.pk])


def form_for(job: Job, **typed: Any) -> tuple[str, dict[str, object]]:
    values = {"once": "k", "amount": "100.00", "on": f"{timezone.localdate()}", "method": "check"} | typed
    return reverse("payment-new", args=[job.pk]), values


def test_a_payment_is_entered_with_its_reference(signed_in: Client, invoice: Document) -> None:
    url, typed = form_for(invoice.job, amount="60", reference="1042", invoices=[f"{invoice.pk}"])
    answer = signed_in.post(url, typed, follow=True)
    assert "$60.00 from Marisol Okonjo is entered" in answer.content.decode()
    row = Payment.objects.get()
    assert (row.method_in_words(), row.meant_for.get().invoice, row.job) == (
        "Check 1042",
        invoice,
        invoice.job,
    )
    assert paid_of(invoice) == Decimal("60.00")


def test_the_same_form_sent_twice_is_one_payment(signed_in: Client, invoice: Document) -> None:
    url, typed = form_for(invoice.job, amount="60")
    for _ in range(2):
        assert signed_in.post(url, typed).status_code == 302
    assert Payment.objects.count() == 1


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        ({"amount": "sixty"}, "isn&#x27;t a price. Type dollars and cents"),
        ({"amount": "0"}, "Type an amount above zero"),
        ({"amount": "-5"}, "can&#x27;t be negative"),
        ({"amount": "100.01"}, "$100.01 is more than the $100.00 due on all that is owed"),
        ({"amount": ""}, "Fill this in"),
        ({"on": "soon"}, "Type a day such as 2026-11-24"),
        ({"on": "2999-01-01"}, "Tue 1 Jan 2999 is still to come"),
        ({"on": "1026-11-24"}, "is more than ten years ago: check the year"),
        ({"method": "barter"}, "Choose one of those offered"),
        ({"invoices": ["999999"]}, "Choose one of those offered"),
        ({"once": ""}, "it has lost its key"),
        ({"reference": "1" * 61}, "Keep it to 60 characters"),
    ],
)
def test_what_can_t_be_right_comes_back_with_a_sentence(
    signed_in: Client, invoice: Document, typed: dict[str, object], message: str
) -> None:
    url, values = form_for(invoice.job, **typed)
    answer = signed_in.post(url, values)
    assert answer.status_code == 422
    assert message in answer.content.decode()
    assert not Payment.objects.exists()


def test_more_than_a_ticked_invoice_is_due_names_what_would_be_over(
    signed_in: Client, invoice: Document
) -> None:
    add_bill(invoice.job, "500.00")
    url, values = form_for(invoice.job, amount="120", invoices=[f"{invoice.pk}"])
    said = signed_in.post(url, values).content.decode()
    assert "$100.00 due on that invoice" in said
    assert "$20.00 then waits for a later invoice" in said


def test_what_is_over_is_kept_as_credit_when_he_says_so(signed_in: Client, invoice: Document) -> None:
    url, values = form_for(invoice.job, amount="130", keep_over="on")
    page = signed_in.post(url, values, follow=True).content.decode()
    assert "Credit on account of Marisol Okonjo" in page
    assert "$30.00" in page
    assert reverse("refund-new", args=[invoice.job_id]) in page


def test_a_deposit_comes_in_before_any_invoice(signed_in: Client) -> None:
    job = make_job()
    url, values = form_for(job, amount="50")
    assert "Nothing is due" in signed_in.post(url, values).content.decode()
    assert signed_in.post(url, values | {"keep_over": "on"}).status_code == 302
    assert read_books(job.client).account_of(job.client_id).credit == Decimal("50.00")


def paid_in_full(page: str, invoice: Document) -> dict[str, str]:
    """What the button of the invoice sends, read from the page."""
    form = page.partition(reverse("invoice-paid", args=[invoice.pk]))[2].partition("</form>")[0]
    return {
        name: form.partition(f'name="{name}" value="')[2].partition('"')[0] for name in ("once", "amount")
    }


def test_paid_in_full_is_one_tap_and_a_double_tap_counts_once(signed_in: Client, invoice: Document) -> None:
    pay(invoice.job, "40.00", on=timezone.localdate())
    sent = paid_in_full(signed_in.get(money_page(invoice.job)).content.decode(), invoice)
    assert sent["amount"] == "60.00"
    url = reverse("invoice-paid", args=[invoice.pk])
    page = signed_in.post(url, sent, follow=True).content.decode()
    signed_in.post(url, sent)
    assert "is paid in full: $60.00, entered as check of today" in page
    assert paid_of(invoice) == Decimal("100.00")
    assert Payment.objects.count() == 2


def test_paid_in_full_takes_nothing_when_another_amount_is_open_by_now(
    signed_in: Client, invoice: Document
) -> None:
    sent = paid_in_full(signed_in.get(money_page(invoice.job)).content.decode(), invoice)
    pay(invoice.job, "40.00", on=timezone.localdate())
    page = signed_in.post(reverse("invoice-paid", args=[invoice.pk]), sent, follow=True).content.decode()
    assert "was changed since you opened the page" in page
    assert paid_of(invoice) == Decimal("40.00")


def test_a_check_that_bounced_is_taken_back_and_both_stand(signed_in: Client, invoice: Document) -> None:
    check = pay(invoice.job, "100.00", on=timezone.localdate())
    url = reverse("payment-void", args=[check.pk])
    typed = {"once": "k", "why": "bank", "on": f"{timezone.localdate()}"}
    page = signed_in.post(url, typed, follow=True).content.decode()
    assert "What it had paid is open again" in page
    assert "Payment voided" in page
    assert paid_of(invoice) == 0
    assert "has come back already" in signed_in.post(url, typed | {"once": "again"}).content.decode()


def test_a_payment_can_t_come_back_before_it_came(signed_in: Client, invoice: Document) -> None:
    check = pay(invoice.job, "100.00", on=timezone.localdate())
    before = timezone.localdate() - timedelta(days=1)
    answer = signed_in.post(
        reverse("payment-void", args=[check.pk]), {"once": "k", "why": "bank", "on": f"{before}"}
    )
    assert answer.status_code == 422
    assert "come back before that" in answer.content.decode()


def test_no_more_is_given_back_than_is_held(signed_in: Client, invoice: Document) -> None:
    pay(invoice.job, "130.00", on=timezone.localdate())
    url = reverse("refund-new", args=[invoice.job_id])
    typed = {"once": "k", "amount": "31", "on": f"{timezone.localdate()}", "method": "check"}
    answer = signed_in.post(url, typed)
    assert answer.status_code == 422
    assert "The credit on account is $30.00" in answer.content.decode()
    assert signed_in.post(url, typed | {"amount": "30"}).status_code == 302
    assert read_books(invoice.job.client).account_of(invoice.job.client_id).credit == 0


def test_a_refund_says_how_it_is_undone(signed_in: Client, invoice: Document) -> None:
    pay(invoice.job, "130.00", on=timezone.localdate())
    back = record_refund(invoice.job.client, moved("30.00", timezone.localdate(), invoice.job), AT)
    page = signed_in.get(back.get_absolute_url()).content.decode()
    assert "Take a payment of the same amount, and keep it as credit" in page
    url, typed = form_for(invoice.job, amount="30", keep_over="on")
    signed_in.post(url, typed)
    assert read_books(invoice.job.client).account_of(invoice.job.client_id).credit == Decimal("30.00")


def test_a_payment_says_what_it_paid(signed_in: Client, invoice: Document) -> None:
    check = pay(invoice.job, "130.00", on=timezone.localdate())
    page = signed_in.get(check.get_absolute_url()).content.decode()
    assert f"{invoice}" in page
    assert "Credit on account" in page
    assert "$30.00" in page


def test_a_missing_payment_or_an_estimate_is_not_found(signed_in: Client, invoice: Document) -> None:
    assert signed_in.get(reverse("payment", args=[999])).status_code == 404
    note = add_bill(invoice.job, "10.00", credits=invoice)
    assert signed_in.post(reverse("invoice-paid", args=[note.pk])).status_code == 404


def test_the_money_page_costs_as_many_queries_for_ten_invoices_as_for_one(signed_in: Client) -> None:
    few, many = make_job(), make_job()
    for job, number in ((few, 1), (many, 10)):
        for _ in range(number):
            paid = add_bill(job, on=date(2026, 1, 5))
            pay(job, "10.00", paid, on=date(2026, 1, 6))
    counts = []
    for job in (few, many):
        signed_in.get(money_page(job))  # the first look begins the job's draft
        with CaptureQueriesContext(connection) as queries:
            signed_in.get(money_page(job))
        counts.append(len(queries))
    assert counts[0] == counts[1]


def test_credit_is_put_on_the_invoice_that_he_chooses(signed_in: Client, invoice: Document) -> None:
    newer = add_bill(invoice.job, "200.00", on=timezone.localdate())
    pay(invoice.job, "260.00", newer, on=timezone.localdate())
    url = reverse("credit-apply", args=[invoice.job_id])
    assert url in signed_in.get(money_page(invoice.job)).content.decode()
    page = signed_in.get(url).content.decode()
    assert "Put credit of $60.00 on an invoice" in page
    assert f"{invoice}, {invoice.job.name}: $100.00" in page
    assert f"{newer}," not in page
    page = signed_in.post(url, {"once": "k", "invoice": f"{invoice.pk}"}, follow=True).content.decode()
    assert f"$60.00 of credit is put on {invoice}." in page
    assert (paid_of(invoice), paid_of(newer)) == (Decimal("60.00"), Decimal("200.00"))
    row = Payment.objects.get(kind=Payment.Kind.CREDIT_USED)
    assert invoice.get_absolute_url() in signed_in.get(row.get_absolute_url()).content.decode()


def test_credit_goes_to_an_invoice_that_is_open_and_to_no_other(signed_in: Client, invoice: Document) -> None:
    newer = add_bill(invoice.job, "200.00", on=timezone.localdate())
    pay(invoice.job, "260.00", newer, on=timezone.localdate())
    strangers = add_bill(make_job(client=make_client(name="Ines Varga")), on=timezone.localdate())
    url = reverse("credit-apply", args=[invoice.job_id])
    for wrong in (newer.pk, strangers.pk, ""):
        answer = signed_in.post(url, {"once": "k", "invoice": f"{wrong}"})
        assert answer.status_code == 422
        assert 'class="errorlist' in answer.content.decode()
    assert not Payment.objects.filter(kind=Payment.Kind.CREDIT_USED).exists()


def test_where_no_credit_is_held_there_is_none_to_put(signed_in: Client, invoice: Document) -> None:
    url = reverse("credit-apply", args=[invoice.job_id])
    assert url not in signed_in.get(money_page(invoice.job)).content.decode()
    assert "There is no credit" in signed_in.get(url, follow=True).content.decode()
