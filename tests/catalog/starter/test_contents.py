"""What a tradesman looks for in a shipped assembly: nothing forgotten, and nothing that undoes other work."""

from fractions import Fraction
from typing import Any

import pytest

from catalog.assemblies.expansion import expand
from catalog.assemblies.specs import AssemblySpec
from catalog.measures.room_measures import MeasureSet
from catalog.phases import PHASE_ORDER
from catalog.rows.values import CatalogReader
from tests.catalog.starter.small_catalog import entries

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]


def takes(assembly: AssemblySpec, **measured: int | Fraction) -> dict[str, Fraction]:
    """How much of each material and labor, by its code, so much of these measures takes."""
    known = {code: Fraction(amount) for code, amount in measured.items()}
    taken: dict[str, Fraction] = {}
    for requirement in expand(assembly, MeasureSet(known)):
        taken[requirement.use.code] = taken.get(requirement.use.code, Fraction(0)) + requirement.quantity
    return taken


def test_eighteen_cabinets_are_carried_in_and_unpacked_in_three_hours(shipped: CatalogReader) -> None:
    """18 x 0.15 h, and half an hour to make room: 3.2 h."""
    assert takes(shipped.assembly_by_code("receive-cabinets"), each=18) == {
        "receive-cabinet": Fraction("3.2")
    }


def test_a_permit_is_a_fee_and_four_hours_and_each_inspection_an_hour_and_a_half(
    shipped: CatalogReader,
) -> None:
    assert takes(shipped.assembly_by_code("building-permit"), each=1) == {
        "apply-for-permit": 4,
        "permit-fee": 1,
    }
    assert takes(shipped.assembly_by_code("inspections"), each=3) == {"meet-inspector": Fraction("4.5")}


def test_wet_walls_get_a_sheet_behind_the_board_or_a_membrane_on_it_and_not_both(
    shipped: CatalogReader,
) -> None:
    board = shipped.assembly_by_code("backer-wet-wall")
    assert {component.use.code for component in board.components}.isdisjoint({"vapor-sheet", "waterproofing"})
    purpose = {entry["code"]: entry.get("purpose") for entry in entries("assemblies")}
    assert purpose["vapor-sheet-walls"] == purpose["waterproof-walls"] == "keep water out of wet walls"


def test_a_membrane_on_a_floor_is_enough_to_be_turned_up_four_inches(shipped: CatalogReader) -> None:
    floor = shipped.assembly_by_code("waterproof-floor")
    # A floor of 5 x 8 ft is 40 sq ft, and 26 ft round it 4 in high 8 2/3 sq ft more. A gallon of a coat
    # covers 1604.17 x 55 % / 10 mil x 90 % = 79.4 sq ft.
    gallons = takes(floor, floor=40, floor_perimeter=26)["waterproofing"]
    assert abs(gallons - 2 * Fraction("48.667") / Fraction("79.406")) < Fraction(1, 500)


def test_a_block_between_studs_is_held_by_two_screws_at_each_end(shipped: CatalogReader) -> None:
    blocking = shipped.assembly_by_code("block-cabinets")
    bays = 9  # of 16 in, in 12 ft of wall
    assert takes(blocking, length=12)["structural-screws"] == bays * 4


def test_strapping_has_two_screws_at_each_joist(shipped: CatalogReader) -> None:
    strapping = shipped.assembly_by_code("strap-ceiling")
    # 16 x 16 ft: 12 rows by 12 joists
    assert takes(strapping, ceiling=256)["subfloor-screws"] == 12 * 12 * 2


@pytest.mark.parametrize("level", [1, 2, 3, 4])
def test_each_level_of_finish_from_the_first_tapes_joints_and_every_inside_angle(
    shipped: CatalogReader, level: int
) -> None:
    finish = shipped.assembly_by_code(f"finish-level-{level}")
    taped = {component.scales_with for component in finish.components if component.use.code == "paper-tape"}
    assert taped == {"joint", "inside_corner", "ceiling_line"}


@pytest.mark.parametrize(("level", "covered"), [(1, False), (2, True), (3, True), (4, True)])
def test_bead_is_covered_from_the_second_level_on(shipped: CatalogReader, level: int, covered: bool) -> None:
    # GA-214, level 2: one coat over fastener heads and accessories
    finish = shipped.assembly_by_code(f"finish-level-{level}")
    assert any(component.scales_with == "outside_corner" for component in finish.components) is covered


@pytest.mark.parametrize(
    ("code", "fastener"),
    [
        ("corner-bead", "drywall-nails"),
        ("hang-doors", "cabinet-screws"),
        ("vapor-sheet-walls", "sheet-staples"),
        ("tile-edge-strip", "thinset-modified"),
        ("transition-strip", "thinset"),
    ],
)
def test_what_is_fixed_has_what_fixes_it(shipped: CatalogReader, code: str, fastener: str) -> None:
    assert fastener in {component.use.code for component in shipped.assembly_by_code(code).components}


def test_a_new_door_frame_is_made_of_jambs_and_not_of_framing_lumber(
    shipped: CatalogReader,
) -> None:
    used = {component.use.code for component in shipped.assembly_by_code("hang-slab").components}
    assert "jamb-set" in used
    assert not any(code.startswith("lumber") for code in used)


def test_a_shelf_is_primed_on_both_faces(shipped: CatalogReader) -> None:
    shelves, trim = (shipped.assembly_by_code(code) for code in ("paint-shelves", "prime-trim"))
    of_shelf, of_trim = (takes(assembly, length=100)["prime-trim-coat"] for assembly in (shelves, trim))
    set_up = Fraction("0.15")
    assert of_shelf - set_up == 2 * (of_trim - set_up)


TAKEN_OUT = [entry for entry in entries("assemblies") if entry["phase"] == "take_out"]


@pytest.mark.parametrize("entry", TAKEN_OUT, ids=[entry["code"] for entry in TAKEN_OUT])
def test_what_may_hold_asbestos_is_taken_out_only_once_a_test_was_thought_of(entry: dict[str, Any]) -> None:
    asked_for = {companion["assembly"] for companion in entry.get("companions", ())}
    is_suspect = any(caution.startswith("asbestos") for caution in entry.get("cautions", ()))
    assert ("test-asbestos" in asked_for) is is_suspect


def test_no_work_waits_for_work_of_a_later_phase() -> None:
    # A job is worked phase by phase, so nobody could ever put such work in order.
    phase_of = {entry["code"]: PHASE_ORDER[entry["phase"]] for entry in entries("assemblies")}
    waiting = [
        (entry["code"], earlier["assembly"])
        for entry in entries("assemblies")
        for earlier in entry.get("after", ())
        if phase_of[earlier["assembly"]] > phase_of[entry["code"]]
    ]
    assert waiting == []


def test_a_room_is_repainted_as_painted_walls_are_and_not_as_new_board() -> None:
    (repaint,) = (entry for entry in entries("kits") if entry["code"] == "repaint-room")
    assert {"prep-walls", "repaint-walls", "repaint-ceiling"} < set(repaint["assemblies"])
    assert set(repaint["assemblies"]).isdisjoint({"paint-walls", "paint-ceiling"})
