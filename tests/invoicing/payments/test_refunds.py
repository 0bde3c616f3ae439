"""What goes back to a client who canceled, and by when: on Today, on the job and on the firm's Money page."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from estimating.client.cancel import enter_cancellation
from estimating.models import Document, Estimate, Job
from invoicing.payments.record import record_refund
from invoicing.payments.refunds import refunds_due
from tests.estimating.client_visits import NAME
from tests.estimating.issuing import AT, DAY, another_floor, issue_now
from tests.estimating.signed_kitchen import agreed, make_change, sign_on_paper, signed_change
from tests.invoicing.bills import billed, credited, signed_floor
from tests.invoicing.money_rows import moved, pay

pytestmark = pytest.mark.django_db
CANCELED_ON = DAY + timedelta(days=1)  # Wed 25 Nov 2026: Thanksgiving is no business day
WORDS = "by Tue 8 Dec 2026"


def canceled_floor(paid: str = "59.04") -> tuple[Job, Document]:
    """A floor whose first milestone was billed and paid before its client canceled."""
    job = signed_floor()
    invoice = billed(job, "Begun")
    if paid:
        pay(job, paid)
    estimate = Document.objects.get(kind=Document.Kind.ESTIMATE, job=job)
    enter_cancellation(estimate, NAME, CANCELED_ON, "By mail.", "pat", AT)
    return job, invoice


def test_it_stands_on_today_and_on_both_money_pages(signed_in: Client) -> None:
    job, _ = canceled_floor()
    for address in ("/", reverse("job-money", args=[job.pk]), reverse("firm-money")):
        page = " ".join(signed_in.get(address).content.decode().split())
        assert f"ive back $59.04 {WORDS}" in page, address


def test_what_was_credited_still_goes_back_until_it_is_given_back() -> None:
    job, invoice = canceled_floor()
    credited(invoice)
    (due,) = refunds_due()
    assert (due.amount, due.by) == (Decimal("59.04"), date(2026, 12, 8))
    record_refund(job.client, moved("59.04", job=job), AT)
    assert refunds_due() == []


def test_without_money_there_is_nothing_to_give_back() -> None:
    canceled_floor(paid="")
    assert refunds_due() == []


def test_a_new_estimate_keeps_the_day_until_it_is_signed(signed_in: Client) -> None:
    job, _ = canceled_floor()
    estimate = Estimate.objects.get(job=job, change=None)
    estimate.items.update(extra_hours=1)
    newer = issue_now(estimate)
    assert WORDS in signed_in.get("/").content.decode()
    sign_on_paper(newer)
    assert refunds_due() == []
    assert WORDS not in signed_in.get("/").content.decode()


def canceled_change(signed_in: Client) -> tuple[Job, Document, Document]:
    """A change at $100.00 beside the floor, billed and paid, which its client cancels alone."""
    job = signed_floor()
    change = make_change(job, "Trim")
    agreed(change, "Trim", "1", "", "100.00")
    paper = signed_change(change)
    billed(job, "Begun")
    invoice = billed(job, f"{paper}, Trim")
    pay(job, "159.04")
    enter_cancellation(paper, NAME, CANCELED_ON, "By mail.", "pat", AT)
    return job, paper, invoice


def test_what_was_paid_for_a_change_that_is_canceled_alone_goes_back(signed_in: Client) -> None:
    job, paper, invoice = canceled_change(signed_in)
    pages = ("/", reverse("job-money", args=[job.pk]), reverse("firm-money"))
    for address in (*pages, reverse("job-papers", args=[job.pk])):
        page = " ".join(signed_in.get(address).content.decode().split())
        assert f"ive back $100.00 {WORDS}" in page, address
        assert str(paper) in page
    credited(invoice)
    assert [(due.amount, due.is_of_change) for due in refunds_due()] == [(Decimal("100.00"), True)]
    record_refund(job.client, moved("100.00", job=job), AT)
    assert refunds_due() == []
    assert "Give back" not in signed_in.get(reverse("job-papers", args=[job.pk])).content.decode()


def test_what_is_open_of_a_canceled_change_need_not_go_back() -> None:
    job = signed_floor()
    change = make_change(job, "Trim")
    agreed(change, "Trim", "1", "", "100.00")
    paper = signed_change(change)
    billed(job, f"{paper}, Trim")
    pay(job, "30.00")
    enter_cancellation(paper, NAME, CANCELED_ON, "By mail.", "pat", AT)
    assert [due.amount for due in refunds_due()] == [Decimal("30.00")]


def test_other_jobs_of_the_client_are_left_out() -> None:
    job, _ = canceled_floor()
    other = another_floor(Estimate.objects.get(job=job, change=None)).job
    assert refunds_due([other]) == []
    assert [due.job for due in refunds_due([job, other])] == [job]
