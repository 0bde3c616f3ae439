"""The days of a job planned from its pages: looked at, a step moved, something awaited, a calendar link."""

import re

import pytest
from django.urls import reverse
from playwright.sync_api import Page, expect

from tests.jobsite.tiled_floor import tiled_floor
from tests.soundness import is_sound

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_a_job_gets_its_days(page: Page) -> None:
    job = tiled_floor()
    page.goto(reverse("job-rooms", args=[job.pk]))
    page.get_by_role("link", name="Days", exact=True).click()
    expect(page.get_by_role("heading", level=1)).to_have_text("The next three weeks")
    is_sound(page)
    page.get_by_role("link", name="Set tile").first.click()
    expect(page.get_by_text("Waits for Bed backer board")).to_be_visible()
    is_sound(page)
    page.get_by_role("button", name="A day later").click()
    expect(page.get_by_role("status").first).to_contain_text("Set tile begins")
    page.get_by_role("link", name="All days").click()
    page.get_by_role("link", name="Add a delivery, trade or decision").click()
    is_sound(page)
    page.get_by_label("What it is").select_option("decision")
    page.get_by_label("In a few words").fill("Grout color")
    page.get_by_label("Work that waits for it").select_option(label="Tile the floor")
    page.get_by_label("Days from order to arrival").fill("3")
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_text("Client decides by")).to_be_visible()
    for name in ("days-week-door", "days-week-site", "days-supplies"):
        page.goto(reverse(name, args=[job.pk]))
        is_sound(page)
    page.goto(reverse("firm-days"))
    is_sound(page)
    page.get_by_role("link", name="Make a calendar link").click()
    page.get_by_label("For which calendar").fill("My phone")
    page.get_by_role("button", name="Make the link").click()
    secret = re.compile(r"/calendar/[\w-]{43}/days\.ics$")
    expect(page.get_by_label("Subscribe to this address")).to_have_value(secret)
    is_sound(page)
