"""From a paper sent to a contract sum, on the client's phone: option taken, signed, right to the cent."""

import re
from collections.abc import Callable
from decimal import Decimal

import pytest
from django.core import mail
from django.test import Client as Browser
from playwright.sync_api import Page, Request, expect
from pytest_django.live_server_helper import LiveServer

from estimating.client.signed_file.verify_signed import faults
from estimating.models import Acceptance, Document, DocumentEvent
from tests.conftest import DESK, PHONE
from tests.estimating.client_visits import floor_with_options
from tests.estimating.issuing import issue_now
from tests.estimating.paper_signatures import photo
from tests.estimating.signed_kitchen import contract_to_date
from tests.pdf_text import text_of
from tests.soundness import is_sound

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def taxed_floor(transactional_db: None) -> Document:
    """$196.80 with $96.00 of taxable paint, so $6.24 of tax at 6.5 %; each option adds as much again."""
    return issue_now(floor_with_options(tax_policy="materials", tax_percent="6.5"))


@pytest.fixture
def sent_link(page: Page, taxed_floor: Document, live_server: LiveServer) -> str:
    """The firm sends it; the link as the firm's page shows it once."""
    page.goto(taxed_floor.get_absolute_url())
    is_sound(page)
    page.get_by_role("link", name="Send to client").click()
    expect(page.get_by_role("button", name="Send to client")).to_be_visible()
    is_sound(page)
    page.get_by_role("button", name="Send to client").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("On its way to the client")
    is_sound(page)
    return page.get_by_label("Link to copy").input_value()


def test_sent_option_taken_signed_and_the_sum_right_to_the_cent(
    page: Page, sent_link: str, open_page: Callable[..., Page], signed_in: Browser
) -> None:
    [message] = mail.outbox
    assert sent_link in message.body
    (secret,) = re.findall(r"/open/([^/]+)/", sent_link)
    asked: list[Request] = []
    phone = open_page(**(PHONE if page.evaluate("innerWidth") < 800 else DESK))
    phone.on("request", lambda request: asked.append(request))
    phone.goto(sent_link)
    assert "/for-you/job/" in phone.url
    assert secret not in phone.url + phone.content()
    is_sound(phone)
    phone.get_by_role("link", name="Read and sign").click()
    expect(phone.locator("#foot-sum")).to_have_text("$203.04")
    is_sound(phone)
    assert not DocumentEvent.objects.filter(kind="opened").exists()

    # The test's database in memory is one connection for all: requests wait for each other here.
    with phone.expect_response("**/opened/"):
        phone.keyboard.press("Shift")
    assert DocumentEvent.objects.filter(kind="opened").count() == 1

    phone.get_by_label("A further coat").check()
    expect(phone.locator("#foot-sum")).to_have_text("$406.08")
    expect(phone.locator("#sums")).to_contain_text("$12.48")
    expect(phone.get_by_role("button", name="Sign and accept for $406.08")).to_be_visible()
    expect(phone.get_by_label("Late choice")).to_be_disabled()

    phone.get_by_role("button", name="Sign and accept").click()
    expect(phone.locator(".error-summary")).to_be_focused()
    expect(phone.get_by_label("A further coat")).to_be_checked()
    expect(phone.locator("#foot-sum")).to_have_text("$406.08")
    is_sound(phone)
    phone.get_by_label("Your full name").fill("Marisol Okonjo")
    phone.get_by_label("I agree to sign this paper electronically").check()
    phone.get_by_role("button", name="Sign and accept for $406.08").dblclick()
    expect(phone.get_by_role("status").get_by_text("by Marisol Okonjo on")).to_be_visible()
    is_sound(phone)
    phone.evaluate("history.go(-2)")  # to the page before the refused form
    phone.wait_for_url("**/for-you/*/")
    expect(phone.get_by_role("status").get_by_text("by Marisol Okonjo on")).to_be_visible()
    expect(phone.get_by_role("button", name="Sign and accept")).to_have_count(0)

    acceptance = Acceptance.objects.get()
    assert acceptance.total.amount == Decimal("406.08")
    assert contract_to_date(acceptance.document.job).total == Decimal("406.08")
    assert DocumentEvent.objects.filter(kind="opened").count() == 1
    with phone.expect_download() as download:
        phone.get_by_role("link", name="Signed file").click()
    assert faults(download.value.path().read_text(), acceptance.event_hash) == []
    pdf = signed_in.get(f"{acceptance.document.get_absolute_url()}signed.pdf").content
    text = text_of(pdf)
    assert "$406.08" in text
    assert "A further coat, $196.80" in text
    assert not [request for request in asked if secret in request.headers.get("referer", "")]

    page.goto(acceptance.document.get_absolute_url())
    expect(page.get_by_text("on the client's page: $406.08")).to_be_visible()
    expect(page.get_by_role("link", name=re.compile("wait with work and orders"))).to_be_visible()
    is_sound(page)


def test_a_client_without_scripts_sees_the_sum_before_he_signs(
    signed_in: Browser, open_page: Callable[..., Page], taxed_floor: Document, live_server: LiveServer
) -> None:
    sent = signed_in.post(
        f"{taxed_floor.get_absolute_url()}send/",
        {"name": "Marisol", "email": "", "by-link": "yes", "once": "once"},
    )
    path = re.findall(r"http://testserver(/open/[^\"]+)", sent.content.decode())[0]
    phone = open_page(**PHONE, java_script_enabled=False)
    phone.goto(path)
    phone.get_by_role("link", name="Read and sign").click()
    phone.get_by_label("A further coat").check()
    phone.get_by_role("button", name="Show the sum").click()
    expect(phone.locator("#sums")).to_contain_text("$406.08")
    phone.get_by_label("Your full name").fill("Marisol Okonjo")
    phone.get_by_label("I agree to sign this paper electronically").check()
    phone.get_by_role("button", name="Sign and accept for $406.08").click()
    expect(phone.get_by_role("status").get_by_text("by Marisol Okonjo on")).to_be_visible()
    assert Acceptance.objects.get().total.amount == Decimal("406.08")


def test_a_question_is_asked_and_answered_on_the_pages(
    page: Page, sent_link: str, open_page: Callable[..., Page], taxed_floor: Document
) -> None:
    phone = open_page(**PHONE)
    phone.goto(sent_link)
    phone.get_by_text("Ask a question").click()
    phone.get_by_label("Your question").fill("Which color is it?")
    phone.get_by_role("button", name="Send the question").click()
    expect(phone.get_by_text("Which color is it?")).to_be_visible()
    page.goto("/")
    page.get_by_role("link", name="A question waits").click()
    expect(page.get_by_role("heading", name="Paperwork", exact=True)).to_be_visible()
    page.goto(taxed_floor.get_absolute_url())
    is_sound(page)
    page.get_by_role("link", name="Answer", exact=True).click()
    page.get_by_label("Your answer").fill("Any you like.")
    page.get_by_role("button", name="Send the answer").click()
    expect(page.get_by_text("It goes by mail to okonjo@example.com")).to_be_visible()
    phone.reload()
    expect(phone.get_by_text("Any you like.")).to_be_visible()


def test_a_signature_on_paper_is_entered_with_its_photo(page: Page, taxed_floor: Document) -> None:
    page.goto(taxed_floor.get_absolute_url())
    page.get_by_role("link", name="Signed on paper").click()
    expect(page.get_by_role("button", name="Keep the signature")).to_be_visible()
    is_sound(page)
    page.get_by_label("A further coat").check()
    page.get_by_label("Photo or scan").set_input_files(
        {"name": "page.jpg", "mimeType": "image/jpeg", "buffer": photo()}
    )
    page.get_by_role("button", name="Keep the signature").click()
    expect(page.get_by_text("on paper: $406.08")).to_be_visible()
    is_sound(page)


def test_a_client_cancels_what_he_signed_at_home(
    page: Page, taxed_floor: Document, sent_link: str, open_page: Callable[..., Page]
) -> None:
    phone = open_page(**PHONE)
    phone.goto(sent_link)
    phone.get_by_role("link", name="Read and sign").click()
    phone.get_by_text("The notice, with the last day").click()
    expect(phone.get_by_role("heading", name="NOTICE OF CANCELLATION")).to_be_visible()
    is_sound(phone)
    phone.get_by_label("Your full name").fill("Marisol Okonjo")
    phone.get_by_label("I agree to sign this paper electronically").check()
    phone.get_by_role("button", name="Sign and accept").click()
    expect(phone.get_by_text("You may cancel until midnight of").first).to_be_visible()
    phone.get_by_text("Cancel what you signed").click()
    phone.get_by_role("button", name="Cancel the contract").click()
    expect(phone.locator(".error-summary")).to_be_focused()
    is_sound(phone)
    phone.get_by_label("Your full name").fill("Marisol Okonjo")
    phone.get_by_label("I hereby cancel this transaction").check()
    phone.get_by_role("button", name="Cancel the contract").click()
    expect(phone.get_by_text("binds neither side any more")).to_be_visible()
    assert contract_to_date(taxed_floor.job).total == 0

    page.goto(f"/jobs/{taxed_floor.job_id}/paperwork/")
    expect(page.get_by_text("so nothing counts as signed")).to_be_visible()
    is_sound(page)
