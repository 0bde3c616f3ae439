"""From rooms and chosen work to requirements, packages, and each work item's part of their cost."""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from catalog.assemblies.specs import AssemblySpec, SheetSize
from catalog.measures.lengths import NM_PER_FOOT, NM_PER_INCH, parse_length
from catalog.measures.room_measures import DeductRule
from estimating.boards.layout_request import LayoutChoice, SurfaceRef
from estimating.boards.layouts import Boards, OwnRules
from estimating.rooms.plan import Footprint, Opening
from estimating.takeoff.takeoff import take_off
from estimating.takeoff.work import Conventions, Override, RoomUse, Work
from tests.estimating.sheet_layout.validate import validate
from tests.specs import assembly, material, operation, room, uses

PAINT = material("paint", "gal", ("1", "40.00"), ("5", "150.00"))
CEILING = assembly("ceiling paint", "ceiling", uses(PAINT, "60 sq ft per gal"))
FLOOR = assembly("floor paint", "floor", uses(PAINT, "120 sq ft per gal"))


def _work(key: str, spec: AssemblySpec, *rooms: str, **fields: Any) -> Work:
    uses = tuple(RoomUse(room) for room in rooms)
    return Work(key=key, title=key, phase="finish", assembly=spec, rooms=uses, **fields)


def test_one_material_of_two_work_items_is_pooled_before_packages_are_counted() -> None:
    result = take_off({"a": room()}, [_work("1", CEILING, "a"), _work("2", FLOOR, "a")])
    (line,) = result.materials
    assert line.purchase is not None
    assert line.required == 3
    assert (line.purchase.package_count, line.purchase.cost) == (3, Decimal("120.00"))


def test_the_purchase_goes_back_to_the_work_in_proportion_and_sums_to_the_receipt() -> None:
    result = take_off({"a": room()}, [_work("1", CEILING, "a"), _work("2", FLOOR, "a")])
    assert result.purchase_costs["1"].material_taxable == Decimal("80.00")
    assert result.purchase_costs["2"].material_taxable == Decimal("40.00")


@given(st.lists(st.integers(1, 40), min_size=1, max_size=8))
def test_shares_always_sum_to_the_receipt_to_the_cent(feet: list[int]) -> None:
    rooms = {str(index): room(f"{size}'", "7' 3-1/2\"") for index, size in enumerate(feet)}
    result = take_off(rooms, [_work(key, FLOOR, key) for key in rooms])
    (line,) = result.materials
    assert line.purchase is not None
    assert sum(line.cost_by_work.values()) == line.purchase.cost
    assert line.by_work.keys() == rooms.keys()
    assert sum(line.by_work.values()) == line.required


@given(st.integers(1, 60), st.integers(1, 60))
def test_doubling_a_rooms_area_doubles_what_its_area_drives(length: int, width: int) -> None:
    once = take_off({"a": room(f"{length}'", f"{width}'")}, [_work("1", FLOOR, "a")])
    twice = take_off({"a": room(f"{2 * length}'", f"{width}'")}, [_work("1", FLOOR, "a")])
    assert twice.materials[0].required == 2 * once.materials[0].required


def test_work_on_two_rooms_takes_the_measures_of_both() -> None:
    result = take_off({"a": room(), "b": room("5'", "5'")}, [_work("1", FLOOR, "a", "b")])
    assert result.items[0].measures.amount("floor") == 145


def test_work_on_some_walls_counts_those_walls_only() -> None:
    hang = assembly("hang", "wall_net", uses(operation("hang", "10 sq ft per hour", "sq ft")))
    work = replace(_work("1", hang), rooms=(RoomUse("a", frozenset({0, 1})),))
    assert take_off({"a": room("10'", "12'")}, [work]).items[0].hours == Fraction(22 * 8, 10)


def test_work_on_a_wall_that_its_room_lost_is_asked_about_and_not_counted_as_nothing() -> None:
    hang = assembly("hang", "wall_net", uses(operation("hang", "10 sq ft per hour", "sq ft")))
    work = replace(_work("1", hang), rooms=(RoomUse("a", frozenset({1, 4})),))
    result = take_off({"a": room("10'", "12'")}, [work])
    assert result.items[0].hours == 0
    assert result.problems == (
        f"{work.title}: {room().name} has no wall E any more: choose its walls again.",
    )


def test_a_measure_put_in_by_hand_replaces_the_measured_one() -> None:
    by_hand = (Override("floor", Fraction(60), "only the half by the door"),)
    result = take_off({"a": room()}, [_work("1", FLOOR, "a", overrides=by_hand)])
    assert result.materials[0].required == Fraction(1, 2)


def test_what_the_client_brings_is_required_and_not_bought() -> None:
    result = take_off({"a": room()}, [_work("1", FLOOR, "a", client_supplies=frozenset({"paint"}))])
    assert result.materials == ()
    assert result.items[0].requirements[0].quantity == 1


def test_an_option_is_bought_for_on_its_own_and_leaves_the_pool_alone() -> None:
    work = [_work("1", FLOOR, "a"), _work("2", CEILING, "a", is_option=True)]
    result = take_off({"a": room()}, work)
    assert result.materials[0].required == 1
    assert result.purchase_costs["2"].material_taxable == Decimal("80.00")


def test_work_that_cannot_be_taken_off_says_so_and_leaves_the_rest() -> None:
    cabinets = assembly("cabinets", "each", uses(operation("set", "2 hours each", "each"), measure="each"))
    result = take_off({"a": room()}, [_work("cabinets", cabinets, "a"), _work("floor", FLOOR, "a")])
    assert result.problems == ("cabinets: Count isn't known here: type it in by hand.",)
    assert result.materials[0].required == 1


def test_a_material_without_a_package_is_named_as_having_no_price() -> None:
    bare = assembly("bare", "floor", uses(material("sealer", "gal"), "100 sq ft per gal"))
    result = take_off({"a": room()}, [_work("1", bare, "a")])
    assert result.problems == ("sealer has no price: give it a package in the catalog.",)


def test_the_firms_rule_for_openings_reaches_the_work() -> None:
    window = Opening("window", "window", 0, parse_length("3'"), parse_length("4'"), parse_length("3'"))
    walls = assembly("walls", "wall_net", uses(material("wrap", "sq ft", ("1", "1.00")), "1 sq ft per sq ft"))
    plans = {"a": room(openings=(window,))}
    all_off = take_off(plans, [_work("1", walls, "a")])
    none_off = take_off(plans, [_work("1", walls, "a")], Conventions(DeductRule("none")))
    assert none_off.materials[0].required - all_off.materials[0].required == 12


def test_a_quick_quote_from_an_area_estimates_the_rest_of_a_square_room() -> None:
    base = assembly(
        "base",
        "floor",
        uses(material("board", "ft", ("8", "9.00")), "1 ft per ft", "base", scales_with="base"),
    )
    by_hand = (Override("floor", Fraction(144), "told on the phone"),)
    (item,) = take_off({}, [_work("1", base, overrides=by_hand)]).items
    assert item.requirements[0].quantity == 48
    assert item.requirements[0].calculation.estimated


def test_a_quick_quote_from_a_wall_area_knows_the_length_of_its_walls() -> None:
    cut = assembly(
        "cut", "wall_net", uses(operation("cut in", "48 ft per hour", "ft"), scales_with="ceiling_line")
    )
    by_hand = (Override("wall_net", Fraction(384), "told on the phone"),)
    assert take_off({}, [_work("1", cut, overrides=by_hand)]).items[0].hours == 1


BOARD = material(
    "backer", "each", ("1", "12.00"), sheet=SheetSize(5 * NM_PER_FOOT, 3 * NM_PER_FOOT, NM_PER_INCH // 2)
)
TAPE = material("tape", "ft", ("50", "6.00"))
LAY = assembly(
    "lay board",
    "floor",
    uses(BOARD, "1 each per each", measure="sheets", scales_with="sheets"),
    uses(TAPE, "1 ft per ft", measure="joint", scales_with="joint"),
    board=BOARD,
)


def test_sheets_and_joints_come_from_boards_laid_on_the_floor() -> None:
    result = take_off({"a": room("13' 4\"", "10' 8\"")}, [_work("1", LAY, "a")])
    board, tape = result.items[0].requirements
    # 142.2 sq ft in boards of 15 is 9.5: no layout takes fewer than 10
    assert board.quantity == 10
    (layout,) = result.items[0].board_layouts
    assert validate(layout.layout()) == ()
    assert tape.quantity * NM_PER_FOOT == layout.layout().joint_nm
    assert not board.calculation.estimated
    assert not tape.calculation.estimated


def test_an_area_put_in_by_hand_has_no_shape_so_that_a_rule_estimates_its_sheets() -> None:
    by_hand = (Override("floor", Fraction(1280, 9), "told on the phone"),)
    result = take_off({"a": room()}, [_work("1", LAY, "a", overrides=by_hand)])
    board, tape = result.items[0].requirements
    assert board.quantity == 11  # the invented kitchen: 142.2 sq ft and 10 % over boards of 15 sq ft
    assert board.calculation.estimated
    assert tape.calculation.estimated


def test_joints_of_an_area_put_in_by_hand_are_estimated_with_the_edge_that_the_room_gives() -> None:
    by_hand = (Override("floor", Fraction(150), "told on the phone"),)
    result = take_off({"a": room()}, [_work("1", LAY, "a", overrides=by_hand)])
    # ten boards of 15 sq ft have 80 ft around by halves; half the 44 ft around the room is no joint
    assert result.items[0].requirements[1].quantity == 80 - 22


def test_joints_where_no_room_gives_an_edge_are_estimated_as_on_a_square() -> None:
    lay = replace(LAY, measure="area")
    by_hand = (Override("area", Fraction(225), "told on the phone"),)
    result = take_off({}, [_work("1", lay, overrides=by_hand)])
    # fifteen boards have 120 ft around by halves; half the 60 ft around a square of 15 ft is no joint
    assert result.items[0].requirements[1].quantity == 120 - 30


def test_a_joint_length_put_in_by_hand_is_not_said_to_be_estimated_beside_sheets_that_are() -> None:
    by_hand = (
        Override("floor", Fraction(150), "told on the phone"),
        Override("joint", Fraction(40), "counted on the floor"),
    )
    board, tape = take_off({"a": room()}, [_work("1", LAY, "a", overrides=by_hand)]).items[0].requirements
    assert (board.calculation.estimated, tape.calculation.estimated) == (True, False)
    assert tape.quantity == 40


def test_boards_that_cannot_be_laid_by_the_rules_are_estimated_and_say_why() -> None:
    boards = Boards(rules={"backer": OwnRules(min_offset_nm=3 * NM_PER_FOOT)})
    (item,) = take_off({"a": room()}, [_work("1", LAY, "a")], boards=boards).items
    assert item.requirements[0].calculation.estimated
    assert item.boards["lay-board"].problem.startswith("Room, floor: Joints can't be 3' 0\" apart")


def test_a_sheet_bought_besides_is_bought_and_changes_nothing_else() -> None:
    plans, work = {"a": room()}, [_work("1", LAY, "a")]
    one_more = Boards(choices={SurfaceRef("a", "floor", "backer"): LayoutChoice(extra=1)})
    plain, one_sheet_more = (
        take_off(plans, work, boards=options).items[0] for options in (Boards(), one_more)
    )
    assert one_sheet_more.requirements[0].quantity == plain.requirements[0].quantity + 1
    assert one_sheet_more.requirements[1].quantity == plain.requirements[1].quantity


def test_a_joint_length_put_in_by_hand_is_kept_when_sheets_are_laid() -> None:
    by_hand = (Override("joint", Fraction(40), "counted on the floor"),)
    result = take_off({"a": room()}, [_work("1", LAY, "a", overrides=by_hand)])
    assert result.items[0].requirements[1].quantity == 40


def test_packages_too_alike_to_choose_from_leave_the_material_unpriced_and_say_so() -> None:
    odd = material("odd", "gal", ("1", "0.1"), ("9.999", "1"), ("10.007", "1.0007"))
    soaked = assembly("soaked", "floor", uses(odd, "1000 gal per sq ft"))
    result = take_off({"a": room()}, [_work("1", soaked, "a"), _work("2", FLOOR, "a")])
    assert result.materials[0].purchase is None
    assert result.problems == (
        "odd: These packages are too alike in price and too odd in size to find the cheapest mix of:"
        " leave one out.",
    )
    assert result.materials[1].purchase is not None


def test_the_set_up_of_a_job_falls_on_the_first_work_that_has_something_to_do() -> None:
    paint = assembly("paint", "floor", uses(PAINT, "120 sq ft per gal", set_up=Fraction(1, 2)))
    nothing = _work("1", paint, "a", overrides=(Override("floor", Fraction(0), "all covered"),))
    result = take_off({"a": room()}, [nothing, _work("2", paint, "a"), _work("3", paint, "a")])
    quantities = [item.requirements[0].quantity for item in result.items]
    assert quantities == [0, Fraction(3, 2), 1]


def test_the_set_up_of_a_job_is_not_charged_again_by_the_third_work_that_asks_for_it() -> None:
    glue = material("glue", "gal", ("1", "20.00"))
    first = assembly("first", "floor", uses(PAINT, "120 sq ft per gal", set_up=Fraction(1, 2)))
    other = assembly("other", "floor", uses(glue, "120 sq ft per gal", set_up=Fraction(1, 4)))
    works = [_work("1", first, "a"), _work("2", other, "a"), _work("3", first, "a")]
    items = take_off({"a": room()}, works).items
    assert [item.requirements[0].quantity for item in items] == [Fraction(3, 2), Fraction(5, 4), 1]


def test_untaxed_material_is_kept_apart_from_taxed_in_what_each_work_costs() -> None:
    permit = material("permit", "each", ("1", "95.00"), taxable=False)
    both = assembly("both", "floor", uses(PAINT, "120 sq ft per gal"), uses(permit, "1 per 120 sq ft"))
    costs = take_off({"a": room()}, [_work("1", both, "a")]).purchase_costs["1"]
    assert (costs.material_taxable, costs.material_untaxed) == (Decimal("40.00"), Decimal("95.00"))


def test_a_material_that_two_parts_of_an_assembly_use_is_bought_once_for_both() -> None:
    twice = assembly("twice", "floor", uses(PAINT, "120 sq ft per gal"), uses(PAINT, "60 sq ft per gal"))
    result = take_off({"a": room()}, [_work("1", twice, "a")])
    assert [line.required for line in result.materials] == [3]


def test_walls_behind_cabinets_are_left_out_where_the_firm_says_so() -> None:
    hang = assembly("hang", "wall_net", uses(operation("hang", "10 sq ft per hour", "sq ft")))
    run = Footprint(
        "Tall run",
        "cabinets",
        0,
        0,
        parse_length("10'"),
        parse_length("2'"),
        parse_length("8'"),
    )
    kitchen = {"a": room("10'", "12'", footprints=(run,))}
    seen, hidden = (
        take_off(kitchen, [_work("1", hang, "a")], Conventions(cabinets_hide_walls=hide)).items[0].hours
        for hide in (False, True)
    )
    assert hidden < seen == Fraction(44 * 8, 10)


def test_a_room_that_cannot_be_measured_leaves_the_others_measured() -> None:
    lost = replace(room(), legs=room().legs[:2])
    assert set(take_off({"bad": lost, "good": room()}, []).room_measures) == {"good"}


def test_each_option_is_bought_for_and_its_missing_price_is_named() -> None:
    bare = [material(name, "gal") for name in ("primer", "stain")]
    options = [
        _work(spec.name, assembly(spec.name, "floor", uses(spec, "120 sq ft per gal")), "a", is_option=True)
        for spec in bare
    ]
    problems = take_off({"a": room()}, options).problems
    assert [problem.split()[0] for problem in problems] == ["primer", "stain"]


LAY_ON_WALLS = replace(LAY, code="board-walls", measure="wall_net")


def test_no_boards_are_bought_for_walls_behind_cabinets_where_the_firm_says_so() -> None:
    run = Footprint("Run", "cabinets", 0, 0, parse_length("10'"), parse_length("2'"), parse_length("8'"))
    plans, works = {"a": room(footprints=(run,))}, [_work("1", LAY_ON_WALLS, "a")]
    seen, hidden = (
        take_off(plans, works, Conventions(cabinets_hide_walls=hide)).items[0].requirements[0].quantity
        for hide in (False, True)
    )
    assert hidden < seen


def test_boards_on_walls_of_an_area_put_in_by_hand_are_estimated_by_the_firms_rule_for_openings() -> None:
    window = Opening("window", "window", 0, parse_length("6'"), parse_length("5'"), parse_length("3'"))
    plans, by_hand = {"a": room(openings=(window,))}, (Override("wall_gross", Fraction(350), "Measured"),)
    works = [_work("1", LAY_ON_WALLS, "a", overrides=by_hand)]
    all_off, none_off = (
        take_off(plans, works, Conventions(DeductRule(kind))).items[0] for kind in ("all", "none")
    )
    assert (all_off.boards, all_off.requirements[0].calculation.estimated) == ({}, True)
    # (350 - 30) and 10 % over boards of 15 sq ft are 23.5, and without the window off 25.7
    assert [item.requirements[0].quantity for item in (all_off, none_off)] == [24, 26]
