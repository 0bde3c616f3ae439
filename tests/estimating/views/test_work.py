"""The Work place of a job, as it is used."""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from catalog.models import Companion, Kit, KitLine
from estimating.estimates.companions import missing_companions
from estimating.models import Estimate, Job, MeasureOverride, WorkItem, WorkRoom
from tests.factories import (
    add_component,
    make_assembly,
    make_estimate,
    make_job,
    make_operation,
    make_painting,
    make_room,
    put_on,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def job() -> Job:
    return make_job()


@pytest.fixture
def estimate(job: Job) -> Estimate:
    return make_estimate(job)


def test_work_put_on_a_room_shows_its_price_and_its_hours(
    signed_in: Client, job: Job, estimate: Estimate
) -> None:
    put_on(estimate, make_painting(), make_room(job))
    page = signed_in.get(reverse("job-work", args=[job.pk]))
    # 120 sq ft: 2 gal at $40.00, 1.2 h at $70.00, both with 20 % on top
    assert "$196.80" in page.content.decode()
    assert "1.20 h" in page.content.decode()


def test_a_kit_and_an_assembly_go_on_in_one_step(signed_in: Client, job: Job, estimate: Estimate) -> None:
    room, paint, mask = make_room(job), make_painting(), make_assembly("mask")
    kit = Kit.objects.create(code="floor", name="Floor")
    KitLine.objects.create(kit=kit, assembly=paint)
    signed_in.post(
        reverse("work-add", args=[job.pk]),
        {"rooms": [room.pk], "kits": [kit.pk], "assemblies": [mask.pk, paint.pk]},
    )
    items = list(estimate.items.order_by("position"))
    assert [item.title for item in items] == ["floor paint", "mask"]
    assert [item.rooms.get() for item in items] == [room, room]


def test_a_count_can_be_typed_beside_what_is_counted_by_hand(
    signed_in: Client, job: Job, estimate: Estimate
) -> None:
    cabinets = make_assembly("cabinets", "each", phase="set")
    add_component(cabinets, make_operation("set a cabinet", "2 hours each", "each"))
    signed_in.post(
        reverse("work-add", args=[job.pk]), {"assemblies": [cabinets.pk], f"amount-{cabinets.pk}": "18"}
    )
    assert "36.00" in signed_in.get(reverse("job-work", args=[job.pk])).content.decode()


def test_nothing_chosen_is_said_beside_the_choice(signed_in: Client, job: Job) -> None:
    answer = signed_in.post(reverse("work-add", args=[job.pk]), {})
    assert answer.status_code == 422
    assert "Choose at least one piece of work." in answer.content.decode()


def test_work_by_the_room_asks_for_its_rooms_where_none_is_ticked(
    signed_in: Client, job: Job, estimate: Estimate
) -> None:
    make_room(job, name="Kitchen"), make_room(job, name="Hall")
    tile, address = make_assembly("tile", "floor"), reverse("work-add", args=[job.pk])
    answer = signed_in.post(address, {"assemblies": [tile.pk]})
    assert answer.status_code == 422
    assert "Tick the rooms that this work goes on." in answer.content.decode()
    assert not estimate.items.exists()
    # a porch that nobody measured goes on without them
    signed_in.post(address, {"assemblies": [tile.pk], "without_rooms": "on"})
    assert not estimate.items.get().rooms.exists()


def test_work_counted_by_hand_goes_on_without_a_room(signed_in: Client, job: Job, estimate: Estimate) -> None:
    make_room(job, name="Kitchen"), make_room(job, name="Hall")
    pulls = make_assembly("pulls", "each")
    signed_in.post(reverse("work-add", args=[job.pk]), {"assemblies": [pulls.pk], f"amount-{pulls.pk}": "30"})
    assert estimate.items.get().title == "pulls"


def _fields(item: WorkItem, **typed: Any) -> dict[str, Any]:
    room = item.rooms.all()[0]
    return {
        "title": item.title,
        "phase": item.phase,
        "scope": "",
        f"room-{room.pk}": "on",
        "material_taxable": "on",
        **typed,
    }


@pytest.fixture
def item(job: Job, estimate: Estimate) -> WorkItem:
    return put_on(estimate, make_painting(), make_room(job))


def _post(signed_in: Client, item: WorkItem, **typed: Any) -> tuple[int, str]:
    return _send(signed_in, item, typed, headers={})


def _post_live(signed_in: Client, item: WorkItem, **typed: Any) -> tuple[int, str]:
    """Post as the page itself does while somebody types."""
    return _send(signed_in, item, typed, headers={"HX-Request": "true"})


def _send(
    signed_in: Client, item: WorkItem, typed: dict[str, Any], headers: dict[str, str]
) -> tuple[int, str]:
    address = reverse("work-item", args=[item.estimate.job_id, item.pk])
    answer = signed_in.post(address, _fields(item, **typed), headers=headers)
    return answer.status_code, answer.content.decode()


def test_a_measure_put_in_by_hand_is_kept_with_its_reason(signed_in: Client, item: WorkItem) -> None:
    _post(signed_in, item, **{"measure-floor": "60 sq ft", "reason-floor": "half is under cabinets"})
    override = item.overrides.get()
    assert (override.amount, override.reason) == (Decimal(60), "half is under cabinets")
    page = signed_in.get(reverse("work-item", args=[item.estimate.job_id, item.pk])).content.decode()
    assert "by hand" in page
    assert "half is under cabinets" in page


def test_a_measure_put_in_by_hand_wants_a_reason(signed_in: Client, item: WorkItem) -> None:
    status, page = _post(signed_in, item, **{"measure-floor": "60"})
    assert status == 422
    assert "Say why" in page
    assert 'value="60"' in page
    assert not item.overrides.exists()


def test_a_reason_wants_the_amount_that_it_is_for(signed_in: Client, item: WorkItem) -> None:
    status, page = _post(signed_in, item, **{"reason-floor": "half is under cabinets"})
    assert status == 422
    assert "Type the amount that this is the reason for" in page
    assert 'value="half is under cabinets"' in page


def test_an_amount_by_hand_is_taken_back_with_its_reason_left_standing(
    signed_in: Client, item: WorkItem
) -> None:
    _post(signed_in, item, **{"measure-floor": "60", "reason-floor": "half is under cabinets"})
    status, _ = _post(signed_in, item, **{"measure-floor": "", "reason-floor": "half is under cabinets"})
    assert status == 302
    assert not item.overrides.exists()


def test_a_day_by_which_the_client_brings_it_wants_the_tick(signed_in: Client, item: WorkItem) -> None:
    status, page = _post(signed_in, item, **{"needed-paint": "2026-12-01"})
    assert status == 422
    assert "Tick that the client brings it" in page


def test_an_amount_in_a_unit_that_does_not_fit_is_refused(signed_in: Client, item: WorkItem) -> None:
    status, page = _post(signed_in, item, **{"measure-floor": "60 gal", "reason-floor": "x"})
    assert status == 422
    assert "counted in sq ft" in page


def test_a_change_is_saved_at_once_and_the_price_comes_back(signed_in: Client, item: WorkItem) -> None:
    status, fragment = _post_live(signed_in, item, extra_hours="2")
    assert status == 200
    assert "<html" not in fragment
    assert "$364.80" in fragment  # 196.80 and 2 h at $84.00
    item.refresh_from_db()
    assert item.extra_hours == 2


def test_a_bad_change_is_said_at_its_field_and_nothing_is_saved(signed_in: Client, item: WorkItem) -> None:
    status, fragment = _post_live(signed_in, item, extra_hours="two")
    assert status == 422
    assert "id_extra_hours_problem" in fragment
    assert "isn&#x27;t a number" in fragment
    item.refresh_from_db()
    assert item.extra_hours == 0


def test_what_the_client_brings_is_not_priced(signed_in: Client, item: WorkItem) -> None:
    _, fragment = _post_live(signed_in, item, **{"supply-paint": "on", "needed-paint": "2026-12-01"})
    assert "$100.80" in fragment
    assert item.client_supplies.get().needed_by == date(2026, 12, 1)


def test_only_some_walls_can_be_chosen(signed_in: Client, job: Job, estimate: Estimate) -> None:
    room, walls = make_room(job), make_assembly("hang board", "wall_net")
    add_component(walls, make_operation("hang"))
    item = put_on(estimate, walls, room)
    _post(signed_in, item, **{f"walls-{room.pk}": ["A", "B"]})
    assert item.in_rooms.get().chosen_walls() == frozenset({0, 1})


def test_a_name_of_ten_thousand_characters_is_refused_and_comes_back(
    signed_in: Client, item: WorkItem
) -> None:
    status, page = _post(signed_in, item, title="x" * 10_000)
    assert status == 422
    assert "x" * 10_000 in page


def test_html_in_a_title_is_shown_as_text(signed_in: Client, item: WorkItem) -> None:
    _post(signed_in, item, title="<script>alert(1)</script>")
    page = signed_in.get(reverse("job-work", args=[item.estimate.job_id])).content.decode()
    assert "<script>alert" not in page
    assert "&lt;script&gt;alert" in page


def test_a_quick_line_of_hours_and_costs_is_priced(signed_in: Client, job: Job, estimate: Estimate) -> None:
    signed_in.post(
        reverse("work-line-new", args=[job.pk]),
        {
            "title": "Dumpster",
            "phase": "take_out",
            "extra_hours": "18",
            "material_cost": "465",
            "material_taxable": "",
        },
    )
    assert "$2,070.00" in signed_in.get(reverse("job-work", args=[job.pk])).content.decode()


def test_a_negative_cost_is_refused(signed_in: Client, job: Job) -> None:
    answer = signed_in.post(
        reverse("work-line-new", args=[job.pk]), {"title": "x", "phase": "trim", "material_cost": "-5"}
    )
    assert answer.status_code == 422
    assert not WorkItem.objects.exists()


def test_work_moves_within_its_phase(signed_in: Client, job: Job, estimate: Estimate) -> None:
    first, second = (put_on(estimate, make_assembly(name)) for name in ("one", "two"))
    signed_in.post(reverse("work-move", args=[job.pk, second.pk]), {"way": "up"})
    assert list(estimate.items.all()) == [second, first]


def test_a_companion_that_is_lacking_is_shown_until_added_or_set_aside(
    signed_in: Client, job: Job, estimate: Estimate
) -> None:
    paint, mask, clean = make_painting(), make_assembly("mask"), make_assembly("clean")
    room = make_room(job)
    for companion in (mask, clean):
        Companion.objects.create(assembly=paint, companion=companion)
    put_on(estimate, paint, room)
    assert [companion.assembly for companion in missing_companions(estimate)] == [clean, mask]
    signed_in.post(reverse("companion-add", args=[job.pk, mask.pk]))
    signed_in.post(reverse("companion-set-aside", args=[job.pk, clean.pk]))
    assert missing_companions(estimate) == []
    assert estimate.items.get(assembly=mask).rooms.get() == room
    assert estimate.set_aside.get() == clean


def test_another_jobs_item_is_not_found(signed_in: Client, item: WorkItem) -> None:
    other = make_job()
    assert signed_in.get(reverse("work-item", args=[other.pk, item.pk])).status_code == 404


def test_the_wall_of_work_counted_by_hand_can_be_seen_and_stays(
    signed_in: Client, job: Job, estimate: Estimate
) -> None:
    room, patch = make_room(job), make_assembly("patch", "each")
    add_component(patch, make_operation("patch"))
    item = put_on(estimate, patch, room)
    item.in_rooms.update(walls="B")
    page = signed_in.get(reverse("work-item", args=[job.pk, item.pk]))
    (shown,) = [field for field in page.context["form"] if field.name == f"walls-{room.pk}"]
    assert shown.value() == ["B"]
    _post(signed_in, item, **{f"walls-{room.pk}": shown.value()})
    assert item.in_rooms.get().walls == "B"


def test_work_that_goes_by_walls_is_put_on_the_walls_chosen(
    signed_in: Client, job: Job, estimate: Estimate
) -> None:
    room, paint, floor = make_room(job), make_assembly("paint", "wall_net"), make_assembly("tile", "floor")
    signed_in.post(
        reverse("work-add", args=[job.pk]),
        {"rooms": [room.pk], "assemblies": [paint.pk, floor.pk], f"walls-{room.pk}": ["B", "C"]},
    )
    walls = {use.item.assembly_id: use.walls for use in WorkRoom.objects.all()}
    assert walls == {paint.pk: "B,C", floor.pk: ""}


def test_a_search_without_script_keeps_what_is_chosen_and_judges_nothing(
    signed_in: Client, job: Job, estimate: Estimate
) -> None:
    room, tub = make_room(job), make_assembly("take out a tub", "each", phase="take_out")
    make_assembly("set a mirror", "each")
    answer = signed_in.post(
        reverse("work-add", args=[job.pk]),
        {
            "rooms": [room.pk],
            "assemblies": [tub.pk],
            f"amount-{tub.pk}": "2",
            "find": "roof",
            "finding": "1",
        },
    )
    form = answer.context["form"]
    found = [row.assembly.name for phase in form.by_phase() for row in phase.rows]
    assert (answer.status_code, found) == (200, ["take out a tub"])
    assert form[f"amount-{tub.pk}"].value() == "2"
    assert form["rooms"].value() == [str(room.pk)]
    assert not estimate.items.exists()


def test_demolition_finds_what_is_taken_out(signed_in: Client, job: Job) -> None:
    make_assembly("strip a floor", "floor", phase="take_out")
    make_assembly("tile a floor", "floor", phase="floor")
    answer = signed_in.post(reverse("work-add", args=[job.pk]), {"find": "demo floor", "finding": "1"})
    found = [row.assembly.name for phase in answer.context["form"].by_phase() for row in phase.rows]
    assert found == ["strip a floor"]


def test_kits_called_after_a_room_of_the_job_come_first(signed_in: Client, job: Job) -> None:
    make_room(job, name="Kitchen, end of the hall")
    for name in ("Bath floor", "End of a job", "Kitchen floor"):
        Kit.objects.create(code=name[:4], name=name)
    first, others = signed_in.get(reverse("work-add", args=[job.pk])).context["form"].kits_for_rooms()
    assert [choice.kit.name for choice in first] == ["Kitchen floor"]
    assert [choice.kit.name for choice in others] == ["Bath floor", "End of a job"]


def test_what_no_room_gives_is_counted_for_all_the_work_at_once(
    signed_in: Client, job: Job, estimate: Estimate
) -> None:
    doors, tiles, trim = (
        put_on(estimate, make_assembly(name, measure), make_room(job, name=name))
        for name, measure in (("doors", "each"), ("tiles", "area"), ("trim", "length"))
    )
    page = reverse("job-work", args=[job.pk])
    typed = {f"amount-{doors.pk}-each": "3", f"amount-{tiles.pk}-area": "2' 6\" x 7", "unknown": "1"}
    assert signed_in.post(page, typed).status_code == 302
    amounts = {override.item_id: override.amount for override in MeasureOverride.objects.all()}
    assert amounts == {doors.pk: 3, tiles.pk: Decimal("17.5")}
    wanted_still = signed_in.get(page).context["counts"].fields
    assert list(wanted_still) == [f"amount-{trim.pk}-length"]


def test_a_count_that_cannot_be_read_is_said_beside_it(
    signed_in: Client, job: Job, estimate: Estimate
) -> None:
    doors = put_on(estimate, make_assembly("doors", "each"), make_room(job))
    answer = signed_in.post(reverse("job-work", args=[job.pk]), {f"amount-{doors.pk}-each": "a few"})
    assert answer.status_code == 422
    assert "isn&#x27;t a number" in answer.content.decode()
    assert not MeasureOverride.objects.exists()
