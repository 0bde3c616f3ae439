"""Which board lies where, by which rules, and the words for it."""

import random
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from catalog.assemblies.specs import AssemblySpec, SheetSize
from catalog.measures.lengths import NM_PER_INCH
from catalog.measures.room_measures import ALL_OPENINGS
from estimating.boards.description import against_best, bought_in_words, count_in_words, reason_in_words
from estimating.boards.layout_request import LayoutChoice, LayoutRequest, SurfaceRef
from estimating.boards.layouts import (
    BoardLayout,
    Boards,
    Effort,
    OwnRules,
    assemblies_with_boards,
)
from estimating.boards.results import LayoutFigures, result_from_json, result_to_json
from estimating.rooms.measures import measure as measure_room
from estimating.rooms.plan import RoomPlan, l_shape
from estimating.sheet_layout.estimate_by_area import estimate_sheets
from estimating.sheet_layout.rules import BACKER_BOARD, DRYWALL_CEILING, DRYWALL_WALL
from estimating.takeoff.takeoff import along_cuts_ft
from tests.estimating.sheet_layout.validate import validate
from tests.specs import assembly, material, room, uses

IN, FT = NM_PER_INCH, 12 * NM_PER_INCH
BACKER = material("backer", "each", ("1", "12.00"), sheet=SheetSize(60 * IN, 36 * IN, IN // 4))
DRYWALL = material("drywall", "each", ("1", "14.00"), sheet=SheetSize(96 * IN, 48 * IN, IN // 2))
FLOOR = assembly("lay backer", "floor", uses(BACKER, scales_with="sheets"), board=BACKER)
WALLS = assembly("hang", "wall_net", uses(DRYWALL, scales_with="sheets"), board=DRYWALL)
CEILING = replace(WALLS, code="hang-ceiling", name="hang ceiling", measure="ceiling")
FLOOR_OF_A = SurfaceRef("a", "floor", "backer")


def lay(
    boards: Boards, spec: AssemblySpec, plan: RoomPlan, walls: frozenset[int] | None = None
) -> tuple[BoardLayout, ...]:
    assembly_boards = boards.lay(spec, {"a": plan}, (("a", walls),))
    assert assembly_boards.problem == ""
    return assembly_boards.layouts


def floor(length: str, width: str, **choice: Any) -> BoardLayout:
    boards = Boards(choices={FLOOR_OF_A: LayoutChoice(**choice)}, effort="first")
    return lay(boards, FLOOR, room(length, width))[0]


def test_each_wall_is_laid_on_its_own_from_the_top() -> None:
    layouts = lay(Boards(), WALLS, room("12'", "10'"))
    assert [layout.request.name for layout in layouts] == [f"Room, wall {letter}" for letter in "ABCD"]
    assert {layout.result.given.corner for layout in layouts} == {"nw"}
    # 12 x 8 ft in sheets of 4 x 8: three sheets; 10 x 8: two and a half
    assert [layout.figures.sheets for layout in layouts] == [3, 3, 3, 3]


def test_the_usual_rules_are_those_of_the_kind_of_board() -> None:
    filled = replace(WALLS, components=(*WALLS.components, uses(BACKER, scales_with="joint_volume")))
    rules = [Boards().rules_for(spec) for spec in (FLOOR, WALLS, CEILING, filled)]
    assert rules == [BACKER_BOARD, DRYWALL_WALL, DRYWALL_CEILING, BACKER_BOARD]


@pytest.mark.parametrize("spec", [FLOOR, WALLS, CEILING], ids=lambda spec: spec.name)
def test_screws_by_area_come_near_what_layouts_count(spec: AssemblySpec) -> None:
    """Over many rooms within a twentieth, in one room within a fifth; openings are left out here, as an area
    doesn't know them."""
    sizes, boards = random.Random(745), Boards(effort="first")
    both: list[tuple[Fraction, int]] = []
    for _ in range(24):
        length, width = (f"{sizes.randint(60, 200)} in" for _ in "xy")
        plan = room(length, width, height=sizes.choice(["8'", "8'", "9'"]))
        measured, layouts = measure_room(plan), lay(boards, spec, plan)
        around = measured.amount("ceiling_line")
        if spec.measure == "wall_net":
            around = 2 * (around + measured.amount("inside_corner"))
        area, rules = measured.amount(spec.measure, ALL_OPENINGS), boards.area_rules_for(spec)
        sheet = layouts[0].request.sheet
        cut = along_cuts_ft(spec.measure, measured, sheet)
        by_area = estimate_sheets(area, around, sheet, rules, cut)["fasteners"]
        both.append((by_area, sum(layout.figures.fasteners for layout in layouts)))
    assert all(abs(area / laid - 1) < Fraction(1, 5) for area, laid in both)
    over_all = Fraction(sum(area for area, _ in both)) / sum(laid for _, laid in both)
    assert abs(over_all - 1) < Fraction(1, 20)


def test_screws_of_drywall_go_into_framing_16_in_apart_where_it_is_not_known() -> None:
    (ceiling,) = lay(Boards(), CEILING, room("8'", "4'"))
    assert ceiling.figures.fasteners == 7 * 5  # 12 in apart along seven joists
    own = Boards(rules={"drywall": OwnRules(fastener_spacing_nm=6 * IN)})
    assert lay(own, CEILING, room("8'", "4'"))[0].figures.fasteners == 7 * 9
    assert own.area_rules_for(CEILING).row_spacing_nm == 16 * IN


def test_the_firms_own_rule_stands_in_place_of_the_usual_one() -> None:
    # an edge distance of 1/2 in lets the outer screws stand closer to the edge, none else moves
    boards = Boards(rules={"backer": OwnRules(edge_nm=IN // 2)})
    (board_layout,) = lay(boards, FLOOR, room("10'", "9'"))
    layout = board_layout.layout()
    first = layout.pieces[0]
    assert min(x for x, _ in first.fasteners) == first.x_nm + IN // 2
    assert validate(layout) == ()


@pytest.mark.parametrize("corner", ["sw", "se", "nw", "ne"])
def test_a_choice_is_laid_as_it_was_chosen(corner: str) -> None:
    choice = {"corner": corner, "along": "x", "first_width_nm": 18 * IN, "first_piece_nm": 40 * IN}
    layout = floor("11'", "8'", **choice).layout()
    assert validate(layout) == ()
    assert layout.given.corner == corner
    first = layout.pieces[0]
    assert (first.width_nm, first.height_nm) == (40 * IN, 18 * IN)
    assert (first.x_nm == IN // 8) == (corner[1] == "w")


def test_what_can_not_be_laid_says_on_which_surface_and_why() -> None:
    boards = Boards(choices={FLOOR_OF_A: LayoutChoice(first_width_nm=40 * IN)})
    assembly_boards = boards.lay(FLOOR, {"a": room()}, (("a", None),))
    assert assembly_boards.layouts == ()
    assert assembly_boards.problem.startswith("Room, floor: ")
    assert len(assembly_boards.requests) == 1


def test_a_key_changes_with_all_that_the_layout_depends_on_and_with_nothing_else() -> None:
    request = floor("11'", "8'").request
    others = [
        floor("11'", "8' 1\"").request,
        floor("11'", "8'", corner="ne").request,
        replace(request, rules=replace(request.rules, gap_nm=0)),
        replace(request, sheet=replace(request.sheet, thickness_nm=IN)),
    ]
    assert len({variant.key for variant in (request, *others)}) == 5
    same = replace(request, room="b", room_name="Hall", choice=LayoutChoice(extra=3))
    assert same.key == request.key


def test_a_key_stays_the_same_so_that_saved_layouts_are_found_again() -> None:
    request = floor("11'", "8'").request
    assert request.key == "7b1ed463a255aca4e304b0999bf92acd0a83b1d6fd972da0664abba520c6cdaf"
    chosen = floor("11'", "8'", corner="ne", along="y", first_width_nm=18 * IN).request
    assert chosen.key == "3984e5e0f05f61076f1b7c9c19363b1de99c86d30f6a3341aa9e5dd70a56c17a"


def test_what_is_known_by_its_key_is_not_looked_for_again() -> None:
    (layout,) = lay(Boards(effort="first"), FLOOR, room("9'", "7'"))
    known = replace(layout.result, figures=replace(layout.figures, sheets=99))
    (again,) = lay(Boards(known={layout.request.key: known}), FLOOR, room("9'", "7'"))
    assert (again.figures.sheets, again.best) == (99, True)


def test_a_first_answer_says_that_it_is_one() -> None:
    efforts: tuple[Effort, ...] = ("first", "best")
    best = [lay(Boards(effort=effort), FLOOR, room("9'", "8'"))[0].best for effort in efforts]
    assert best == [False, True]


def test_what_is_kept_as_json_comes_back_the_same() -> None:
    (layout,) = lay(Boards(effort="first"), FLOOR, room("9'", "7'"))
    assert result_from_json(result_to_json(layout.result)) == layout.result
    assert layout.measures() == layout.layout().measures()
    assert LayoutFigures.of(layout.layout()) == layout.figures


def test_tile_and_work_that_covers_no_surface_lay_no_boards() -> None:
    tile = material("tile", "sq ft", ("10", "40.00"), sheet=SheetSize(24 * IN, 12 * IN, 0))
    assert list(assemblies_with_boards(replace(FLOOR, board=tile))) == []
    assert list(assemblies_with_boards(replace(FLOOR, measure="area"))) == []
    nested = assembly("room", "floor", uses(FLOOR))
    assert list(assemblies_with_boards(nested)) == [FLOOR]


def test_the_reason_says_area_pieces_and_what_the_usual_waste_would_buy() -> None:
    layouts = lay(Boards(), FLOOR, room("13' 4\"", "10' 8\""))
    # 142.2 sq ft over 15 is 9.48: 10 by area, 10.43 with a tenth more
    assert bought_in_words(layouts) == "Bought 10 sheets, as many as area alone says."
    reason = reason_in_words(layouts)
    assert reason[0] == ("142.22 sq ft is 9.48 sheets of 5' 0\" × 3' 0\", if every scrap could be pieced in.")
    assert reason[-2] == "The usual 10% for waste would buy 11."
    assert reason[-1].startswith("None is bought for one that breaks")
    assert "No layout takes fewer." in reason


def test_more_than_the_area_says_is_named_with_what_was_bought_besides() -> None:
    layouts = lay(Boards(), WALLS, room("12'", "10'"), frozenset({1}))
    # 80 sq ft over 32 is 2.5
    assert bought_in_words(layouts) == "Bought 3 sheets, as many as area alone says."
    one_more = LayoutChoice(extra=1)
    extra = [replace(layout, request=replace(layout.request, choice=one_more)) for layout in layouts]
    assert bought_in_words(extra) == "Bought 4 sheets; area alone says 3."
    assert "1 sheet is bought besides." in reason_in_words(extra)


def test_offcuts_of_one_wall_are_not_counted_on_for_another() -> None:
    layouts = lay(Boards(), WALLS, room("12'", "10'"))
    # 11 by area, of 352 sq ft over 32
    assert bought_in_words(layouts) == "Bought 12 sheets; area alone says 11."
    assert "Offcuts of one surface aren't counted on for another." in reason_in_words(layouts)


def test_offcuts_are_praised_only_where_some_serve() -> None:
    reason = reason_in_words(lay(Boards(effort="first"), FLOOR, room("2' 6\"", "2'")))
    assert reason[1] == "1 piece of 1 has to be cut, from a sheet of its own."
    assert not any("offcuts" in sentence for sentence in reason)


def test_the_reason_names_the_corners_that_joints_keep_clear_of() -> None:
    # an L stands out in one corner, a rectangle in none; both are told to take more than their area says
    l_room = RoomPlan("Room", l_shape(12 * FT, 10 * FT, 5 * FT, 4 * FT), 8 * FT)
    for plan, words in ((l_room, ', 6" clear of corners and no piece'), (room("9'", "7'"), " and no piece")):
        layouts = [with_sheets(layout, 99) for layout in lay(Boards(effort="first"), CEILING, plan)]
        reason = reason_in_words(layouts)
        [sentence] = [sentence for sentence in reason if "too small to serve" in sentence]
        assert f"apart from course to course{words}" in sentence


def with_sheets(layout: BoardLayout, sheets: int) -> BoardLayout:
    figures = replace(layout.figures, sheets=sheets)
    return replace(layout, result=replace(layout.result, figures=figures))


def test_a_count_is_read_by_its_thousands_and_one_stands_alone() -> None:
    assert [count_in_words(number, "sheet") for number in (1, 2, 1032)] == [
        "1 sheet",
        "2 sheets",
        "1,032 sheets",
    ]


def test_a_choice_names_its_cost_in_sheets_and_dollars() -> None:
    words = against_best(1, Decimal("11.25"), Decimal("14.38"))
    assert words == "Against the best layout: 1 sheet more; $11.25 more to buy, $14.38 more on the price."
    assert against_best(0, Decimal(0), Decimal(0)) == "It costs no more than the best layout."
    assert "2 sheets fewer; $1.00 less to buy" in against_best(-2, Decimal(-1), Decimal(-1))


def test_a_request_is_addressed_by_room_surface_and_board() -> None:
    request: LayoutRequest = floor("11'", "8'").request
    assert request.surface_ref == ("a", "floor", "backer")


def test_what_an_older_edition_kept_is_looked_for_again() -> None:
    (layout,) = lay(Boards(effort="first"), FLOOR, room("9'", "7'"))
    saved = result_to_json(layout.result)
    del saved["figures"]["butt_nm"]
    assert result_from_json(saved) is None
