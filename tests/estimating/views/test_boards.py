"""The pages of boards: seeing how they lie, deciding it by hand, rules of the firm, and the cut sheet."""

import re
from decimal import Decimal
from html import unescape
from typing import TYPE_CHECKING

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from catalog.measures.lengths import NM_PER_INCH, parse_length
from catalog.models import Assembly, Material
from estimating.estimates.draft import read_draft
from estimating.estimates.saved_layouts import SAVED_PER_SURFACE
from estimating.models import (
    BoardChoice,
    BoardRules,
    BoardSize,
    KeptLayout,
    MeasureOverride,
    WorkItem,
    WorkRoom,
)
from estimating.snapshots.cut_sheet import CutSheetHeader, cut_sheet_snapshot
from estimating.snapshots.wording import DocumentParty
from tests.factories import (
    TODAY,
    add_component,
    make_assembly,
    make_estimate,
    make_firm,
    make_job,
    make_material,
    make_room,
    put_on,
)
from tests.pdf_text import pages_of

if TYPE_CHECKING:
    from django.test.client import _MonkeyPatchedWSGIResponse as TestResponse

pytestmark = pytest.mark.django_db
IN = NM_PER_INCH


@pytest.fixture
def backer() -> Material:
    material = make_material("backer", "each", "1", "10.00")
    material.sheet_length_nm, material.sheet_width_nm, material.thickness_nm = 60 * IN, 36 * IN, IN // 4
    material.save()
    return material


@pytest.fixture
def lay_backer(backer: Material) -> Assembly:
    assembly = make_assembly("lay backer", board=backer)
    add_component(assembly, backer, "1 each per each", scales_with="sheets")
    return assembly


@pytest.fixture
def item(lay_backer: Assembly) -> WorkItem:
    """Return backer board on the floor of a kitchen of 13 ft 4 in by 10 ft 8 in."""
    job = make_job()
    return put_on(make_estimate(job, make_firm()), lay_backer, make_room(job, "13' 4\"", "10' 8\""))


def board_of(item: WorkItem, url_name: str = "board", surface: str = "floor") -> str:
    room = item.in_rooms.get().room_id
    return reverse(url_name, args=[item.estimate.job_id, item.pk, room, surface, "backer"])


def assembly_of(item: WorkItem) -> Assembly:
    assert item.assembly is not None
    return item.assembly


def text_of(page: "TestResponse") -> str:
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", page.content.decode())).split())


def total(item: WorkItem) -> Decimal:
    return read_draft(item.estimate, make_firm()).priced.total


def test_the_work_item_says_what_was_bought_and_links_to_the_boards(
    signed_in: Client, item: WorkItem
) -> None:
    page = signed_in.get(reverse("work-item", args=[item.estimate.job_id, item.pk]))
    assert "Bought 10 sheets, as many as area alone says." in text_of(page)
    assert board_of(item) in page.content.decode()


def test_the_board_page_draws_the_floor_and_lists_every_piece(signed_in: Client, item: WorkItem) -> None:
    page = signed_in.get(board_of(item))
    assert page.status_code == 200
    assert page.content.decode().count('class="board-piece') == 15
    assert "142.22 sq ft is 9.48 sheets" in text_of(page)
    assert "IRC Table R602.3(2)" in text_of(page)


def test_many_surfaces_are_folded_so_that_the_drawing_comes_first(signed_in: Client, item: WorkItem) -> None:
    address = board_of(item)
    for _ in range(5):
        WorkRoom.objects.create(item=item, room=make_room(item.estimate.job, "2'", "3'"))
    assert "surfaces of this work" not in text_of(signed_in.get(address))
    WorkRoom.objects.create(item=item, room=make_room(item.estimate.job, "2'", "3'"))
    assert "All 7 surfaces of this work" in text_of(signed_in.get(address))


def test_screws_are_shown_when_asked_for(signed_in: Client, item: WorkItem) -> None:
    assert "board-fastener" not in signed_in.get(board_of(item)).content.decode()
    assert "board-fastener" in signed_in.get(board_of(item) + "?screws=1").content.decode()


def test_a_choice_is_stored_and_the_page_says_what_it_costs(signed_in: Client, item: WorkItem) -> None:
    # courses of 24, 36, 36 and 31 in: no two lie side by side in a board of 36, and each is 13 ft 4 in of
    # 5 ft boards long, so that four of them take 10.7 boards
    before = total(item)
    posted = {"corner": "ne", "along": "x", "first_width_nm": "24", "first_piece_nm": "", "extra": "0"}
    assert signed_in.post(board_of(item), posted).status_code == 302
    stored = BoardChoice.objects.get()
    assert (stored.corner, stored.along, stored.first_width_nm) == ("ne", "x", 24 * IN)
    words = text_of(signed_in.get(board_of(item)))
    assert "Bought 11 sheets; area alone says 10." in words
    assert "1 sheet more; $10.00 more to buy, $12.00 more on the price." in words
    assert total(item) - before == Decimal("12.00")
    assert "from the upper right corner" in signed_in.get(board_of(item)).content.decode()


def test_one_more_is_bought_by_a_button_and_the_price_moves_by_a_board(
    signed_in: Client, item: WorkItem
) -> None:
    before = total(item)
    signed_in.post(board_of(item), {"extra": "0", "one_more": "1"})
    signed_in.post(board_of(item), {"extra": "1", "one_more": "1"})
    assert BoardChoice.objects.get().extra == 2
    assert total(item) - before == Decimal("24.00")  # two boards at $10.00, and 20 % on top
    words = text_of(signed_in.get(board_of(item)))
    assert "Bought 12 sheets; area alone says 10." in words
    assert "Against the best layout: 2 sheets more; $20.00 more to buy" in words


def test_with_htmx_a_change_is_saved_and_only_the_result_and_the_price_come_back(
    signed_in: Client, item: WorkItem
) -> None:
    live = {"HX-Request": "true", "HX-Target": "board-result"}
    page = signed_in.post(board_of(item), {"extra": "1"}, headers=live)
    assert BoardChoice.objects.get().extra == 1
    assert "<html" not in page.content.decode()
    assert "Bought 11 sheets" in text_of(page)
    assert 'id="money-foot"' in page.content.decode()


@pytest.mark.parametrize(
    ("field", "typed", "words"),
    [
        ("first_width_nm", "40", "Type at most 3' 0\", the width of a sheet."),
        ("first_piece_nm", "6'", "Type at most 5' 0\", the length of a sheet."),
        ("first_width_nm", "wide", "wide"),
        ("extra", "fifty-one", "isn't a whole number"),
        ("corner", "top", "Choose one of those offered."),
    ],
)
def test_what_can_not_be_is_refused_beside_the_field(
    signed_in: Client, item: WorkItem, field: str, typed: str, words: str
) -> None:
    page = signed_in.post(board_of(item), {"extra": "0", field: typed})
    assert page.status_code == 422
    assert words in page.context["form"].errors[field][0]
    assert not BoardChoice.objects.exists()


def test_other_starts_are_shown_when_asked_for(signed_in: Client, item: WorkItem) -> None:
    page = signed_in.get(board_of(item) + "?starts=1")
    starts = page.context["starts"]
    assert len(starts) == 8
    assert min(start.sheets for start in starts) == 10
    assert {start.words for start in starts if start.sheets == 10} == {"none more"}


def test_a_first_answer_is_optimized_once_and_saved(signed_in: Client, item: WorkItem) -> None:
    job = item.estimate.job_id
    assert "A better layout is looked for" in text_of(signed_in.get(reverse("job-work", args=[job])))
    page = signed_in.post(
        reverse("boards-best", args=[job, item.estimate_id]), headers={"HX-Request": "true"}
    )
    assert (page.status_code, page.headers["HX-Trigger"]) == (204, "better-found")
    assert KeptLayout.objects.count() == 1
    for url_name in ("job-work", "job-price"):
        assert "is looked for" not in text_of(signed_in.get(reverse(url_name, args=[job])))


def test_without_javascript_the_best_is_looked_for_by_a_button_that_leads_back(
    signed_in: Client, item: WorkItem
) -> None:
    best = reverse("boards-best", args=[item.estimate.job_id, item.estimate_id])
    assert signed_in.post(best, {"back": board_of(item)}).headers["Location"] == board_of(item)
    away = signed_in.post(best, {"back": "https://elsewhere.example.com/"})
    assert away.headers["Location"] == reverse("job-work", args=[item.estimate.job_id])


def test_another_estimate_of_the_job_is_optimized_too(signed_in: Client, item: WorkItem) -> None:
    other = make_estimate(item.estimate.job)
    put_on(other, assembly_of(item), item.in_rooms.get().room)
    signed_in.post(reverse("boards-best", args=[item.estimate.job_id, other.pk]))
    assert not read_draft(other, make_firm(), "first").not_yet_optimized


def test_documents_lay_the_best_and_save_it(item: WorkItem) -> None:
    read_draft(item.estimate, make_firm())
    saved = KeptLayout.objects.get()
    assert saved.found["figures"]["sheets"] == 10
    with CaptureQueriesContext(connection) as queries:
        read_draft(item.estimate, make_firm())
    assert not any("INSERT" in query["sql"] for query in queries)


def test_a_room_that_changes_is_laid_anew_and_only_the_latest_layouts_stay(item: WorkItem) -> None:
    room = item.in_rooms.get().room
    for feet in range(5, 5 + SAVED_PER_SURFACE + 2):
        room.legs = [[parse_length(f"{feet}'"), "90"], [parse_length("4'"), "90"]] * 2
        room.save()
        sheets = read_draft(item.estimate, make_firm()).take_off.items[0].board_layouts[0].figures.by_area
        assert sheets == -(-feet * 4 // 15)
    assert KeptLayout.objects.count() == SAVED_PER_SURFACE


def test_the_firms_own_rules_are_stored_with_their_source(signed_in: Client, item: WorkItem) -> None:
    page = signed_in.post(board_of(item, "board-rules"), {"edge_nm": "1/2"})
    assert page.status_code == 422
    assert "Say where these rules come from" in page.context["form"].errors["source"][0]
    posted = {"edge_nm": "1/2", "min_offset_nm": "18", "source": "The maker's sheet of 2026"}
    assert signed_in.post(board_of(item, "board-rules"), posted).status_code == 302
    assert BoardRules.objects.get().edge_nm == IN // 2
    words = text_of(signed_in.get(board_of(item)))
    assert "the firm's own; usual is 2\"" in words
    assert "Source: The maker's sheet of 2026." in words


@pytest.mark.parametrize(
    ("field", "typed", "words"),
    [
        ("min_offset_nm", "40", "Joints can't be"),
        ("min_piece_nm", "4'", "wider than the sheet itself"),
        ("fastener_spacing_nm", "0", ""),
        ("fastener_spacing_nm", "0.001", 'at least 1" apart'),
    ],
)
def test_rules_that_contradict_each_other_are_refused(
    signed_in: Client, item: WorkItem, field: str, typed: str, words: str
) -> None:
    page = signed_in.post(board_of(item, "board-rules"), {field: typed, "source": "mine"})
    assert page.status_code == 422
    errors = page.context["form"].errors
    assert words in " ".join(text for texts in errors.values() for text in texts)
    assert not BoardRules.objects.exists()


def test_a_board_that_is_not_there_is_not_found(signed_in: Client, item: WorkItem) -> None:
    assert signed_in.get(board_of(item, surface="wall-A")).status_code == 404
    other = put_on(make_estimate(make_job(), make_firm()), assembly_of(item))
    address = [other.estimate.job_id, other.pk, item.in_rooms.get().room_id, "floor", "backer"]
    assert signed_in.get(reverse("board", args=address)).status_code == 404


def test_an_area_put_in_by_hand_has_no_boards_to_show_and_no_cut_sheet(
    signed_in: Client, item: WorkItem
) -> None:
    MeasureOverride.objects.create(item=item, measure="floor", amount=90, typed="90", reason="half")
    address = [item.estimate.job_id, item.pk]
    assert "Boards" not in text_of(signed_in.get(reverse("work-item", args=address)))
    page = signed_in.get(reverse("cut-sheet-pdf", args=address))
    assert page.status_code == 409
    assert "nothing to lay or to cut" in text_of(page)


def test_the_cut_sheet_lists_every_piece_and_warns_of_dust(item: WorkItem) -> None:
    draft = read_draft(item.estimate, make_firm())
    head = CutSheetHeader(
        DocumentParty("Tolliver Room & Tile"), DocumentParty("Okonjo"), "Kitchen", "418 Larkspur Lane", TODAY
    )
    sheet = cut_sheet_snapshot(head, draft, str(item.pk))
    (surface,) = sheet["boards"][0]["surfaces"]
    assert [row["number"] for row in surface["pieces"]] == [str(number) for number in range(1, 16)]
    assert any("29 CFR 1926.1153" in text for text in sheet["cautions"])
    assert any("eye and ear" in text for text in sheet["cautions"])


def test_the_cut_sheet_is_a_pdf(signed_in: Client, item: WorkItem) -> None:
    page = signed_in.get(reverse("cut-sheet-pdf", args=[item.estimate.job_id, item.pk]))
    assert page.headers["Content-Type"] == "application/pdf"
    assert pages_of(page.content)


def test_the_number_of_queries_does_not_grow_with_boards(signed_in: Client, item: WorkItem) -> None:
    estimate = item.estimate
    work = reverse("job-work", args=[estimate.job_id])

    def queries() -> int:
        with CaptureQueriesContext(connection) as captured:
            assert signed_in.get(work).status_code == 200
        return len(captured)

    few = queries()
    for number in range(12):
        put_on(estimate, assembly_of(item), make_room(estimate.job, "4'", "5'", name=f"Closet {number}"))
    assert queries() == few


@pytest.fixture
def longer(backer: Material) -> Material:
    """Return the same board 8 ft long at $15.00."""
    board = make_material("backer 8", "each", "1", "15.00")
    board.sheet_length_nm, board.sheet_width_nm, board.thickness_nm = 96 * IN, 36 * IN, IN // 4
    backer.sizes_of = board.sizes_of = "1/4 in backer"
    board.save()
    backer.save()
    return board


def test_other_sizes_of_a_board_are_shown_with_what_they_do_to_the_price(
    signed_in: Client, item: WorkItem, longer: Material
) -> None:
    assert "What would longer or shorter boards take?" in text_of(signed_in.get(board_of(item)))
    long, short = signed_in.get(f"{board_of(item)}?sizes=1").context["sizes"]
    # 142.2 sq ft are 6 sheets of 24 at least: $90.00 for $100.00, with 20 % on top
    assert (long.name, long.sheets, long.words, long.here) == (
        "backer 8",
        6,
        "$12.00 less on the price",
        False,
    )
    assert (short.name, short.sheets, short.words, short.here) == ("backer", 10, "as it is", True)


def test_another_size_is_laid_throughout_the_job_and_can_be_undone(
    signed_in: Client, item: WorkItem, longer: Material
) -> None:
    other = put_on(item.estimate, assembly_of(item), make_room(item.estimate.job, "9'", "8'"))
    answer = signed_in.post(board_of(item, "board-size"), {"instead": longer.code})
    address = answer.headers["Location"]
    assert address == board_of(item).replace("/backer/", f"/{longer.code}/")
    draft = read_draft(item.estimate, make_firm(), "first")
    assert [line.material.name for line in draft.take_off.materials] == ["backer 8"]
    layouts = [layout for quantities in draft.take_off.items for layout in quantities.board_layouts]
    assert {layout.request.board.name for layout in layouts} == {"backer 8"}
    assert len(draft.take_off.items) == len((item, other))
    signed_in.post(address + "size/", {"instead": "backer"})
    assert not BoardSize.objects.exists()


def test_a_board_that_is_no_size_of_this_one_is_refused(
    signed_in: Client, item: WorkItem, longer: Material
) -> None:
    make_material("plywood", "each", "1", "30.00")
    assert signed_in.post(board_of(item, "board-size"), {"instead": "plywood"}).status_code == 404
    assert not BoardSize.objects.exists()


def test_work_that_buys_no_board_says_only_that_its_joints_count(
    signed_in: Client, item: WorkItem, backer: Material
) -> None:
    tape = make_assembly("tape backer", board=backer)
    add_component(tape, make_material("tape", "ft", "50", "5.00"), "1 ft per ft", scales_with="joint")
    taping = put_on(item.estimate, tape, item.in_rooms.get().room)
    page = text_of(signed_in.get(reverse("work-item", args=[item.estimate.job_id, taping.pk])))
    assert "Tape and compound follow the joints between these boards." in page
    assert "Bought 10 sheets" not in page


def test_the_cut_sheet_shows_the_fasteners_on_demand(signed_in: Client, item: WorkItem) -> None:
    draft = read_draft(item.estimate, make_firm())
    head = CutSheetHeader(
        DocumentParty("Tolliver Room & Tile"), DocumentParty("Okonjo"), "Kitchen", "", TODAY
    )
    drawn = [
        cut_sheet_snapshot(head, draft, str(item.pk), screws)["boards"][0]["surfaces"][0]["svg"]
        for screws in (False, True)
    ]
    assert ["board-fastener" in svg for svg in drawn] == [False, True]
    page = text_of(signed_in.get(f"{board_of(item)}?screws=1"))
    assert "Cut sheet (PDF), with fasteners" in page


def test_a_metric_firm_reads_of_centimeters(signed_in: Client, item: WorkItem) -> None:
    firm = make_firm()
    firm.units = firm.Units.METRIC
    firm.save()
    assert "Such as 45 for a board ripped in half." in text_of(signed_in.get(board_of(item)))
