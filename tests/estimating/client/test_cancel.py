"""A client cancels what he signed at home: on his page, or by the notice that he mails."""

from datetime import date
from decimal import Decimal

import pytest
from django.core import mail
from django.core.management import call_command
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from estimating.client.cancel import enter_cancellation, right_to_cancel
from estimating.client.signed_copy import signed_snapshot
from estimating.client.signing import Refused
from estimating.documents.estimate import prepare_estimate, reasons_against_issuing
from estimating.documents.pdf import make_pdf
from estimating.estimates.draft import read_draft
from estimating.models import Document, Job
from estimating.verification.documents import faults
from tests.estimating.client_visits import NAME, SURE, floor_with_options, sent, sign, visit
from tests.estimating.issuing import AT, DAY, issue_now, painted_floor
from tests.estimating.signed_kitchen import (
    agreed,
    cabinets_chosen,
    contract,
    contract_to_date,
    issued_change,
    issued_now,
    make_change,
    sign_on_paper,
    signed_change,
    signed_kitchen,
)
from tests.factories import make_firm
from tests.pdf_text import pages_of

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]

LAST = date(2026, 11, 28)  # signed on Tuesday 24 November; Thanksgiving lies between


@pytest.fixture
def signed(signed_in: Client) -> tuple[Client, str, Document]:
    """The floor, signed today on the client's page: his browser, its address, the paper."""
    document = issue_now(floor_with_options())
    browser, page = visit(sent(signed_in, document))
    sign(browser, page, "196.80")
    return browser, page, Document.objects.get(pk=document.pk)


def sum_of(job: Job) -> Decimal:
    return contract_to_date(job).total


def test_what_is_signed_at_home_says_beside_the_signature_that_it_can_be_canceled() -> None:
    pages = pages_of(bytes(issue_now(painted_floor()).pdf))
    said = next(page for page in pages if "Acceptance" in page)
    assert "You, the buyer, may cancel this transaction at any time prior to midnight" in said


def test_the_notice_comes_twice_each_on_a_page_of_its_own() -> None:
    notices = [page for page in pages_of(bytes(issue_now(painted_floor()).pdf)) if "HEREBY CANCEL" in page]
    assert len(notices) == 2
    for number, page in enumerate(notices, 1):
        assert page.startswith("NOTICE OF CANCELLATION")
        assert f"copy {number} of 2" in page
        assert "Tolliver Room & Tile, at 27 Quarry Road, Fennimore Falls" in page


def test_the_signed_copy_has_both_dates_filled_in() -> None:
    document = issue_now(painted_floor())
    acceptance = sign_on_paper(document)
    notices = [page for page in pages_of(make_pdf(signed_snapshot(acceptance))) if "HEREBY CANCEL" in page]
    assert len(notices) == 2
    for page in notices:
        assert "Tue 24 Nov 2026 (Date)" in page
        assert "NOT LATER THAN MIDNIGHT OF Sat 28 Nov 2026" in page


def test_what_is_signed_at_the_firms_own_place_says_nothing_of_it() -> None:
    document = issue_now(painted_floor(signing_place="ours"))
    assert not any("cancel" in page.lower() for page in pages_of(bytes(document.pdf)))
    sign_on_paper(document)
    assert right_to_cancel(Document.objects.get(), DAY)["still_to"] is None


def test_without_an_address_of_the_firm_there_is_no_notice_and_so_no_estimate() -> None:
    estimate, firm = painted_floor(), make_firm(address="")
    unissued = prepare_estimate(estimate, firm, read_draft(estimate, firm))
    (reason,) = reasons_against_issuing(unissued, DAY)
    assert "type it on the Firm page" in reason


@pytest.mark.parametrize(("today", "still"), [(LAST, LAST), (date(2026, 11, 29), None)])
def test_the_right_lasts_to_the_end_of_the_last_day(today: date, still: date | None) -> None:
    document = issue_now(painted_floor())
    sign_on_paper(document)
    assert right_to_cancel(Document.objects.get(), today)["still_to"] == still


def test_the_record_of_the_signature_names_the_last_day() -> None:
    acceptance = sign_on_paper(issue_now(painted_floor()))
    assert ("Can be canceled until", "midnight of Sat 28 Nov 2026") in signed_snapshot(acceptance)["signing"][
        "rows"
    ]


def test_while_it_can_be_canceled_the_job_says_to_wait(
    signed_in: Client, signed: tuple[Client, str, Document]
) -> None:
    _, _, document = signed
    day = timezone.localdate()
    last = right_to_cancel(document, day)["still_to"]
    for name in ("job-papers", "job-rooms"):
        page = signed_in.get(reverse(name, args=[document.job_id])).content.decode()
        assert f"{last:%a} {last.day} {last:%b} {last.year}" in page
    assert "Wait with work and orders" in signed_in.get(reverse("today")).content.decode()


def test_the_client_cancels_with_one_form_and_nothing_counts_any_more(
    signed_in: Client, signed: tuple[Client, str, Document]
) -> None:
    browser, page, document = signed
    assert sum_of(document.job) == Decimal("196.80")
    mail.outbox.clear()
    answer = browser.post(f"{page}cancel/", SURE)
    assert answer.status_code == 302
    assert sum_of(document.job) == Decimal("0.00")
    assert "Canceled" in browser.get(page).content.decode()
    assert (
        "nothing counts as signed"
        in signed_in.get(reverse("job-papers", args=[document.job_id])).content.decode()
    )
    assert {message.subject for message in mail.outbox} == {"Canceled: Estimate 1001, Kitchen"}
    assert "The client canceled: issue it anew" in signed_in.get(reverse("today")).content.decode()


def test_canceling_twice_is_one_cancellation(signed: tuple[Client, str, Document]) -> None:
    browser, page, document = signed
    mail.outbox.clear()
    for name in (NAME, "Somebody Else"):
        assert browser.post(f"{page}cancel/", {**SURE, "name": name}).status_code == 302
    events = document.events.filter(kind="canceled")
    assert [event.read_data()["name"] for event in events] == [NAME]
    assert len(mail.outbox) == len({message.to[0] for message in mail.outbox})


@pytest.mark.parametrize("left_out", ["name", "sure"])
def test_neither_name_nor_confirmation_can_be_left_out(
    signed: tuple[Client, str, Document], left_out: str
) -> None:
    browser, page, document = signed
    answer = browser.post(f"{page}cancel/", {key: value for key, value in SURE.items() if key != left_out})
    assert answer.status_code == 422
    assert sum_of(document.job) == Decimal("196.80")


def test_what_is_canceled_cannot_be_signed_again(signed: tuple[Client, str, Document]) -> None:
    browser, page, document = signed
    browser.post(f"{page}cancel/", SURE)
    sign(browser, page, "196.80")
    assert sum_of(document.job) == Decimal("0.00")


def test_after_the_last_day_the_page_refuses(signed_in: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    document = issue_now(floor_with_options())
    browser, page = visit(sent(signed_in, document))
    sign(browser, page, "196.80")
    monkeypatch.setattr(timezone, "localdate", lambda *_: date(2099, 1, 1))
    answer = browser.post(f"{page}cancel/", SURE)
    assert answer.status_code == 409
    assert "The last day to cancel was" in answer.content.decode()
    assert sum_of(document.job) == Decimal("196.80")


def test_the_firm_enters_a_notice_that_was_mailed_in_time(signed_in: Client) -> None:
    document = issue_now(painted_floor())
    sign_on_paper(document)
    address = reverse("document-cancel", args=[document.pk])
    typed = {"name": NAME, "on": "2026-11-25", "how": "By mail"}
    assert signed_in.post(address, {**typed, "on": "2026-11-23"}).status_code == 422
    assert signed_in.post(address, {**typed, "on": "2999-01-01"}).status_code == 422
    assert sum_of(document.job) == Decimal("196.80")
    assert signed_in.post(address, typed).status_code == 302
    assert sum_of(document.job) == Decimal("0.00")
    assert Document.objects.get().canceled_on() == date(2026, 11, 25)


def test_what_nobody_signed_cannot_be_canceled(signed_in: Client) -> None:
    document = issue_now(floor_with_options())
    browser, page = visit(sent(signed_in, document))
    assert browser.post(f"{page}cancel/", SURE).status_code == 409
    assert signed_in.get(reverse("document-cancel", args=[document.pk])).status_code == 404
    with pytest.raises(Refused):
        enter_cancellation(document, NAME, DAY, "By mail", "pat", AT)


def test_what_was_canceled_and_then_replaced_is_never_shown_as_signed(
    signed_in: Client, signed: tuple[Client, str, Document]
) -> None:
    browser, page, document = signed
    browser.post(f"{page}cancel/", SURE)
    assert document.estimate is not None
    issue_now(document.estimate)
    assert document.state() == "superseded"
    shown = browser.get(page).content.decode()
    assert "binds neither side any more" in shown
    assert "<strong>Signed</strong>" not in shown
    paper = signed_in.get(document.get_absolute_url()).content.decode()
    assert "Signed, then canceled" in paper
    assert reverse("document-cancel", args=[document.pk]) not in paper


def test_changes_fall_with_the_estimate_and_a_new_one_begins_from_nothing() -> None:
    job = signed_kitchen()
    signed_change(cabinets_chosen(job))
    waiting = make_change(job, "More lights", reason="client")
    agreed(waiting, "Two more lights", "2", "each", "100.00")
    issued_change(waiting)
    estimate = contract(job).estimate
    enter_cancellation(estimate, NAME, DAY, "By hand", "pat", AT)
    assert sum_of(job) == Decimal("0.00")
    states = {str(change): change.state() for change in Document.objects.filter(kind="change_order")}
    assert states == {"Change order 1": "canceled", "Change order 2": "withdrawn"}
    again = issued_now(job.estimates.get(change=None))
    sign_on_paper(again)
    assert sum_of(job) == again.total.amount
    change = signed_change(waiting)
    assert sum_of(job) == again.total.amount + change.total.amount


@pytest.mark.django_db(transaction=True)  # the command sets the isolation before any query
def test_what_was_canceled_verifies(signed: tuple[Client, str, Document]) -> None:
    browser, page, _ = signed
    browser.post(f"{page}cancel/", SURE)
    assert list(faults()) == []
    call_command("verify_documents")


@pytest.mark.parametrize("name", ["cancel", "sign", "decline", "ask", "opened"])
def test_fetching_the_address_of_a_form_does_nothing_and_leads_to_the_page(
    signed: tuple[Client, str, Document], name: str
) -> None:
    browser, page, document = signed
    happened = document.event_kinds()
    for fetch in (browser.get, browser.head):
        answer = fetch(f"{page}{name}/")
        assert (answer.status_code, answer["Location"]) == (302, page)
        assert answer["Cache-Control"] == "no-store"
    assert Document.objects.get(pk=document.pk).event_kinds() == happened


def test_a_post_from_elsewhere_or_without_the_link_cancels_nothing(
    signed: tuple[Client, str, Document],
) -> None:
    browser, page, document = signed
    assert Client().post(f"{page}cancel/", SURE).status_code == 404
    forged = Client(enforce_csrf_checks=True)
    forged.cookies = browser.cookies
    assert forged.post(f"{page}cancel/", SURE).status_code == 403
    assert document.canceled_on() is None


def test_html_in_the_name_of_who_cancels_is_shown_as_text(
    signed_in: Client, signed: tuple[Client, str, Document]
) -> None:
    browser, page, document = signed
    browser.post(f"{page}cancel/", {**SURE, "name": "<script>alert(1)</script>"})
    shown = signed_in.get(document.get_absolute_url()).content.decode()
    assert "<script>alert" not in shown
    assert "canceled by &lt;script&gt;alert(1)" in shown
