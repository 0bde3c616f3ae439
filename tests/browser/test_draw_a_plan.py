"""A payment schedule drawn on a phone: edited, ordered, tried another way, signed, a milestone reached."""

import re

import pytest
from playwright.sync_api import FilePayload, Locator, Page, expect

from estimating.models import Job
from tests.estimating.issuing import issue_now, painted_floor
from tests.estimating.signed_kitchen import photo, sign_on_paper
from tests.soundness import is_sound

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def job(transactional_db: None) -> Job:
    """A floor at $196.80."""
    return painted_floor(state="CA").job


def row(page: Page, name: str) -> Locator:
    return page.locator(".milestones tbody tr").filter(
        has=page.get_by_role("link", name=re.compile(f"^{name}"))
    )


def test_a_plan_is_drawn_edited_signed_and_its_first_milestone_reached(phone: Page, job: Job) -> None:
    page = phone
    page.goto(f"/jobs/{job.pk}/work/")
    page.get_by_role("link", name="Money", exact=True).last.click()
    expect(page.get_by_role("heading", name="Payment schedule")).to_be_visible()
    is_sound(page)
    page.get_by_role("button", name="Set up the schedule").click()
    expect(row(page, "Deposit at signing")).to_contain_text("$19.68")
    expect(page.locator(".cash-drawing svg")).to_be_visible()
    expect(page).to_have_title(re.compile("^Money"))  # not that of the page that the drawing comes from
    is_sound(page)

    edit(page)
    another_split(page, job)

    sign_on_paper(issue_now(job.estimates.get()))
    page.goto(f"/jobs/{job.pk}/money/")
    row(page, "Deposit at signing").get_by_role("link", name="Mark complete Deposit at signing").click()
    expect(page.get_by_role("heading", name="Deposit at signing: complete?")).to_be_visible()
    picture = FilePayload(name="start.jpg", mimeType="image/jpeg", buffer=photo(400).getvalue())
    page.get_by_label("Photos that show it").set_input_files(picture)
    is_sound(page)
    page.get_by_role("button", name="Mark it complete").click()
    expect(page.get_by_text("Deposit at signing is complete: $39.36 can be billed.")).to_be_visible()
    expect(row(page, "Deposit at signing")).to_contain_text("Complete")
    expect(page.get_by_text("a deposit of $39.36 is above $19.68")).to_be_visible()
    is_sound(page)
    finish_work(page)


def finish_work(page: Page) -> None:
    """With the floor ticked as finished, all of it is worth its whole sum."""
    page.get_by_role("link", name="Check off finished work").click()
    page.get_by_label("Paint the floor").check()
    is_sound(page)
    page.get_by_role("button", name="Save what is finished").click()
    expect(page.get_by_text("The work is $196.80 ahead of billing.")).to_be_visible()
    for link in ("Special orders, days to pay", "Keep as a template"):
        page.get_by_role("link", name=link).click()
        expect(page.get_by_role("link", name="Back to the schedule")).to_be_visible()
        is_sound(page)
        page.get_by_role("link", name="Back to the schedule").click()
        expect(page.get_by_role("heading", name="Payment schedule")).to_be_visible()


def edit(page: Page) -> None:
    """Put the floor at $60, after saying 60, which could be either; the balance takes the rest."""
    row(page, "Floor set").get_by_role("link").first.click()
    page.get_by_label("Amount").fill("60")
    page.get_by_role("button", name="Save this milestone").click()
    expect(page.get_by_text("could be money or a share").first).to_be_visible()
    is_sound(page)
    page.get_by_label("Amount").fill("$60")
    expect(page.get_by_text("$60.00 of $196.80")).to_be_visible()
    page.get_by_role("button", name="Save this milestone").click()
    expect(row(page, "Floor set")).to_contain_text("$60.00")
    expect(row(page, "Punch list done")).to_contain_text("$8.88")
    expect(page.locator("#plan-sum")).to_have_text("$196.80")

    page.get_by_role("link", name="Change the order").click()
    row(page, "Cabinets set").get_by_role("button", name="Up Cabinets set").click()
    expect(page.locator(".milestones tbody tr").nth(2)).to_contain_text("Cabinets set")
    is_sound(page)


def another_split(page: Page, job: Job) -> None:
    """Equal shares are tried beside the plan, then kept."""
    page.goto(f"/jobs/{job.pk}/money/")
    page.get_by_role("link", name="Cash flow").click()
    expect(page.get_by_role("img", name=re.compile("^Cash flow"))).to_be_visible()
    is_sound(page)
    page.get_by_label("Deposit at signing, %").fill("90")
    expect(page.get_by_text("they must come to 100 %. Lower one of them.")).to_be_visible()
    page.get_by_role("link", name="Try equal shares").click()
    expect(page.get_by_text("With the other split:")).to_be_visible()
    is_sound(page)
    page.get_by_role("button", name="Make this split the schedule").click()
    expect(page.get_by_text("The schedule has that split now.")).to_be_visible()
    page.get_by_role("link", name="Back to the schedule").click()
    expect(row(page, "Deposit at signing")).to_contain_text("$39.36")
    expect(page.locator("#plan-sum")).to_have_text("$196.80")
