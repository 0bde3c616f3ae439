"""A change signed at the client's home is a sale of its own: what it says of the right to cancel it, and what
falls where the client does."""

from datetime import date, datetime, timedelta
from decimal import Decimal

import pytest
from django.core import mail
from django.db import transaction
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from catalog.models import Firm
from estimating.changes.draft import signed_job
from estimating.changes.issue import prepare_change
from estimating.client.cancel import enter_cancellation, reason_to_wait, right_to_cancel
from estimating.client.signed_copy import signed_snapshot
from estimating.client.signing import contract_stays, why_closed
from estimating.contract.cancellation_rule import ELSEWHERE, HOME, OURS, change_notice
from estimating.documents.issue import CannotIssue
from estimating.documents.pdf import make_pdf
from estimating.events.states import CANCELED
from estimating.models import Acceptance, ChangeOrder, Document, Job
from estimating.plain_text import day_in_words
from estimating.progress.read import documents_in_force
from estimating.verification.documents import faults
from tests.estimating.client_visits import NAME, SURE, sent, sign, visit
from tests.estimating.issuing import AT, DAY
from tests.estimating.signed_kitchen import (
    agreed,
    cabinets_chosen,
    contract,
    issued_change,
    issued_now,
    make_change,
    rotten_subfloor,
    settle,
    sign_on_paper,
    signed_change,
    signed_kitchen,
    trims_by_clients,
)
from tests.pdf_text import pages_of

FIRM = {"name": "Tolliver Room & Tile", "address": ["27 Quarry Road", "Fennimore Falls"]}


@pytest.fixture(scope="module")
def kitchen(kept_rows: None) -> int:
    return signed_kitchen().pk


@pytest.fixture
def job(kitchen: int, db: None) -> Job:
    return Job.objects.get(pk=kitchen)


def more_lights(job: Job, title: str = "More lights") -> ChangeOrder:
    """Two lights for $200.00."""
    change = make_change(job, title, reason="client")
    agreed(change, f"{title}, two", "2", "each", "100.00")
    return change


def cancel(document: Document, at: datetime = AT) -> None:
    enter_cancellation(document, NAME, DAY, "By hand", "pat", at)


def states_of(job: Job) -> list[str]:
    changes = Document.objects.filter(job=job, kind=Document.Kind.CHANGE_ORDER).order_by("number")
    return [change.state() for change in changes]


@pytest.mark.parametrize(
    ("place", "added", "before", "said"),
    [
        (HOME, "25.00", "0.00", True),
        (HOME, "24.99", "0.00", False),
        (HOME, "10.00", "15.00", True),  # "under single or multiple contracts"
        (HOME, "0.00", "25000.00", False),
        (ELSEWHERE, "30.00", "99.99", False),
        (ELSEWHERE, "30.01", "99.99", True),
        (HOME, "24.99", "-500.00", False),
        (OURS, "5000.00", "25000.00", False),
    ],
)
def test_a_change_can_be_canceled_where_it_and_what_was_signed_come_to_enough(
    place: str, added: str, before: str, said: bool
) -> None:
    assert bool(change_notice(place, FIRM, Decimal(added), Decimal(before))) is said


def test_a_change_that_adds_says_so_beside_the_signature_and_brings_the_notice_twice(job: Job) -> None:
    pages = pages_of(bytes(issued_change(rotten_subfloor(job)).pdf))
    signed = next(page for page in pages if "Acceptance" in page)
    assert "prior to midnight of the third business day" in signed
    notices = [page for page in pages if "HEREBY CANCEL" in page]
    assert len(notices) == 2
    for number, page in enumerate(notices, 1):
        assert f"Change order 1: {job.name}, copy {number} of 2" in page


def test_a_change_that_only_takes_out_sells_nothing(job: Job) -> None:
    document = issued_change(trims_by_clients(job))
    assert not any("cancel" in page.lower() for page in pages_of(bytes(document.pdf)))
    sign_on_paper(document)
    assert document.cancel_by() is None


def test_the_tape_says_what_waits_first_the_work_and_later_a_change_alone(job: Job) -> None:
    document = issued_change(more_lights(job))
    sign_on_paper(document, on=DAY + timedelta(days=20))
    documents = list(documents_in_force().filter(job=job))
    assert reason_to_wait(documents, DAY).startswith("wait with work and orders: the client can cancel until")
    last = document.cancel_by()
    assert last is not None
    said = f"wait with Change order 1: the client can cancel it until {day_in_words(last)}"
    assert reason_to_wait(documents, last) == said
    assert reason_to_wait(documents, last + timedelta(days=1)) == ""


def test_a_change_that_takes_out_more_than_it_adds_still_sells_what_it_adds(job: Job) -> None:
    change = trims_by_clients(job)
    agreed(change, "One dimmer", "1", "each", "60.00")
    document = issued_change(change)
    assert document.total.amount < 0
    assert document.read_snapshot()["cancellation"]


@pytest.mark.django_db
def test_a_change_signed_at_the_firms_own_place_says_nothing_of_it() -> None:
    job = signed_kitchen()
    Job.objects.filter(pk=job.pk).update(signing_place=OURS)
    job.refresh_from_db()
    assert not issued_change(more_lights(job)).read_snapshot()["cancellation"]


def test_without_an_address_of_the_firm_a_change_that_can_be_canceled_is_not_issued(job: Job) -> None:
    Firm.objects.update(address="")
    with pytest.raises(CannotIssue) as refused:
        prepare_change(more_lights(job), Firm.current(), DAY)
    assert "type it on the Firm page" in str(refused.value)


def test_the_signed_copy_of_a_change_has_both_dates_filled_in(job: Job) -> None:
    acceptance = sign_on_paper(issued_change(more_lights(job)))
    notices = [page for page in pages_of(make_pdf(signed_snapshot(acceptance))) if "HEREBY CANCEL" in page]
    assert len(notices) == 2
    for page in notices:
        assert "Tue 24 Nov 2026 (Date)" in page
        assert "NOT LATER THAN MIDNIGHT OF Sat 28 Nov 2026" in page


def test_the_client_cancels_one_change_on_his_page_and_the_rest_of_the_contract_stays(
    job: Job, signed_in: Client
) -> None:
    before = contract(job).contract.total
    change = more_lights(job)
    change.estimate.dated = timezone.localdate()
    document = issued_change(change, on=timezone.localdate(), at=timezone.now())
    browser, page = visit(sent(signed_in, document))
    sign(browser, page, "200.00")
    assert contract(job).contract.total == before + Decimal("200.00")
    last = document.cancel_by()
    assert last is not None
    assert f"Wait with {document}" in signed_in.get(reverse("job-papers", args=[job.pk])).content.decode()
    shown = browser.get(page).content.decode()
    assert f"You may cancel until midnight of {last:%a} {last.day} {last:%b} {last.year}" in shown
    assert "Cancel this change" in shown
    mail.outbox.clear()
    assert browser.post(f"{page}cancel/", SURE).status_code == 302
    assert contract(job).contract.total == before
    assert {message.subject for message in mail.outbox} == {f"Canceled: {document}, {job.name}"}
    assert all("The rest of the contract stays" in message.body for message in mail.outbox)
    assert "Canceled" in browser.get(page).content.decode()
    assert "Wait with" not in signed_in.get(reverse("job-papers", args=[job.pk])).content.decode()
    assert list(faults()) == []


def test_the_firm_enters_a_cancellation_of_a_change(job: Job, signed_in: Client) -> None:
    before = contract(job).contract.total
    document = signed_change(more_lights(job))
    assert "Enter a cancellation" in signed_in.get(document.get_absolute_url()).content.decode()
    address = reverse("document-cancel", args=[document.pk])
    assert "The rest of the contract stays" in signed_in.get(address).content.decode()
    typed = {"name": NAME, "on": "2026-11-25", "how": "By mail"}
    assert signed_in.post(address, typed).status_code == 302
    assert contract(job).contract.total == before
    assert document.canceled_on() == date(2026, 11, 25)


def test_a_later_change_that_takes_out_what_was_canceled_falls_with_it(job: Job) -> None:
    """Else its credit would be given for work that nobody pays."""
    before = contract(job).contract.total
    lights, cabinets = signed_change(more_lights(job)), signed_change(cabinets_chosen(job))
    back = make_change(job, "No lights after all", reason="client")
    settle(back, "taken_out", "More lights, two")
    signed_change(back)
    cancel(lights)
    assert states_of(job) == ["canceled", "accepted", "canceled"]
    assert contract(job).contract.total == before + cabinets.total.amount


def test_a_draft_loses_the_lines_that_settle_something_of_what_was_canceled(job: Job) -> None:
    lights = signed_change(more_lights(job))
    draft = cabinets_chosen(job)
    settle(draft, "taken_out", "More lights, two")
    cancel(lights)
    assert [line.kind for line in draft.lines.all()] == ["choice"]


def test_waiting_changes_whose_sums_count_the_canceled_one_are_withdrawn(job: Job) -> None:
    first = issued_change(more_lights(job, "Asked before"), at=AT)
    lights = issued_change(more_lights(job), at=AT + timedelta(hours=1))
    sign_on_paper(lights, at=AT + timedelta(hours=2))
    later = issued_change(more_lights(job, "Asked after"), at=AT + timedelta(hours=3))
    cancel(lights, AT + timedelta(hours=4))
    assert states_of(job) == ["issued", "canceled", "withdrawn"]
    assert first.state() == "issued"
    assert "A change that its sums count was canceled." in later.events.get(kind="withdrawn").data


def test_a_withdrawn_change_says_that_the_contract_stays_only_while_it_does(job: Job) -> None:
    waiting = issued_change(more_lights(job))
    estimate = contract(job).estimate
    with transaction.atomic():
        waiting.record("withdrawn", AT)
    assert contract_stays(waiting)
    assert "Your contract" not in why_closed(waiting, DAY)  # the firm reads this too
    cancel(estimate)
    assert not contract_stays(waiting)


def test_where_a_cancellation_took_the_sum_below_zero_a_change_that_adds_can_still_be_issued(
    job: Job,
) -> None:
    """A credit that was fair with the canceled change stays signed; more credit is refused."""
    addition = make_change(job, "Second kitchen", reason="client")
    agreed(addition, "Second kitchen", "1", "", "9000.00")
    added = signed_change(addition)
    credit = make_change(job, "Goodwill", reason="ours")
    agreed(credit, "Goodwill", "1", "", "-30000.00")
    signed_change(credit)
    cancel(added)
    assert contract(job).contract.total == Decimal("-4788.84")  # 25211.16 - 30000.00
    more = make_change(job, "More credit", reason="ours")
    agreed(more, "More credit", "1", "", "-0.01")
    with pytest.raises(CannotIssue) as refused:
        prepare_change(more, Firm.current(), DAY)
    assert "to -$4,788.85, below zero" in str(refused.value)
    signed_change(more_lights(job))
    assert contract(job).contract.total == Decimal("-4588.84")


def test_what_fell_with_the_estimate_asks_nobody_to_wait_and_cannot_be_canceled_again(
    job: Job, signed_in: Client
) -> None:
    change = more_lights(job)
    change.estimate.dated = timezone.localdate()
    document = issued_change(change, on=timezone.localdate(), at=timezone.now())
    browser, page = visit(sent(signed_in, document))
    sign(browser, page, "200.00")
    cancel(contract(job).estimate)
    assert right_to_cancel(document, timezone.localdate())["still_to"] is None
    assert "You may cancel until" not in browser.get(page).content.decode()
    sign_on_paper(issued_now(job.estimates.get(change=None)))
    shown = signed_in.get(reverse("job-papers", args=[job.pk])).content.decode()
    assert "Contract sum to date" in shown
    assert "Wait with" not in shown


def test_a_canceled_change_can_be_issued_anew(job: Job) -> None:
    change = more_lights(job)
    cancel(signed_change(change))
    assert not change.is_signed()
    again = signed_change(change)
    assert again.supersedes is not None
    assert again.supersedes.state() == "superseded"
    assert contract(job).contract.changes == Decimal("200.00")


def test_canceling_the_estimate_afterward_leaves_a_canceled_change_as_it_was(job: Job) -> None:
    lights = signed_change(more_lights(job))
    cancel(lights)
    cancel(contract(job).estimate)
    assert lights.events.filter(kind=CANCELED).count() == 1
    assert signed_job(job) is None
    assert not Acceptance.objects.binding(job).exists()
    assert list(faults()) == []
