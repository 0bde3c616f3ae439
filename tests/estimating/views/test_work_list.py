"""The list of the work: a line changed in place, many marked at once, and undone."""

from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from estimating.models import Estimate, Job, Room, WorkItem
from tests.factories import make_assembly, make_estimate, make_job, make_painting, make_room, put_on

pytestmark = pytest.mark.django_db


@pytest.fixture
def job() -> Job:
    return make_job()


@pytest.fixture
def estimate(job: Job) -> Estimate:
    return make_estimate(job)


@pytest.fixture
def room(job: Job) -> Room:
    return make_room(job)


@pytest.fixture
def paint(estimate: Estimate, room: Room) -> WorkItem:
    """120 sq ft for $196.80."""
    return put_on(estimate, make_painting(), room)


def page(signed_in: Client, job: Job) -> str:
    return signed_in.get(reverse("job-work", args=[job.pk])).content.decode()


def change(signed_in: Client, item: WorkItem, **typed: str) -> Any:
    address = reverse("work-row", args=[item.estimate.job_id, item.pk])
    return signed_in.post(address, {"title": item.title, "amount": "", "price_by_hand": "", **typed})


def mark(signed_in: Client, what: str, *items: WorkItem, **more: str) -> Any:
    address = reverse("work-marked", args=[items[0].estimate.job_id])
    return signed_in.post(address, {"marked": [item.pk for item in items], "what": what, **more})


def undo(signed_in: Client, job: Job) -> str:
    return signed_in.post(reverse("work-undo", args=[job.pk]), follow=True).content.decode()


def test_a_phase_shows_what_its_work_sums_to_without_options(
    signed_in: Client, job: Job, estimate: Estimate, room: Room, paint: WorkItem
) -> None:
    put_on(estimate, paint.assembly, room, is_option=True)  # type: ignore[arg-type]
    phase = page(signed_in, job).split('class="phase-row"')[1].split("</tr>")[0]
    assert "$196.80" in phase
    assert "1.20 h" in phase


def test_what_is_counted_is_called_as_on_papers(signed_in: Client, job: Job, estimate: Estimate) -> None:
    for title, amount in (("Remove a tub", "2"), ("Install cabinets", "1")):
        item = put_on(estimate, make_assembly(title, "each"))
        change(signed_in, item, title=title, amount=amount)
    text = page(signed_in, job)
    assert ">2 tubs<span" in text
    assert ">1<span" in text


def test_a_title_a_quantity_and_a_price_are_changed_in_place(
    signed_in: Client, job: Job, paint: WorkItem
) -> None:
    assert "Cancel" in signed_in.get(reverse("work-row", args=[job.pk, paint.pk])).content.decode()
    change(signed_in, paint, title="Floor, gray", amount="60")
    text = page(signed_in, job)
    assert "Floor, gray" in text
    assert "60 sq ft" in text
    assert "$98.40" in text  # 1 gal and 0.6 h
    change(signed_in, paint, price_by_hand="250")
    text = page(signed_in, job)
    assert "$250.00" in text
    assert "120 sq ft" in text  # emptied, it is what the room gives


def test_a_wrong_quantity_is_said_beside_its_field(signed_in: Client, paint: WorkItem) -> None:
    answer = change(signed_in, paint, amount="many", price_by_hand="-1")
    assert answer.status_code == 422
    assert "isn&#x27;t a number" in answer.content.decode()
    paint.refresh_from_db()
    assert paint.price_by_hand is None


def test_marked_lines_are_made_optional_moved_and_removed(
    signed_in: Client, estimate: Estimate, room: Room, paint: WorkItem
) -> None:
    mask = put_on(estimate, make_assembly("mask"), room)
    mark(signed_in, "option", paint, mask)
    assert set(estimate.items.values_list("is_option", flat=True)) == {True}
    mark(signed_in, "in-sum", paint)
    assert estimate.items.get(is_option=False) == paint
    mark(signed_in, "move", paint, mask, phase="trim")
    assert list(estimate.items.values_list("phase", flat=True)) == ["trim", "trim"]
    mark(signed_in, "remove", paint)
    assert estimate.items.get() == mask


def test_marked_lines_are_made_one_option_under_a_name(
    signed_in: Client, job: Job, estimate: Estimate, room: Room, paint: WorkItem
) -> None:
    mask = put_on(estimate, make_assembly("mask"), room)
    mark(signed_in, "option", paint, mask, option_name="Gray floor")
    assert set(estimate.items.values_list("is_option", "option_name")) == {(True, "Gray floor")}
    assert page(signed_in, job).count("part of the option “Gray floor”") == 2
    mark(signed_in, "in-sum", mask, option_name="Gray floor")
    assert set(estimate.items.values_list("is_option", "option_name")) == {(True, "Gray floor"), (False, "")}


def test_what_is_done_to_no_line_or_to_no_phase_is_refused(
    signed_in: Client, job: Job, paint: WorkItem
) -> None:
    nothing = signed_in.post(reverse("work-marked", args=[job.pk]), {"what": "remove"})
    nowhere = mark(signed_in, "move", paint)
    assert (nothing.status_code, nowhere.status_code) == (422, 422)
    assert "Mark at least one line" in nothing.content.decode()
    assert "Choose the phase" in nowhere.content.decode()


@pytest.mark.parametrize("what", ["option", "move", "remove"])
def test_each_is_undone_with_all_that_was_typed(
    signed_in: Client, job: Job, estimate: Estimate, paint: WorkItem, what: str
) -> None:
    change(signed_in, paint, amount="60", price_by_hand="90.50")
    paint.refresh_from_db()
    before = page(signed_in, job)
    mark(signed_in, what, paint, phase="trim")
    assert "Undone" in undo(signed_in, job)
    item = estimate.items.get()
    assert (item.pk, item.phase, item.is_option) == (paint.pk, paint.phase, False)
    assert item.price_by_hand.amount == Decimal("90.50")
    assert item.overrides.get().typed == "60"
    assert item.rooms.get() == room_of(paint)
    assert "60 sq ft" in before
    assert "60 sq ft" in page(signed_in, job)
    assert "Undone" not in undo(signed_in, job)


def room_of(item: WorkItem) -> Room:
    return Room.objects.get(job=item.estimate.job_id)


def test_a_line_that_changed_since_is_left_as_it_stands(signed_in: Client, job: Job, paint: WorkItem) -> None:
    mark(signed_in, "option", paint)
    WorkItem.objects.update(title="Deck paint")
    assert "changed since" in undo(signed_in, job)
    paint.refresh_from_db()
    assert (paint.title, paint.is_option) == ("Deck paint", True)
