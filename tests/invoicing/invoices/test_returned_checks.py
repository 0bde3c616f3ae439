"""The fee for a check that the bank returned: a term of the contract, billed once, beside its sum."""

from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from estimating.models import Document, Job
from invoicing.billing.status import billing_status
from invoicing.invoices.issue import issue_bill
from invoicing.ledger.accounts import read_books
from invoicing.ledger.history import billed_lines
from invoicing.models import BillDraft, MoneyRules, Payment
from invoicing.receivables.journal import journal
from tests.invoicing.bills import billed, plan_of, ready, signed_floor
from tests.invoicing.money_rows import AT, TODAY, pay

pytestmark = pytest.mark.django_db


def job_with_fee(fee: str) -> Job:
    """A signed floor whose first bill is paid by check; new estimates state this fee."""
    MoneyRules(pk=1, returned_fee=Decimal(fee)).save()
    job = signed_floor()
    billed(job, "Begun")
    pay(job, "30.00", on=TODAY)
    return job


def returned(signed_in: Client) -> str:
    """What the owner sees once he entered that the bank returned the check."""
    payment = Payment.objects.get()
    typed = {"once": "back", "on": TODAY.isoformat(), "why": "bank", "note": "", "date_is_right": "on"}
    page = signed_in.post(reverse("payment-void", args=[payment.pk]), typed, follow=True)
    assert Payment.objects.filter(of=payment).exists(), page.content.decode()
    return page.content.decode()


def test_the_estimate_prints_the_fee_and_its_basis_keeps_it() -> None:
    job_with_fee("25")
    estimate = Document.objects.get(kind=Document.Kind.ESTIMATE)
    assert (
        "A check that your bank returns unpaid costs $25.00, once for each such check."
        in (estimate.read_snapshot()["terms"])
    )
    assert estimate.read_basis()["returned_fee"] == "25.00"


def test_a_check_that_came_back_carries_the_fee_once_beside_the_contract_sum(signed_in: Client) -> None:
    job = job_with_fee("25")
    before = billing_status(plan_of(job), billed_lines(job))
    page = returned(signed_in)
    assert "a fee of $25.00" in page
    assert "check your local law" in page
    back = Payment.objects.get(kind="return")
    start = reverse("returned-fee-start", args=[back.pk])
    assert "Fee for check" in signed_in.post(start, follow=True).content.decode()
    draft = BillDraft.objects.get()
    bill = issue_bill(draft, ready(draft, TODAY), AT)
    assert (bill.total.amount, bill.read_snapshot()["tax"]) == (Decimal("25.00"), {})
    assert billing_status(plan_of(job), billed_lines(job)) == before
    assert ("Returned check fees", Decimal("25.00")) in [
        (line.account, line.credit) for line in journal(read_books(job.client).entries[job.client_id])
    ]
    assert "a fee of" not in signed_in.get(back.get_absolute_url()).content.decode()
    again = signed_in.post(start, follow=True).content.decode()
    assert "The fee for this check is billed already." in again


def test_a_contract_that_states_none_carries_none(signed_in: Client) -> None:
    job_with_fee("0")
    MoneyRules.objects.update(returned_fee=Decimal("25"))
    assert "a fee of" not in returned(signed_in)
    back = Payment.objects.get(kind="return")
    page = signed_in.post(reverse("returned-fee-start", args=[back.pk]), follow=True).content.decode()
    assert "The signed contract states no fee" in page
