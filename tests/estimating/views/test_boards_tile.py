"""The page of a tiled surface: whole and cut tiles, boxes, and measured waste beside the rule's."""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from catalog.measures.lengths import NM_PER_INCH
from catalog.models import Firm, Material
from estimating.estimates.draft import read_draft
from estimating.estimates.snapshots import read_cut_sheet_snapshot
from estimating.models import WorkItem
from tests.factories import (
    add_component,
    make_assembly,
    make_estimate,
    make_firm,
    make_job,
    make_material,
    make_room,
    put_on,
)
from tests.pdf_text import text_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def item() -> WorkItem:
    """Return 12 in tile, boxes of 10 sq ft, a tenth of waste, on a floor of 10 ft 1 in by 8 ft 1 in."""
    tile = make_material("tile", "sq ft", "10", "40.00")
    tile.sheet_length_nm = tile.sheet_width_nm = 12 * NM_PER_INCH
    tile.save()
    assembly = make_assembly("tile floor")
    add_component(assembly, tile, "1 sq ft per sq ft", waste_percent=Decimal(10))
    job = make_job()
    return put_on(make_estimate(job, make_firm()), assembly, make_room(job, "10' 1\"", "8' 1\""))


def page_of(client: Client, item: WorkItem, **typed: str) -> Any:
    defaults = {
        "corner": "sw",
        "along": "x",
        "offset": "0",
        "joint_nm": "1/8",
        "spare_percent": "0",
        "pattern": "straight",
    }
    query = {**defaults, **typed} if typed else {}
    return client.get(reverse("tiles", args=[item.estimate.job_id, item.pk]), query)


def test_from_a_wall_tiles_are_counted_as_a_grid_gives_them(signed_in: Client, item: WorkItem) -> None:
    # 121 in less 1/4 hold 9 tiles and joints of 12-1/8 and 11-5/8 of a tenth; 97 less 1/4: 7 and 11-7/8
    page = page_of(signed_in, item, start="from wall").context["page"]
    assert (page.whole, page.cut) == (63, 17)
    assert page.to_buy == 80


def test_boxes_by_layout_stand_beside_those_by_the_rule(signed_in: Client, item: WorkItem) -> None:
    page = page_of(signed_in, item, start="from wall").context["page"]
    # the floor is 81.5 sq ft, 89.7 with a tenth more: nine boxes; 80 tiles are eight
    assert page.bought == "80 sq ft: 8 × 10 sq ft"
    assert page.by_area == "89.66 sq ft: 9 × 10 sq ft"
    assert page.rule_waste == "9.1%"
    assert 0 < float(page.waste.rstrip("%")) < 3


def test_spare_tile_is_bought_besides(signed_in: Client, item: WorkItem) -> None:
    assert page_of(signed_in, item, start="from wall", spare_percent="5").context["page"].to_buy == 84


def test_tiles_are_counted_by_their_thousands(signed_in: Client, item: WorkItem) -> None:
    # of 3 in with 1/8 in joints, 38 and 31 whole ones in a row: 1,178
    Material.objects.update(sheet_length_nm=3 * NM_PER_INCH, sheet_width_nm=3 * NM_PER_INCH)
    answer = page_of(signed_in, item, start="from wall")
    assert answer.context["page"].whole == 1178
    assert "1,178" in answer.content.decode()


def test_no_edge_is_left_with_less_than_a_third_of_a_tile_where_it_can_be(
    signed_in: Client, item: WorkItem
) -> None:
    assert page_of(signed_in, item).context["page"].slivers == 0
    assert page_of(signed_in, item, start="centred").context["page"].slivers == 0


def test_with_htmx_only_the_result_comes_back(signed_in: Client, item: WorkItem) -> None:
    address = reverse("tiles", args=[item.estimate.job_id, item.pk])
    page = signed_in.get(address, headers={"HX-Request": "true", "HX-Target": "tile-result"})
    assert "<html" not in page.content.decode()
    assert page.content.decode().count("<svg") == 1


def test_a_joint_that_can_not_be_read_is_refused_at_its_field(signed_in: Client, item: WorkItem) -> None:
    page = page_of(signed_in, item, start="centred", joint_nm="thick")
    assert page.status_code == 422
    assert "joint_nm" in page.context["form"].errors


def test_a_joint_as_wide_as_the_tile_says_what_would_do(signed_in: Client, item: WorkItem) -> None:
    page = page_of(signed_in, item, start="centred", joint_nm="12")
    assert page.context["page"].problem.startswith("The joint must be less than the tile")


def test_the_work_item_links_to_its_tile(signed_in: Client, item: WorkItem) -> None:
    page = signed_in.get(reverse("work-item", args=[item.estimate.job_id, item.pk]))
    assert reverse("tiles", args=[item.estimate.job_id, item.pk]) in page.content.decode()


def test_work_without_tile_has_no_such_page(signed_in: Client, item: WorkItem) -> None:
    other = put_on(item.estimate, make_assembly("sweep"), item.in_rooms.get().room)
    assert page_of(signed_in, other).status_code == 404


def test_the_page_begins_as_the_assembly_sets_its_tile(signed_in: Client, item: WorkItem) -> None:
    # A third on and 3/16 in between: 121 in less 1/4 hold other tiles in each of three courses.
    assert item.assembly is not None
    item.assembly.tile_joint_nm, item.assembly.tile_offset = 3 * NM_PER_INCH // 16, "1/3"
    item.assembly.save()
    opened = page_of(signed_in, item)
    asked = page_of(
        signed_in, item, start="centred", offset="1/3", joint_nm="3/16", reuse="on", spare_percent="5"
    )
    straight = page_of(signed_in, item, start="centred", reuse="on")
    assert (opened.context["form"]["offset"].value(), opened.context["form"]["joint_nm"].value()) == (
        "1/3",
        '3/16"',
    )
    drawn = [answer.context["page"].surfaces[0].svg for answer in (opened, asked, straight)]
    assert drawn[0] == drawn[1] != drawn[2]
    assert opened.context["page"].bought == asked.context["page"].bought


def test_where_the_assembly_says_nothing_of_its_tile_the_page_begins_with_what_is_common(
    signed_in: Client, item: WorkItem
) -> None:
    opened = page_of(signed_in, item)
    drawn = [
        answer.context["page"].surfaces[0].svg
        for answer in (opened, page_of(signed_in, item, start="centred"))
    ]
    assert drawn[0] == drawn[1]


@pytest.fixture
def tub_walls() -> WorkItem:
    """Return 3 x 6 in tile of an area that the plan gives: three walls at a tub of 60 by 30 in."""
    tile = make_material("tile", "sq ft", "10", "40.00")
    tile.sheet_length_nm, tile.sheet_width_nm = 6 * NM_PER_INCH, 3 * NM_PER_INCH
    tile.save()
    assembly = make_assembly("wall tile", measure="area", plan_measure="surround")
    add_component(assembly, tile, "1 sq ft per sq ft", waste_percent=Decimal(10))
    job = make_job()
    room = make_room(job, "8'", "5'")
    room.footprints.create(
        kind="tub",
        wall=1,
        offset_nm=0,
        length_nm=60 * NM_PER_INCH,
        depth_nm=30 * NM_PER_INCH,
        height_nm=16 * NM_PER_INCH,
    )
    return put_on(make_estimate(job, make_firm()), assembly, room)


def test_tile_at_a_tub_is_drawn_wall_by_wall(signed_in: Client, tub_walls: WorkItem) -> None:
    answer = page_of(signed_in, tub_walls)
    names = [row.name for row in answer.context["page"].surfaces]
    assert [name.split(", ")[1] for name in names] == [
        f"wall {letter} at the tub or shower" for letter in "ABC"
    ]
    assert {row.layout.slivers for row in answer.context["page"].surfaces} == {0}


def test_what_the_plan_proposes_is_marked_on_the_item_and_asked_for_no_more(
    signed_in: Client, tub_walls: WorkItem
) -> None:
    job = tub_walls.estimate.job_id
    shown = signed_in.get(reverse("work-item", args=[job, tub_walls.pk])).content.decode()
    assert "Proposed by the plan: tub and shower walls" in shown
    assert "56.67 sq ft" in shown
    listed = signed_in.get(reverse("job-work", args=[job])).content.decode()
    assert "proposed by the plan: tub and shower walls" in listed


def test_a_typed_area_takes_the_place_of_the_plan(signed_in: Client, tub_walls: WorkItem) -> None:
    tub_walls.overrides.create(measure="area", amount=Decimal(70), typed="70", reason="up to the ceiling")
    job = tub_walls.estimate.job_id
    shown = signed_in.get(reverse("work-item", args=[job, tub_walls.pk])).content.decode()
    assert "up to the ceiling" in shown
    assert "Proposed by the plan" not in shown
    assert page_of(signed_in, tub_walls).status_code == 404


def test_the_cut_sheet_shows_where_tile_starts_and_what_to_cut(
    signed_in: Client, tub_walls: WorkItem
) -> None:
    job = tub_walls.estimate.job_id
    link = reverse("cut-sheet-pdf", args=[job, tub_walls.pk])
    assert link in signed_in.get(reverse("work-item", args=[job, tub_walls.pk])).content.decode()
    answer = signed_in.get(link)
    assert answer["Content-Type"] == "application/pdf"
    text = text_of(answer.content)
    assert "wall A at the tub or shower" in text
    assert text.count("a level line") == 3
    draft = read_draft(tub_walls.estimate, Firm.current())
    (tile,) = draft.take_off.items[0].tiles.values()
    pieces = sum(layout.cut for layout in tile.layouts)
    sheet = read_cut_sheet_snapshot(tub_walls.estimate, Firm.current(), draft, tub_walls, date(2026, 11, 29))
    (listed,) = sheet["tiles"]
    assert sum(int(row["count"]) for wall in listed["surfaces"] for row in wall["cuts"]) == pieces
    assert any("silica" in caution for caution in sheet["cautions"])


def test_the_page_tries_every_pattern_and_begins_as_the_assembly_has_it(
    signed_in: Client, item: WorkItem
) -> None:
    assert item.assembly is not None
    item.assembly.tile_pattern = "herringbone-45"
    item.assembly.save()
    opened = page_of(signed_in, item)
    assert opened.context["form"]["pattern"].value() == "herringbone-45"
    (shown,) = opened.context["page"].surfaces
    assert "stands on its corner" in shown.start
    whole = {
        pattern: page_of(signed_in, item, start="centred", pattern=pattern).context["page"].whole
        for pattern in ("straight", "diagonal", "herringbone")
    }
    assert (
        whole["diagonal"] != whole["straight"] == whole["herringbone"]
    )  # square tile in herringbone is a grid
    refused = page_of(signed_in, item, start="centred", pattern="fan")
    assert refused.status_code == 422
