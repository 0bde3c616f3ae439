"""The end of a job on a phone: the walk-through, each item, and both sides' signatures under its end."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from estimating.models import Acceptance, Job
from tests.closing.lists import floor_with_warranty
from tests.conftest import PHONE
from tests.estimating.signed_kitchen import photo
from tests.soundness import is_sound

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def job(transactional_db: None) -> Job:
    return floor_with_warranty()


def note(page: Page, text: str, whose: str = "", worth: str = "", taken: Path | None = None) -> None:
    page.get_by_label("What is seen").fill(text)
    if whose:
        page.get_by_label(whose).check()
    if worth:
        page.get_by_label("Worth, held back").fill(worth)
    if taken:
        page.get_by_label("Photo").set_input_files(taken)
    page.get_by_role("button", name="Put it on the list").click()
    expect(page.get_by_text(f"“{text}” is on the list.")).to_be_visible()


@pytest.mark.parametrize("page", [PHONE], ids=["phone"], indirect=True)
def test_a_job_is_walked_through_finished_and_its_end_signed_by_the_client(
    page: Page, job: Job, open_page: Callable[..., Page], tmp_path: Path
) -> None:
    taken = tmp_path / "door.jpg"
    taken.write_bytes(photo(800).getvalue())
    page.goto(f"/jobs/{job.pk}/punch-list/")
    is_sound(page)
    note(page, "The door sticks", worth="25", taken=taken)
    note(page, "Paint on the sill")
    note(page, "A shelf over the sink", whose="A new wish")
    is_sound(page)
    page.get_by_role("button", name=re.compile("Done.*Paint on the sill")).click()
    expect(page.get_by_text("“Paint on the sill” is done.")).to_be_visible()
    expect(page.get_by_text("is a new wish. Put it on a change order")).to_be_visible()

    page.get_by_role("link", name="A shelf over the sink").click()
    is_sound(page)
    page.get_by_label("Why it isn't done, for the client").fill("No wall there can carry it")
    page.get_by_role("button", name="Save").click()
    page.get_by_role("link", name="Write the certificate").click()
    is_sound(page)
    page.get_by_role("button", name="Issue and send").click()
    page.get_by_role("button", name="Send to client").click()

    phone = open_page(**PHONE)
    phone.goto(page.get_by_label("Link to copy").input_value())
    phone.get_by_role("link", name="Read and sign").click()
    expect(phone.get_by_text("$25.00").first).to_be_visible()
    expect(phone.get_by_text("$0.00")).to_have_count(0)
    is_sound(phone)
    phone.get_by_label("Your full name").fill("Marisol Okonjo")
    phone.get_by_label("I agree to sign this paper electronically").check()
    phone.get_by_role("button", name="Sign that the work is done").click()
    expect(phone.get_by_role("status").get_by_text(re.compile("by Marisol Okonjo on"))).to_be_visible()
    assert Acceptance.objects.ends().get().name == "Marisol Okonjo"

    page.goto(f"/jobs/{job.pk}/punch-list/")
    page.get_by_role("link", name="The door sticks").click()
    page.get_by_label("Photo of it done").set_input_files(taken)
    page.get_by_role("button", name="Mark it done").click()
    expect(page.get_by_text("$25.00 of what was held back can be billed")).to_be_visible()
    page.get_by_role("link", name="Warranty and call-backs").click()
    expect(page.get_by_text("Warranty through")).to_be_visible()
    is_sound(page)
