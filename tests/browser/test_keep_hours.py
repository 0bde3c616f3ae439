"""A job kept on a phone: the clock, typed hours, receipts with photos, a return, what it made."""

from collections.abc import Callable

import pytest
from django.conf import settings
from django.test import Client
from playwright.sync_api import FilePayload, Page, expect
from pytest_django.live_server_helper import LiveServer

from estimating.models import Job
from jobsite.models import RunningClock
from tests.conftest import PHONE
from tests.estimating.signed_kitchen import photo
from tests.invoicing.bills import signed_floor
from tests.soundness import is_sound

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def job(transactional_db: None) -> Job:
    """A floor at $196.80: 1.2 hours at $70.00, and $80.00 of paint."""
    return signed_floor()


@pytest.fixture
def phone(open_page: Callable[..., Page], live_server: LiveServer, signed_in: Client) -> Page:
    page = open_page(**PHONE)
    session = signed_in.cookies[settings.SESSION_COOKIE_NAME].value
    page.context.add_cookies(
        [{"name": settings.SESSION_COOKIE_NAME, "value": session, "url": live_server.url}]
    )
    return page


def test_a_job_is_kept_from_the_clock_to_what_it_made(phone: Page, job: Job) -> None:
    page = phone
    page.goto("/")
    is_sound(page)
    page.get_by_role("link", name="Start the clock").click()  # the first tap
    is_sound(page)
    page.get_by_role("button", name="Paint the floor").click()  # the second
    expect(page.get_by_text("The clock runs: Paint the floor.")).to_be_visible()
    assert RunningClock.objects.exists()
    is_sound(page)
    page.get_by_role("button", name="Stop the clock").click()

    page.get_by_label("On what").select_option(label="Paint the floor")
    page.get_by_label("Hours, or from when to when").fill("8-9, 9:30-10")
    expect(page.get_by_text("8:00 AM to 9:00 AM and 9:30 AM to 10:00 AM: 1.5 hours")).to_be_visible()
    page.get_by_role("button", name="Keep the hours").click()
    expect(page.get_by_text("Paint the floor is at 1.5 h of 1.2 and not ticked as finished.")).to_be_visible()
    is_sound(page)

    page.get_by_role("link", name="Receipts", exact=True).click()
    for total, says in (("64.00", "Two gallons"), ("21.00", "Rollers")):
        receipt(page, total, says)
    page.get_by_label("It went back to the store").check()
    receipt(page, "10.00", "One roller", taken=False)
    expect(page.get_by_text("-$10.00").first).to_be_visible()
    is_sound(page)

    Job.objects.update(closed=True)
    page.goto(f"/jobs/{job.pk}/made/")
    # $196.80 less 1.5 h at $70.00 and $75.00
    expect(page.get_by_text("$16.80 was left of $196.80")).to_be_visible()
    is_sound(page)


def receipt(page: Page, total: str, says: str, taken: bool = True) -> None:
    page.get_by_label("Total paid, tax included").fill(total)
    page.get_by_label("What was bought", exact=True).fill(says)
    if taken:
        picture = FilePayload(name="receipt.jpg", mimeType="image/jpeg", buffer=photo(400).getvalue())
        page.get_by_label("Photo of the receipt").set_input_files(picture)
    page.get_by_role("button", name="Keep the receipt").click()
    expect(page.get_by_role("heading", name=says)).to_be_visible()
    is_sound(page)
    page.get_by_role("link", name="Back to the receipts").click()
