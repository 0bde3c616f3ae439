"""A job kept on a phone: the clock, hours, receipts, a return, what it made, and the next price by it."""

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from fractions import Fraction
from io import BytesIO

import pytest
from django.conf import settings
from django.test import Client
from django.utils import timezone
from playwright.sync_api import FilePayload, Page, expect
from pypdf import PdfReader
from pytest_django.live_server_helper import LiveServer

from catalog.models import Firm, Operation
from catalog.money.amounts import round_cents
from estimating.estimates.draft import read_draft
from estimating.models import Estimate, Job
from jobsite.models import RunningClock
from tests.conftest import PHONE
from tests.estimating.issuing import another_floor
from tests.estimating.signed_kitchen import photo
from tests.invoicing.bills import signed_floor
from tests.soundness import is_sound

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def job(transactional_db: None) -> Job:
    """A floor at $196.80: 1.2 hours at $70.00, and $80.00 of paint."""
    return signed_floor()


@pytest.fixture
def next_floor(job: Job) -> Estimate:
    """The same floor for the next client, still to be priced."""
    Operation.objects.update(low_typed="0.7 hours per 100 sq ft", high_typed="1.8 hours per 100 sq ft")
    further = another_floor(Estimate.objects.get(job=job))
    further.runs = 0
    further.save()
    return further


def priced(estimate: Estimate) -> Decimal:
    return read_draft(Estimate.objects.get(pk=estimate.pk), Firm.current()).priced.total


@pytest.fixture
def phone(open_page: Callable[..., Page], live_server: LiveServer, signed_in: Client) -> Page:
    page = open_page(**PHONE)
    session = signed_in.cookies[settings.SESSION_COOKIE_NAME].value
    page.context.add_cookies(
        [{"name": settings.SESSION_COOKIE_NAME, "value": session, "url": live_server.url}]
    )
    return page


def test_a_job_is_kept_from_the_clock_to_what_it_made(
    phone: Page, job: Job, next_floor: Estimate, monkeypatch: pytest.MonkeyPatch
) -> None:
    noon = timezone.localtime().replace(hour=12, minute=0, second=30)
    monkeypatch.setattr(timezone, "now", lambda: noon)  # so that no clock of this test runs past midnight
    page = phone
    page.goto("/")
    is_sound(page)
    page.get_by_role("link", name="Start the clock").click()  # the first tap
    is_sound(page)
    page.get_by_role("button", name="Paint the floor").click()  # the second
    expect(page.get_by_text("The clock runs: Paint the floor.")).to_be_visible()
    RunningClock.objects.update(started_at=timezone.now() - timedelta(minutes=30))
    is_sound(page)
    page.get_by_role("button", name="Supply runs and driving").first.click()
    expect(page.get_by_text("0.5 hours kept, on Paint the floor. Wrong? Correct it")).to_be_visible()
    page.get_by_role("button", name="Stop the clock").click()

    page.get_by_label("On what").select_option(label="Paint the floor")
    page.get_by_label("Hours, or from when to when").fill("8-9, 9:30-10")
    expect(page.get_by_text("8:00 AM to 9:00 AM and 9:30 AM to 10:00 AM: 1.5 hours")).to_be_visible()
    page.get_by_role("button", name="Keep the hours").click()
    expect(page.get_by_text("Paint the floor is at 2 h of 1.2 and not ticked as finished.")).to_be_visible()
    is_sound(page)

    page.get_by_role("link", name="Receipts", exact=True).click()
    receipt(page, "64.00", "Two gallons")
    page.get_by_role("link", name="Add a line").click()
    page.get_by_label("From the catalog").select_option(index=1)
    page.get_by_label("What they cost together, before tax").fill("42.50")
    is_sound(page)
    page.get_by_role("button", name="Add the line").click()
    page.get_by_role("button", name="Take it into the catalog").click()
    expect(page.get_by_text("is now $42.50")).to_be_visible()
    page.get_by_role("link", name="Back to the receipts").click()
    receipt(page, "21.00", "Rollers")
    page.get_by_role("link", name="Back to the receipts").click()
    page.get_by_label("It went back to the store").check()
    receipt(page, "10.00", "One roller", taken=False)
    expect(page.get_by_role("heading", name="-$10.00")).to_be_visible()
    is_sound(page)

    page.goto(f"/jobs/{job.pk}/plan/work/")
    page.get_by_label("Paint the floor").check()
    page.get_by_role("button", name="Save what is finished").click()
    page.goto(f"/jobs/{job.pk}/edit/")
    page.get_by_label("Closed").check()
    page.get_by_role("button", name="Save job").click()
    page.goto(f"/jobs/{job.pk}/made/")
    # $196.80 less 2 h at $70.00 and $75.00
    expect(page.get_by_text("-$18.20 was left of $196.80")).to_be_visible()
    is_sound(page)
    assert len(PdfReader(BytesIO(page.pdf(format="Letter"))).pages) == 1

    assert priced(next_floor) == Decimal("202.80")  # two gallons at the new price
    page.goto("/catalog/own-jobs/")
    page.get_by_role("button", name="Take it").click()
    is_sound(page)
    taken = Operation.objects.get()
    more = round_cents(Fraction("1.2") * (taken.hours_per_unit * 100 - 1) * 84)
    assert priced(next_floor) == Decimal("202.80") + more > 203
    page.goto(f"/jobs/{next_floor.job_id}/price/")
    expect(page.get_by_role("row", name="As priced").first).to_contain_text(f"${202 + Decimal('.80') + more}")


def receipt(page: Page, total: str, says: str, taken: bool = True) -> None:
    page.get_by_label("Total paid, tax included").fill(total)
    page.get_by_label("What was bought", exact=True).fill(says)
    if taken:
        picture = FilePayload(name="receipt.jpg", mimeType="image/jpeg", buffer=photo(400).getvalue())
        page.get_by_label("Photo of the receipt").set_input_files(picture)
    page.get_by_role("button", name="Keep the receipt").click()
    expect(page.get_by_role("heading", name=says)).to_be_visible()
    is_sound(page)
