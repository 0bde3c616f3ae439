"""Reminders: in their order, in his words, sent only when he says so, and kept."""

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from django.core import mail
from django.db import DatabaseError, transaction
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from estimating.documents.history import history
from estimating.models import Document
from invoicing.invoices.issue import issue_bill
from invoicing.ledger.accounts import read_books
from invoicing.models import MoneyRules, NoticeRule, Reminder
from invoicing.receivables.late_charges import LateChargeTerms, late_charge
from invoicing.reminders.reminders import AlreadySent, letter, record_handed_over
from tests.factories import make_client, make_firm, make_job
from tests.invoicing.bills import draft, ready, signed_floor
from tests.invoicing.money_rows import AT, add_bill, pay
from tests.pdf_text import text_of

pytestmark = pytest.mark.django_db


def ago(days: int) -> date:
    return timezone.localdate() - timedelta(days=days)


@pytest.fixture
def late_invoice() -> Document:
    """$100.00, of which $30.00 is paid, 12 days past its due date."""
    make_firm(owner="Pat Tolliver", phone="555-0142", email="pat@example.com")
    invoice = add_bill(make_job(client=make_client(email="okonjo@example.com")), on=ago(26), due=ago(12))
    pay(invoice.job, "30.00", on=ago(20))
    return invoice


def page_of(invoice: Document) -> str:
    return reverse("invoice-remind", args=[invoice.pk])


def send(client: Client, invoice: Document, step: str = "Reminder", **typed: str) -> str:
    values = {"step": step, "email": "okonjo@example.com", "text": "Dear Marisol,\n\nplease."} | typed
    return client.post(page_of(invoice), values, follow=True).content.decode()


def test_the_letter_names_what_is_open_and_since_when(signed_in: Client, late_invoice: Document) -> None:
    page = signed_in.get(page_of(late_invoice)).content.decode()
    assert "Reminder for invoice 1" in page
    assert f"was due on {ago(12):%A, %B} {ago(12).day}, {ago(12).year}, and $70.00 of it" in page
    assert not mail.outbox


def test_it_goes_out_with_the_invoice_when_he_sends_it_and_is_kept_word_for_word(
    signed_in: Client, late_invoice: Document
) -> None:
    said = send(signed_in, late_invoice)
    assert "The reminder for Invoice 1 goes to okonjo@example.com" in said
    (letter,) = mail.outbox
    assert (letter.to, letter.reply_to) == (["okonjo@example.com"], ["pat@example.com"])
    assert letter.body == "Dear Marisol,\n\nplease."
    assert [name for name, *_ in letter.attachments] == ["invoice-1-okonjo-kitchen.pdf"]
    kept = Reminder.objects.get()
    assert (kept.text, kept.open, kept.step) == (letter.body, Decimal("70.00"), "Reminder")
    words = [entry.words for entry in history([late_invoice], timezone.localdate())]
    assert "Invoice 1 reminder sent to okonjo@example.com" in words


def test_the_same_step_goes_out_once(signed_in: Client, late_invoice: Document) -> None:
    send(signed_in, late_invoice)
    answer = signed_in.post(
        page_of(late_invoice), {"step": "Reminder", "email": "okonjo@example.com", "text": "Again."}
    )
    assert answer.status_code == 422
    assert "Read what is next below" in answer.content.decode()
    assert len(mail.outbox) == 1
    with pytest.raises(AlreadySent):
        record_handed_over(late_invoice, "Reminder", "Again.", Decimal("70.00"), AT)


@pytest.mark.parametrize(
    ("address", "where"),
    [
        ("418 Larkspur Lane\r\nFennimore Falls", " at 418 Larkspur Lane, Fennimore Falls. It was"),
        ("", ". It was"),
    ],
)
def test_the_formal_demand_says_in_one_sentence_where_the_work_was(
    late_invoice: Document, address: str, where: str
) -> None:
    late_invoice.job.address = address
    owed = read_books(late_invoice.job.client).owed_on(late_invoice)
    message = letter(late_invoice, owed, "Formal demand", make_firm(), timezone.localdate())
    assert f"for {late_invoice.job.name}{where} due on" in message


def test_the_formal_demand_comes_last_with_a_caution(signed_in: Client, late_invoice: Document) -> None:
    for step in ("Reminder", "Second reminder"):
        send(signed_in, late_invoice, step)
    page = signed_in.get(page_of(late_invoice)).content.decode()
    assert "Formal demand for invoice 1" in page
    assert "Check your local law" in page
    assert "You can send it now all the same" in page
    send(signed_in, late_invoice, "Formal demand")
    assert "no reminder is left" in signed_in.get(page_of(late_invoice)).content.decode()


def test_a_letter_handed_over_is_noted_without_mail(signed_in: Client, late_invoice: Document) -> None:
    assert "is noted as handed over" in send(signed_in, late_invoice, email="", **{"by-hand": "yes"})
    assert not mail.outbox
    assert Reminder.objects.get().to == "the client, by hand"


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        ({"email": ""}, "Type the address to send it to"),
        ({"email": "okonjo"}, "Type an address such as name@example.com"),
        ({"text": ""}, "Write what the letter says"),
        ({"step": "Formal demand"}, "Read what is next below"),
    ],
)
def test_nothing_goes_out_of_a_letter_that_isn_t_right(
    signed_in: Client, late_invoice: Document, typed: dict[str, str], message: str
) -> None:
    values = {"step": "Reminder", "email": "okonjo@example.com", "text": "Please."} | typed
    answer = signed_in.post(page_of(late_invoice), values)
    assert answer.status_code == 422
    assert message in answer.content.decode()
    assert not mail.outbox
    assert not Reminder.objects.exists()


def test_a_paid_invoice_needs_no_reminder(signed_in: Client, late_invoice: Document) -> None:
    pay(late_invoice.job, "70.00", late_invoice, on=ago(0))
    assert "Nothing is open on it" in signed_in.get(page_of(late_invoice)).content.decode()
    assert signed_in.post(page_of(late_invoice), {"step": "Reminder"}).status_code == 409


def test_the_job_says_which_letter_is_next(signed_in: Client, late_invoice: Document) -> None:
    job = reverse("job-money", args=[late_invoice.job_id])
    assert "Reminder is due now" in signed_in.get(job).content.decode()
    send(signed_in, late_invoice)
    assert "second reminder from" in signed_in.get(job).content.decode()


def test_the_late_charge_is_worked_out_where_the_contract_states_one(
    signed_in: Client, late_invoice: Document
) -> None:
    MoneyRules(pk=1, late_percent=Decimal(10)).save()
    assert "Late charge" not in signed_in.get(page_of(late_invoice)).content.decode()
    begun = draft(signed_floor(), "Begun", due_on=ago(12))
    invoice = issue_bill(begun, ready(begun, on=ago(26)), AT)
    MoneyRules(pk=1, late_percent=Decimal(0)).save()
    charge = late_charge(Decimal("59.04"), LateChargeTerms(Fraction(1, 10)), ago(12), ago(0))
    assert charge == Decimal("0.19")  # 59.04 x 10 % x 12 / 365
    assert "$0.19, at 10 % a year" in signed_in.get(page_of(invoice)).content.decode()


def test_the_firm_sets_the_spacing_and_each_letter_comes_after_the_one_before(signed_in: Client) -> None:
    typed = {"reminder_days": "5", "second_days": "5", "demand_days": "40", "late_percent": "0"}
    typed["returned_fee"] = "0"
    answer = signed_in.post(reverse("money-rules"), typed)
    assert answer.status_code == 422
    assert "type more than 5" in answer.content.decode()
    signed_in.post(reverse("money-rules"), typed | {"second_days": "12"})
    assert [step.days for step in MoneyRules.current().steps()] == [5, 12, 40]


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        ({"citation": ""}, "Name the law that says so"),
        ({"confirmed": ""}, "Look it up first, then tick this"),
        ({"days": "ninety"}, "isn’t a whole number"),
        ({"days": "0"}, "out of range"),
        ({"counted_from": ""}, "Choose one"),
    ],
)
def test_a_date_of_the_state_needs_its_law_and_his_word(
    signed_in: Client, typed: dict[str, str], message: str
) -> None:
    values = {
        "name": "Record the lien",
        "days": "120",
        "counted_from": "last",
        "citation": "invented for this test",
        "confirmed": "on",
    } | typed
    answer = signed_in.post(reverse("notice-rule-new"), values)
    assert answer.status_code == 422
    assert message.replace("’", "&#x27;") in answer.content.decode()
    assert not NoticeRule.objects.exists()


def test_a_job_shows_the_last_day_counted_from_its_work(signed_in: Client) -> None:
    job = make_job()
    NoticeRule.objects.create(
        name="Record the lien", days=90, counted_from="last", citation="as entered", confirmed_on=ago(0)
    )
    page = reverse("job-money", args=[job.pk])
    assert "day not known" in signed_in.get(page).content.decode()
    signed_in.post(reverse("work-days", args=[job.pk]), {"first": "2026-03-02", "last": "2026-03-31"})
    shown = signed_in.get(page).content.decode()
    assert "by Mon 29 Jun 2026" in shown  # 31 March + 90 days
    assert "check your local law" in shown


def test_days_of_work_lie_in_the_past_and_in_order(signed_in: Client) -> None:
    url = reverse("work-days", args=[make_job().pk])
    answer = signed_in.post(url, {"first": "2026-03-31", "last": "2026-03-02"})
    assert answer.status_code == 422
    assert "can&#x27;t be before the first" in answer.content.decode()
    assert "still to come" in signed_in.post(url, {"last": "2999-01-01"}).content.decode()


def test_what_went_out_can_t_be_changed(signed_in: Client, late_invoice: Document) -> None:
    send(signed_in, late_invoice)
    with pytest.raises(DatabaseError, match="stays as it is"), transaction.atomic():
        Reminder.objects.update(text="Pay or else.")


def test_a_letter_is_a_paper_too_as_it_is_typed_and_as_it_went_out(
    signed_in: Client, late_invoice: Document
) -> None:
    typed = {"step": "Reminder", "text": "Dear Marisol,\n\nplease pay\nthis week."}
    draft_pdf = signed_in.post(reverse("letter-pdf", args=[late_invoice.pk]), typed)
    assert draft_pdf["Content-Type"] == "application/pdf"
    assert "$70.00" in (said := text_of(draft_pdf.content))
    assert said.index("Invoice 1") < said.index("Dear Marisol, please pay this week.")
    assert not Reminder.objects.exists()
    send(signed_in, late_invoice)
    kept = Reminder.objects.get()
    assert "Dear Marisol, please." in text_of(signed_in.get(reverse("reminder-pdf", args=[kept.pk])).content)
    too_long = signed_in.post(
        reverse("letter-pdf", args=[late_invoice.pk]), {"step": "Reminder", "text": "Pay. " * 1000}
    )
    assert too_long.status_code == 422
    assert "4,000" in too_long.content.decode().replace("4000", "4,000")
    unknown = signed_in.post(reverse("letter-pdf", args=[late_invoice.pk]), {"step": "Threat"})
    assert unknown["Location"] == page_of(late_invoice)
