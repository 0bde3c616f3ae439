"""Taking a payment in a real browser at the size of a phone."""

import re
from datetime import timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from estimating.models import Document
from tests.factories import make_client, make_job
from tests.invoicing.money_rows import add_bill
from tests.soundness import is_sound

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def invoice(transactional_db: None) -> Document:
    """$400.00, five days past its due date, after a smaller one that is due next week."""
    job = make_job(client=make_client(email="okonjo@example.com"))
    today = timezone.localdate()
    add_bill(job, "150.00", on=today, due=today + timedelta(days=7))
    return add_bill(job, "400.00", on=today - timedelta(days=12), due=today - timedelta(days=5))


def test_a_check_is_entered_bounces_and_the_rest_is_paid_in_one_tap(phone: Page, invoice: Document) -> None:
    phone.goto(f"/jobs/{invoice.job_id}/money/")
    is_sound(phone)
    phone.get_by_role("link", name="Take a payment").click()
    phone.get_by_label("Amount").fill("600")
    phone.get_by_label("Check or reference number").fill("1042")
    phone.get_by_role("button", name="Enter the payment").click()
    expect(phone.get_by_role("alert")).to_contain_text("$600.00 is more than the $550.00 due")
    is_sound(phone)
    expect(phone.get_by_label("Check or reference number")).to_have_value("1042")
    phone.get_by_label("Amount").fill("100")
    phone.get_by_role("button", name="Enter the payment").click()
    expect(phone.get_by_role("status").first).to_contain_text("$100.00 from Marisol Okonjo is entered")

    phone.get_by_role("link", name="Check 1042").click()
    expect(phone.get_by_role("heading", name="What it paid")).to_be_visible()
    is_sound(phone)
    phone.get_by_role("link", name="Void it").click()
    phone.get_by_label("The bank returned it").check()
    phone.get_by_role("button", name="Void it").click()
    expect(phone.get_by_role("status").first).to_contain_text("What it had paid is open again")

    paid_in_full = phone.get_by_role("button", name=re.compile(f"Paid in full.*{invoice}"))
    paid_in_full.click()
    expect(phone.get_by_role("status").first).to_contain_text(f"{invoice} is paid in full: $400.00")
    expect(paid_in_full).to_have_count(0)

    phone.get_by_role("link", name="Money", exact=True).first.click()
    expect(phone.get_by_role("heading", level=1)).to_have_text("Money")
    is_sound(phone)
    debtor = phone.get_by_role("link", name=re.compile("^Marisol Okonjo")).bounding_box()
    assert debtor is not None
    assert debtor["width"] > 200  # its button stands below, so that no figure breaks
    phone.set_viewport_size({"width": 1280, "height": 500})
    cut = "[...document.querySelectorAll('main .two > *')].some(e => e.scrollHeight > e.clientHeight + 1)"
    assert not phone.evaluate(cut)
    phone.set_viewport_size({"width": 390, "height": 844})
    phone.get_by_role("link", name="Not due yet").click()
    expect(phone.get_by_role("heading", level=1)).to_have_text("Not due yet: $150.00")
