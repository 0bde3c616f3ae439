"""The plan of a room on the desk: what is tapped is changed, and every step can be undone."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from estimating.models import Room
from tests.factories import make_job
from tests.soundness import is_sound

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


ON_LINE = """(line) => {
    const { x, y } = line.getPointAtLength(line.getTotalLength() / 3).matrixTransform(line.getScreenCTM());
    return [x, y]; }"""


def test_what_is_tapped_on_the_plan_is_changed_and_undone(open_as_owner: Callable[..., Page]) -> None:
    page = open_as_owner()
    job = make_job()
    page.goto(f"/jobs/{job.pk}/rooms/new/")
    for name, text in (("name", "Kitchen"), ("length", "12"), ("width", "10"), ("height", "8")):
        page.locator(f"#id_{name}").fill(text)
    sketch = page.locator("#room-sketch")
    expect(sketch.locator('[data-item="walls 1"]').first).to_be_attached()
    page.locator("#openings summary").first.click()
    page.locator("#id_openings-0-width").fill("36")
    page.locator("#id_openings-0-height").fill("80")
    page.get_by_role("button", name="Save room").last.click()
    page.goto(f"/rooms/{Room.objects.get().pk}/")

    page.mouse.click(*sketch.locator('.plan-hit[data-item="walls 1"]').evaluate(ON_LINE))
    width = page.locator("#id_width")
    expect(width).to_be_focused()
    expect(sketch.locator(".plan-here").first).to_be_attached()
    width.fill("11")
    sketch.locator('[data-item="openings 0"] .plan-broad').click()
    door = page.locator("#id_openings-0-width")
    expect(door).to_be_focused()
    expect(page.get_by_role("button", name="Undo", exact=True)).to_be_enabled()
    door.fill("32")
    page.get_by_role("button", name="Add an opening").click()
    expect(page.get_by_role("group", name="Opening 3")).to_be_attached()
    is_sound(page)

    # without a signal the row stays, and so does the step
    page.context.set_offline(True)
    with page.expect_event("requestfailed"):
        page.get_by_role("button", name="Undo", exact=True).click()
    page.context.set_offline(False)
    for _ in range(3):
        page.get_by_role("button", name="Undo", exact=True).click()
    expect(page.get_by_role("group", name="Opening 3")).not_to_be_attached()
    expect(width).to_have_value("10")
    expect(door).to_have_value("36")
    expect(page.get_by_role("button", name="Undo", exact=True)).to_be_disabled()
    for _ in range(2):
        page.get_by_role("button", name="Redo").click()
    expect(door).to_have_value("32")
    expect(width).to_have_value("11")
    page.get_by_role("button", name="Save room").last.click()
    expect(page.get_by_text("Kitchen is saved.")).to_be_visible()
    assert Room.objects.get().openings.get().width_nm == 32 * 25_400_000
