"""A job quoted, changed and billed by the keyboard alone: every stop is seen, and nothing needs a pointer."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from estimating.models import Document
from tests.conftest import DESK
from tests.factories import make_firm, make_painting
from tests.invoicing.bills import signed_floor

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

MOST_STOPS = 90
# What a stop is called, whether it is seen to have the focus, and whether it is typed into.
STOP = """() => {
  const stop = document.activeElement, style = getComputedStyle(stop), box = stop.getBoundingClientRect();
  const ring = [style, stop.parentElement && getComputedStyle(stop.parentElement)].some(
    look => look && (look.outlineStyle !== "none" || look.boxShadow !== "none"));
  const label = stop.labels && stop.labels[0];
  const name = stop.getAttribute("aria-label") || (label || stop).textContent;
  const inside = stop.type === "date" && !stop.matches(":focus-visible");  // in its calendar
  const shown = (ring || inside) && box.width > 0, said = name.trim().replace(/\\s+/g, " ");
  return stop === document.body ? null : [said, shown, stop.matches("input, textarea")];
}"""


def go_to(page: Page, name: str, typed: bool = False) -> None:
    """Press Tab until what begins with this name has the focus; with `typed` only a field counts."""
    passed = []
    for _ in range(MOST_STOPS):
        page.keyboard.press("Tab")
        stop = page.evaluate(STOP)
        if stop is not None:
            said, is_seen, is_field = stop
            assert is_seen, f"{said} has the focus and doesn't show it"
            if said.startswith(name) and (is_field or not typed):
                return
            passed.append(said)
    raise AssertionError(f"Tab never comes to {name}, but to {passed}")


def fill(page: Page, **typed: str) -> None:
    for name, text in typed.items():
        go_to(page, name.replace("_", " "), typed=True)
        page.keyboard.type(text)


def press(page: Page, name: str, heading: str) -> None:
    """Go to a link or a button, press Enter, and wait for the page that it leads to."""
    go_to(page, name)
    page.keyboard.press("Enter")
    expect(page.locator("h1").first).to_contain_text(heading)


@pytest.fixture
def desk(open_as_owner: Callable[..., Page]) -> Page:
    return open_as_owner(**DESK)


def test_a_job_is_quoted_without_a_pointer(desk: Page) -> None:
    make_firm()
    make_painting()
    page = desk
    page.goto("/")
    press(page, "Start a job", "Start a job")
    fill(page, Name="Marisol Okonjo", Job="Kitchen", Address_of_the_work="418 Larkspur Lane")
    press(page, "Start the job", "Measure a room")
    fill(page, Room="Kitchen", Length="12'", Width="10'", Ceiling="8'")
    press(page, "Save room", "Rooms")
    press(page, "Work", "Work")
    press(page, "Add work", "Add work")
    for stop in ("Tape, tile and paint", "floor paint"):  # the phase opens, then the work is ticked
        go_to(page, stop)
        page.keyboard.press("Space")
    press(page, "Put on these rooms", "floor paint")
    press(page, "Paperwork", "Paperwork")
    press(page, "Issue this estimate", "Issue this estimate?")
    press(page, "Issue the estimate", "Estimate 1001")


def test_a_job_is_changed_and_billed_without_a_pointer(desk: Page, transactional_db: None) -> None:
    job, page = signed_floor(), desk
    page.goto(f"/jobs/{job.pk}/paperwork/")
    press(page, "Write a change", "What changes?")
    fill(page, What_it_is_about="A second coat")
    go_to(page, "The client asked for it")
    page.keyboard.press("Space")
    fill(page, What_was_found="The client wants it darker.")
    press(page, "Go on to the work", "A second coat")
    press(page, "Lump sum", "Work for a lump sum")
    fill(page, What="A second coat", How_much="1", Price="80")
    press(page, "Add this", "A second coat")
    press(page, "Issue this change", "Issue this change?")
    press(page, "Issue the change", "Change order 1")
    page.goto(f"/jobs/{job.pk}/money/")
    press(page, "Mark complete Begun", "Begun: complete?")
    press(page, "Mark it complete", "Money")
    press(page, "Bill it Begun", "Bill this work")
    press(page, "Issue this invoice", "Invoice INV-1001")
    assert Document.objects.filter(kind=Document.Kind.INVOICE).count() == 1
