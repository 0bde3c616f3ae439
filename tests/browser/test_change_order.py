"""Hidden rot in a signed job, on a phone: photographed, picked from the signed list, issued, signed, and the
contract sum right to the cent on the page and on the statement."""

import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from django.test import Client as Browser
from django.utils import timezone
from playwright.sync_api import Page, expect

from estimating.models import ChangeOrder, Document, Job
from tests import pdf_text
from tests.conftest import PHONE
from tests.estimating.signed_kitchen import contract, kitchen_estimate, photo, signed_kitchen
from tests.soundness import is_sound

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def job(transactional_db: None) -> Job:
    return signed_kitchen()


def text_of(client: Browser, address: str) -> str:
    return pdf_text.text_of(client.get(address).content)


def write_change(page: Page, found: Path, new_sum: str) -> None:
    page.get_by_role("link", name="Found something hidden").click()
    expect(page.get_by_label("Something hidden was found")).to_be_checked()
    is_sound(page)
    page.get_by_label("Photos of what was found").set_input_files(found)
    page.get_by_label("What it is about").fill("Rotten subfloor")
    page.get_by_label("What was found or asked for").fill("The dishwasher leaked under the sink run.")
    page.get_by_label("Working days that it adds").fill("2")
    page.get_by_role("button", name="Go on to the work").click()
    expect(page.get_by_role("img")).to_have_count(1)

    for condition, label, much, bought in (
        ("Rotten subfloor cut out and replaced", "How much, in sq ft", "24", ""),
        ("A weak joist sistered", "How many hours", "4", "26.80"),
        ("Drying fan", "How many days", "2", ""),
    ):
        page.get_by_role("link", name=condition).click()
        expect(page.get_by_role("heading", level=1)).to_contain_text(condition)
        is_sound(page)
        page.get_by_label(label).fill(much)
        if bought:
            page.get_by_label("What you bought for it").fill(bought)
        page.get_by_role("button", name="Put it on the change").click()
        expect(page.get_by_role("heading", level=1)).to_have_text("Rotten subfloor")
    expect(page.get_by_role("row", name="This change")).to_contain_text("$750.25")
    expect(page.get_by_role("row", name="New sum")).to_contain_text(new_sum)
    is_sound(page)


def test_rot_found_photographed_priced_signed_and_the_sum_right_to_the_cent(
    page: Page, job: Job, open_page: Callable[..., Page], signed_in: Browser, tmp_path: Path
) -> None:
    found = tmp_path / "rot.jpg"
    found.write_bytes(photo(1600).getvalue())
    page.goto(f"/jobs/{job.pk}/paperwork/")
    is_sound(page)
    write_change(page, found, "$25,961.41")

    page.get_by_role("link", name="Issue this change").click()
    expect(page.get_by_role("button", name="Issue the change")).to_be_visible()
    is_sound(page)
    page.get_by_role("button", name="Issue the change").click()
    expect(page.get_by_role("heading", name="Change order 1", exact=True)).to_be_visible()
    is_sound(page)
    page.goto(f"/jobs/{job.pk}/paperwork/")
    expect(page.get_by_role("heading", name="Work waiting for a signature")).to_be_visible()
    expect(page.get_by_role("row", name=re.compile("^Contract sum"))).to_contain_text("$25,211.16")
    is_sound(page)

    page.get_by_role("link", name="Change order 1").first.click()
    page.get_by_role("link", name="Send to client").click()
    page.get_by_role("button", name="Send to client").click()
    phone = open_page(**PHONE)
    phone.goto(page.get_by_label("Link to copy").input_value())
    phone.get_by_role("link", name="Read and sign").click()
    expect(phone.locator("#foot-sum")).to_have_text("$750.25")
    in_short = phone.get_by_label("In short")
    expect(in_short).to_contain_text("+$750.25")
    expect(in_short).to_contain_text("$25,961.41")
    assert phone.evaluate("document.documentElement.scrollHeight") < 3_000
    with phone.expect_response("**/opened/"):
        phone.get_by_text("Read the whole change order").click()
    expect(phone.get_by_role("img", name="Photo 1")).to_be_visible()
    expect(phone.get_by_text("Adds 2 working days", exact=True)).to_be_visible()
    expect(phone.get_by_role("article").get_by_text("24 sq ft at $14.00 a sq ft, as signed")).to_be_visible()
    is_sound(phone)
    phone.get_by_label("Your full name").fill("Marisol Okonjo")
    phone.get_by_label("I agree to sign this paper electronically").check()
    phone.get_by_role("button", name="Sign this change of $750.25").click()
    expect(phone.get_by_role("status").get_by_text("by Marisol Okonjo on")).to_be_visible()

    page.goto(f"/jobs/{job.pk}/paperwork/")
    expect(page.get_by_role("row", name=re.compile("^Contract sum"))).to_contain_text("$25,961.41")
    expect(page.get_by_role("heading", name="Work waiting for a signature")).to_have_count(0)
    statement = text_of(signed_in, f"/jobs/{job.pk}/paperwork/contract.pdf")
    assert "$25,961.41" in statement
    assert "Change order 1, Rotten subfloor" in statement
    document = Document.objects.get(kind="change_order")
    assert "$25,961.41" in text_of(signed_in, f"{document.get_absolute_url()}paper.pdf")
    assert f"{contract(job).contract.total}" == "25961.41"
    page.goto(ChangeOrder.objects.get().get_absolute_url())
    expect(page.get_by_text("That change is signed")).to_be_visible()


def send(page: Page) -> str:
    """Sends the paper on the page; the client's link."""
    page.get_by_role("link", name="Send to client").click()
    page.get_by_role("button", name="Send to client").click()
    return page.get_by_label("Link to copy").input_value()


@pytest.mark.parametrize("page", [PHONE], ids=["phone"], indirect=True)
def test_from_an_estimate_sent_to_a_contract_changed_and_signed(
    page: Page, transactional_db: None, open_page: Callable[..., Page], signed_in: Browser, tmp_path: Path
) -> None:
    found = tmp_path / "rot.jpg"
    found.write_bytes(photo(1600).getvalue())
    estimate = kitchen_estimate()
    estimate.dated = timezone.localdate()
    estimate.save()
    # 6 h at 80.00 beside the 25,211.16
    estimate.items.create(title="Skim the walls", phase="finish", extra_hours=6, is_option=True)
    job = estimate.job
    page.goto(f"/jobs/{job.pk}/paperwork/")
    page.get_by_role("link", name="Issue this estimate").click()
    page.get_by_role("button", name="Issue the estimate").click()
    phone = open_page(**PHONE)
    phone.goto(send(page))
    phone.get_by_role("link", name="Read and sign").click()
    expect(phone.locator("#foot-sum")).to_have_text("$25,211.16")
    phone.get_by_label("Skim the walls").check()
    expect(phone.locator("#foot-sum")).to_have_text("$25,691.16")
    phone.get_by_label("Your full name").fill("Marisol Okonjo")
    phone.get_by_label("I agree to sign this paper electronically").check()
    phone.get_by_role("button", name="Sign and accept for $25,691.16").click()
    expect(phone.get_by_role("status").get_by_text("by Marisol Okonjo on")).to_be_visible()

    page.goto(f"/jobs/{job.pk}/paperwork/")
    write_change(page, found, "$26,441.41")
    page.get_by_role("link", name="Issue this change").click()
    page.get_by_role("button", name="Issue the change").click()
    phone.goto(send(page))
    phone.get_by_role("link", name="Read and sign").click()
    phone.get_by_label("Your full name").fill("Marisol Okonjo")
    phone.get_by_label("I agree to sign this paper electronically").check()
    phone.get_by_role("button", name="Sign this change of $750.25").click()
    expect(phone.get_by_role("status").get_by_text("by Marisol Okonjo on")).to_be_visible()

    # 25,211.16 + 480.00 + 750.25
    page.goto(f"/jobs/{job.pk}/paperwork/")
    expect(page.get_by_role("row", name=re.compile("^Contract sum"))).to_contain_text("$26,441.41")
    assert "$26,441.41" in text_of(signed_in, f"/jobs/{job.pk}/paperwork/contract.pdf")
    document = Document.objects.get(kind="change_order")
    signed = json.loads(signed_in.get(f"{document.get_absolute_url()}signed.json").content)
    assert json.loads(signed["snapshot"])["contract"]["after"] == "26441.41"


def test_forms_of_a_change_say_what_is_wrong_and_keep_what_was_typed(page: Page, job: Job) -> None:
    page.goto(f"/jobs/{job.pk}/changes/new/")
    page.get_by_label("What it is about").fill("Rotten subfloor")
    page.get_by_label("Working days that it adds").fill("soon")
    page.get_by_role("button", name="Go on to the work").click()
    expect(page.locator(".error-summary")).to_be_focused()
    expect(page.locator("main")).to_contain_text("Type whole days")
    expect(page.get_by_label("What it is about")).to_have_value("Rotten subfloor")
    is_sound(page)
