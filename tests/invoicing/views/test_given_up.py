"""What the firm gives up of an invoice: the contract sum falls, and nobody is asked to bill it again.

The floor is signed at $196.80: 30 % are $59.04, 30 % again, and $78.72 are left for the last milestone.
"""

from datetime import date
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from estimating.changes.state_rules import reason_it_stands
from estimating.client.cancel import enter_cancellation
from estimating.client.signing import Refused, give
from estimating.models import Acceptance, ChangeOrder, Document, Job
from estimating.verification.documents import faults
from invoicing.billing_step import next_steps
from invoicing.ledger.accounts import read_books
from invoicing.models import BillDraft, PlannedPart
from invoicing.payments.expected import expected_money
from tests.estimating.client_visits import sent, visit
from tests.estimating.issuing import AT, DAY
from tests.estimating.signed_kitchen import (
    agreed,
    contract_to_date,
    issued_change,
    make_change,
    sign_on_paper,
    signed_change,
)
from tests.invoicing.bill_pages import credit, key_of
from tests.invoicing.bills import billed, job_plan_of, plan_of, signed_floor
from tests.invoicing.money_rows import pay
from tests.pdf_text import text_of

pytestmark = pytest.mark.django_db
NAMES = ("Begun", "First coat", "Done")


@pytest.fixture(autouse=True)
def on_the_day(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(timezone, "localdate", lambda *_: DAY)


def money(client: Client, job: Job) -> str:
    return client.get(reverse("job-money", args=[job.pk])).content.decode()


def test_what_was_canceled_is_taken_back_but_not_given_up_once_more(signed_in: Client) -> None:
    job = signed_floor()
    change = make_change(job, "Trim")
    agreed(change, "Trim", "1", "", "100.00")
    paper = signed_change(change)
    invoice = billed(job, f"{paper}, Trim")
    enter_cancellation(paper, "Marisol Okonjo", DAY, "By mail.", "pat", AT)
    address = reverse("credit-new", args=[invoice.pk])
    typed = {"note": "It was canceled.", "everything": "on"}
    refused = signed_in.post(address, {**typed, "kind": "given"})
    assert (refused.status_code, contract_to_date(job).total) == (409, Decimal("196.80"))
    assert "More of Change order 1, Trim is billed than the contract has" in refused.content.decode()
    question, answer = credit(signed_in, invoice, **typed, kind="mistake")
    assert "more than the contract has, and isn&#x27;t billed again" in question.content.decode()
    assert "can be billed again" not in question.content.decode() + answer.content.decode()
    assert contract_to_date(job).total == Decimal("196.80")


def expected_of(job: Job) -> list[str]:
    return [item.title for item in expected_money(read_books(job.client))]


def test_what_is_given_up_is_not_asked_for_again_and_the_paid_job_is_paid(signed_in: Client) -> None:
    job = signed_floor()
    bills = [billed(job, name) for name in NAMES]
    pay(job, "176.80")
    question, answer = credit(signed_in, bills[2], **{"amount-0": "20"})
    shown = question.content.decode()
    assert "<dt>Contract sum then</dt><dd>$176.80</dd>" in shown
    assert "<dt>Left to bill then</dt><dd>$0.00</dd>" in shown
    assert "Civil Code 1541" in shown
    assert "This is no advice on law." in shown
    assert "The contract sum has fallen" in answer.content.decode()
    note = Document.objects.get(kind="credit_note").read_snapshot()
    assert (note["total"], note["contract"]["sum"], note["contract"]["left"]) == ("20.00", "176.80", "0.00")
    assert plan_of(job).contract_sum == contract_to_date(job).total == Decimal("176.80")
    step = next_steps([Job.objects.get(pk=job.pk)], DAY)[job.pk]
    assert (step.reached, step.words) == (7, "all is billed and paid")
    assert expected_of(job) == []
    assert "Bill it" not in money(signed_in, job)
    assert set(job_plan_of(job).left.values()) == {Decimal(0)}
    assert list(faults()) == []


def test_what_was_billed_by_mistake_can_be_billed_again(signed_in: Client) -> None:
    job = signed_floor()
    invoice = billed(job, "Begun")
    _, answer = credit(signed_in, invoice, kind="mistake", everything="on")
    assert "can be billed again" in answer.content.decode()
    assert not ChangeOrder.objects.exists()
    assert "Bill it" in money(signed_in, job)
    assert plan_of(job).contract_sum == Decimal("196.80")


def test_the_change_stands_by_the_firm_s_word_and_says_so_everywhere(signed_in: Client) -> None:
    job = signed_floor(tax_policy="everything", tax_percent=10)
    invoice = billed(job, "Begun")
    credit(signed_in, invoice, **{"amount-0": "20"})
    change = Document.objects.get(kind="change_order")
    shown, acceptance = change.read_snapshot(), Acceptance.objects.get(document=change)
    assert (shown["total"], shown["contract"]["after"]) == ("-22.00", "194.48")
    assert shown["payments"]["rows"] == [{"name": "Begun", "before": "59.04", "after": "39.04"}]
    assert "You needn't sign it" in shown["first_line"]
    assert (acceptance.way, acceptance.total.amount) == ("given", Decimal("-22.00"))
    papers = signed_in.get(reverse("job-papers", args=[job.pk])).content.decode()
    assert "Given up on Invoice INV-1001, given Tue 24 Nov 2026" in papers
    assert "stands without the client&#x27;s signature, given by" in papers
    page = signed_in.get(change.get_absolute_url()).content.decode()
    assert "Given, without a signature" in page
    copy = signed_in.get(reverse("document-signed-pdf", args=[change.pk]))
    assert text_of(copy.content)
    browser, address = visit(sent(signed_in, change))
    client_page = browser.get(address).content.decode()
    assert "It stands without your signature" in client_page
    assert "It stands as it is" in client_page
    assert 'id="sign"' not in client_page
    assert list(faults()) == []


def test_a_second_tap_leads_to_the_same_credit_note(signed_in: Client) -> None:
    job = signed_floor()
    invoice = billed(job, "Begun")
    address = reverse("credit-new", args=[invoice.pk])
    typed = {"kind": "given", "note": "x", "amount-0": "20"}
    typed["key"] = key_of(signed_in.post(address, typed))
    first, second = signed_in.post(address, typed), signed_in.post(address, typed)
    assert first["Location"] == second["Location"]
    assert Document.objects.filter(kind__in=("credit_note", "change_order")).count() == 2


def test_of_a_concession_after_the_release_no_retainage_is_given_back(signed_in: Client) -> None:
    job = signed_floor(plan={"retainage_percent": Decimal(10)})
    bills = [billed(job, name) for name in NAMES]
    credit(signed_in, bills[0], **{"amount-0": "20"})
    assert Document.objects.get(kind="credit_note").total.amount == Decimal("20.00")
    assert next_steps([Job.objects.get(pk=job.pk)], DAY)[job.pk].reached == 6
    assert list(faults()) == []


def test_what_goes_back_to_deposit_and_retainage_is_said_before_issuing(signed_in: Client) -> None:
    job = signed_floor(plan={"retainage_percent": Decimal(10), "deposit": Decimal("29.52")})
    billed(job, kind=BillDraft.Kind.DEPOSIT)
    invoice = billed(job, "Begun")  # $59.04 less $5.90 held and the whole deposit: $23.62
    question, _ = credit(signed_in, invoice, kind="mistake", **{"amount-0": "29.52"})
    shown = question.content.decode()
    assert "<dt>Off what is held back</dt><dd>$2.95, no longer" in shown
    # Half of the work and what was held from it is half of the room that the deposit was taken from.
    assert "<dt>Back to the deposit</dt><dd>$14.76: not paid back now" in shown
    given = signed_in.post(
        reverse("credit-new", args=[invoice.pk]), {"kind": "given", "note": "x", "amount-0": "9.52"}
    ).content.decode()
    assert "Back to the deposit" not in given


def test_a_deposit_itself_is_not_given_up(signed_in: Client) -> None:
    job = signed_floor(plan={"deposit": Decimal("29.52")})
    deposit = billed(job, kind=BillDraft.Kind.DEPOSIT)
    page = signed_in.get(reverse("credit-new", args=[deposit.pk])).content.decode()
    assert "Given up" not in page


def test_where_both_must_sign_the_change_is_drafted_and_the_rest_follows_its_signature(
    signed_in: Client,
) -> None:
    job = signed_floor(state="PA")
    invoice = billed(job, "Begun")
    question, answer = credit(signed_in, invoice, **{"amount-0": "20"})
    assert "Both sign first" in question.content.decode()
    assert "The change is drafted" in answer.content.decode()
    assert not Document.objects.filter(kind__in=("credit_note", "change_order")).exists()
    change = ChangeOrder.objects.get()
    assert [f"{part.amount}" for part in PlannedPart.objects.all()] == ["-$20.00"]
    paper = issued_change(change)
    assert paper.read_snapshot()["stands"] == ""
    with pytest.raises(Refused, match="only once the client has signed"):
        give(paper, "Pat", DAY, "pat", AT)
    sign_on_paper(paper)
    assert job_plan_of(job).left[plan_of(job).milestones[0].key] == Decimal("-20.00")
    credit(signed_in, invoice, kind="mistake", **{"amount-0": "20"})
    assert job_plan_of(job).left[plan_of(job).milestones[0].key] == 0
    assert list(faults()) == []


def test_no_change_that_adds_anything_stands_without_a_signature() -> None:
    job = signed_floor()
    change = make_change(job, "Rot")
    agreed(change, "Rot", "1", "", "100.00")
    with pytest.raises(Refused, match="only once the client has signed"):
        give(issued_change(change), "Pat", DAY, "pat", AT)


@pytest.mark.parametrize(
    ("state", "says"),
    [("CA", "Civil Code 1541"), ("NY", "Obligations Law 15-303"), ("OH", "1541"), ("PA", ""), ("ME", "")],
)
def test_why_it_stands_is_said_with_where_it_is_written(state: str, says: str) -> None:
    reason = reason_it_stands("", state)
    assert says in reason
    assert bool(reason) == bool(says)
    assert not reason or reason.endswith("Check your local law.")
    assert date(2026, 11, 28).isoformat() in reason or not reason
