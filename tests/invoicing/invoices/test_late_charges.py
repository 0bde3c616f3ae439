"""A late charge: worked out by the day, billed only when he says so, and beside the contract sum."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.template.loader import render_to_string
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from estimating.documents.issue import CannotIssue
from estimating.models import Document
from estimating.verification.documents import faults
from invoicing.billing.status import billing_status
from invoicing.invoices.issue import issue_bill, issue_credit
from invoicing.invoices.issued import document_page
from invoicing.ledger.accounts import read_books
from invoicing.ledger.history import billed_lines
from invoicing.models import BillDraft, MoneyRules
from invoicing.receivables.journal import journal
from tests.invoicing.bills import PAY_BY, billed, plan_of, ready, ready_credit, signed_floor
from tests.invoicing.money_rows import AT, pay
from tests.pdf_text import text_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def invoice() -> Document:
    """$59.04, due on 1 December; its contract states 12 % a year."""
    state_late_charge("12")
    return billed(signed_floor(), "Begun", due_on=PAY_BY)


def state_late_charge(percent: str) -> None:
    """The firm's new estimates state this late charge from now on."""
    MoneyRules(pk=1, late_percent=Decimal(percent)).save()


def late_bill(invoice: Document, on: date) -> Document:
    draft, _ = BillDraft.objects.update_or_create(
        job=invoice.job, defaults={"kind": "late", "late_on": invoice}
    )
    return issue_bill(draft, ready(draft, on), AT)


def test_it_is_simple_interest_on_what_was_open_day_by_day(invoice: Document) -> None:
    """59.04 x 12 % x 30/365 + 29.04 x 12 % x 70/365."""
    pay(invoice.job, "30.00", on=PAY_BY + timedelta(days=30))
    bill = late_bill(invoice, PAY_BY + timedelta(days=100))
    assert bill.total.amount == Decimal("1.25")
    shown = bill.read_snapshot()
    assert [line["title"] for line in shown["lines"]] == [
        "Late charge on invoice INV-1001 to Thu 11 Mar 2027"
    ]


def test_it_takes_nothing_of_the_contract_and_carries_no_tax(invoice: Document) -> None:
    before = billing_status(plan_of(invoice.job), billed_lines(invoice.job))
    bill = late_bill(invoice, PAY_BY + timedelta(days=365))
    assert billing_status(plan_of(invoice.job), billed_lines(invoice.job)) == before
    shown = bill.read_snapshot()
    assert (shown["contract"]["this"], shown["contract"]["left"]) == ("0.00", "137.76")
    assert (shown["total"], shown["tax"]) == ("7.08", {})  # 59.04 x 12 %


def test_what_was_charged_isn_t_charged_again(invoice: Document) -> None:
    on = PAY_BY + timedelta(days=365)
    late_bill(invoice, on)
    with pytest.raises(CannotIssue, match="No late charge is due on invoice INV-1001 now"):
        late_bill(invoice, on)
    assert late_bill(invoice, on + timedelta(days=365)).total.amount == Decimal("7.09")  # 14.17 - 7.08


def test_a_late_charge_that_is_late_costs_nothing_more(invoice: Document) -> None:
    bill = late_bill(invoice, PAY_BY + timedelta(days=365))
    with pytest.raises(CannotIssue, match="No late charge is due"):
        late_bill(bill, PAY_BY + timedelta(days=800))


def test_it_can_be_given_back_and_everything_still_verifies(invoice: Document) -> None:
    on = PAY_BY + timedelta(days=365)
    bill = late_bill(invoice, on)
    lines = journal(read_books(invoice.job.client).all_entries())
    assert [(line.account, line.credit) for line in lines if line.entry == str(bill) and line.credit] == [
        ("Late charges", Decimal("7.08"))
    ]
    issue_credit(bill, ready_credit(bill, on=on), AT)
    assert read_books(invoice.job.client).account_of(invoice.job.client_id).open == Decimal("59.04")
    assert list(faults()) == []


def test_an_invoice_that_was_paid_late_still_leads_to_its_charge(invoice: Document) -> None:
    """59.04 x 12 % x 30/365."""
    pay(invoice.job, "59.04", on=PAY_BY + timedelta(days=30))
    shown = document_page(invoice, PAY_BY + timedelta(days=90))
    assert (shown["owed"].open, shown["late_charge"]) == (Decimal("0.00"), Decimal("0.58"))
    page = render_to_string(shown["beside"], {"document": invoice, "job": invoice.job, **shown})
    assert reverse("invoice-remind", args=[invoice.pk]) in page


def test_before_the_due_date_there_is_none(invoice: Document) -> None:
    with pytest.raises(CannotIssue, match="No late charge is due"):
        late_bill(invoice, PAY_BY)


def test_the_estimate_states_it_and_its_contract_keeps_it(invoice: Document) -> None:
    estimate = Document.objects.get(kind=Document.Kind.ESTIMATE)
    says = "Money that is late costs 12% a year, simple interest counted by the day from the due date."
    assert says in estimate.read_snapshot()["terms"]
    assert says in text_of(estimate.pdf)
    state_late_charge("0")
    assert late_bill(invoice, PAY_BY + timedelta(days=365)).total.amount == Decimal("7.08")


def test_a_rate_set_today_is_no_part_of_a_contract_signed_before() -> None:
    job = signed_floor()
    state_late_charge("12")
    invoice = billed(job, "Begun", due_on=PAY_BY)
    assert invoice.read_snapshot()["late"] == ""
    assert document_page(invoice, PAY_BY + timedelta(days=90))["late_charge"] == 0
    with pytest.raises(CannotIssue, match="No late charge is due"):
        late_bill(invoice, PAY_BY + timedelta(days=90))


def test_an_estimate_says_nothing_where_the_firm_charges_nothing() -> None:
    signed_floor()
    estimate = Document.objects.get(kind=Document.Kind.ESTIMATE)
    assert "late" not in " ".join(estimate.read_snapshot()["terms"])
    assert "late_percent" not in estimate.read_basis()


def test_he_begins_it_at_the_late_invoice_and_looks_before_he_issues(signed_in: Client) -> None:
    state_late_charge("12")
    invoice = billed(signed_floor(), "Begun", due_on=PAY_BY)
    days = (timezone.localdate() - PAY_BY).days
    page = signed_in.post(reverse("late-charge-start", args=[invoice.pk]), follow=True).content.decode()
    assert "Bill a late charge" in page
    assert ("No late charge is due on invoice INV-1001 now" in page) == (days <= 0)
    assert Document.objects.filter(kind=Document.Kind.INVOICE).count() == 1
    remind = signed_in.get(reverse("invoice-remind", args=[invoice.pk])).content.decode()
    assert ("Bill the late charge" in remind) == (days > 0)


def test_a_late_charge_of_no_invoice_is_refused_with_a_sentence(signed_in: Client, invoice: Document) -> None:
    start = reverse("bill-start", args=[invoice.job_id])
    page = signed_in.post(start, {"kind": "late"}, follow=True).content.decode()
    assert "Begin a late charge at the invoice that is late" in page
