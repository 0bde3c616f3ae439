"""Material in sticks, bought for the pieces of the rooms that the work is done in."""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from catalog.assemblies.specs import AssemblySpec
from catalog.measures.lengths import parse_length
from estimating.linear_stock.furring import rows_of
from estimating.rooms.plan import Opening, RoomPlan, l_shape
from estimating.takeoff.purchasing import MaterialLine
from estimating.takeoff.takeoff import TakeOff, take_off
from estimating.takeoff.work import Override, RoomUse, Work
from tests.estimating.linear_stock.stick_cases import KITCHEN
from tests.specs import assembly, material, room, uses

CASING = material("casing", "ft", ("8", "14.25"), stick=True)
CASE = assembly("case", "opening_trim", uses(CASING, waste=Fraction(1, 10)))
BASE = assembly("base", "base", uses(replace(CASING, code="base", name="base")))


def _work(spec: AssemblySpec, *rooms: str, key: str = "1", **more: Any) -> Work:
    uses_of = tuple(RoomUse(plan) for plan in rooms)
    return Work(key=key, title="Casing", phase="trim", assembly=spec, rooms=uses_of, **more)


def _taken(*work: Work, **plans: RoomPlan) -> TakeOff:
    return take_off(plans, work)


def _line(*work: Work, **plans: RoomPlan) -> MaterialLine:
    (line,) = _taken(*work, **plans).materials
    return line


def test_casing_in_sticks_is_bought_by_its_cut_list() -> None:
    line = _line(_work(CASE, "a"), a=KITCHEN)
    assert line.by_length.package_count == 7
    assert (line.purchase.package_count, line.purchase.cost) == (8, Decimal("114.00"))
    assert line.purchase.bought == 64


def test_what_is_required_are_the_pieces_and_what_is_left_is_the_rest_of_the_sticks() -> None:
    # 4 legs of 82-1/4 in, 2 heads of 40-1/2, and of the window 2 x 44-1/2 and 2 x 64-1/2
    line = _line(_work(CASE, "a"), a=KITCHEN)
    assert line.required == Fraction(4 * 329 + 2 * 162 + 2 * 178 + 2 * 258, 4 * 12)
    assert line.required + line.purchase.left_over == 64
    assert line.purchase.required == line.required


def test_the_same_material_not_marked_is_bought_by_length_as_ever() -> None:
    plain = assembly("case", "opening_trim", uses(replace(CASING, stick=False), waste=Fraction(1, 10)))
    line = _line(_work(plain, "a"), a=KITCHEN)
    assert (line.purchase.package_count, line.cuts, line.by_length) == (7, None, None)


def test_both_faces_of_a_door_take_its_pieces_twice() -> None:
    twice = assembly("case", "opening_trim", uses(CASING, times=2, waste=Fraction(1, 10)))
    line = _line(_work(twice, "a"), a=KITCHEN)
    assert len(line.cuts.pieces) == 20


def test_the_stocks_width_reaches_the_miters() -> None:
    wide = assembly("case", "opening_trim", uses(replace(CASING, stick_width_nm=parse_length('3-1/2"'))))
    pieces = _line(_work(wide, "a"), a=KITCHEN).cuts.pieces
    assert max(piece.length_nm for piece in pieces) == parse_length('83-1/2"')


def test_work_on_some_walls_takes_the_pieces_of_those_walls() -> None:
    work = replace(_work(BASE), rooms=(RoomUse("a", frozenset({0, 1})),))
    assert [piece.where for piece in _line(work, a=room("8'", "7'")).cuts.pieces] == ["wall A", "wall B"]


def test_offcuts_of_one_room_serve_another() -> None:
    # three runs of 2'-6" come out of one stick of 8 ft, whichever rooms they are in
    narrow = {key: room("2' 6\"", "8'") for key in "abc"}
    works = [replace(_work(BASE, key=key), rooms=(RoomUse(key, frozenset({0})),)) for key in "abc"]
    assert _line(*works, **narrow).purchase.package_count == 1


@given(st.lists(st.integers(20, 190), min_size=1, max_size=5))
def test_the_cost_goes_back_to_the_work_to_the_cent(inches: list[int]) -> None:
    plans = {f"r{place}": room(f'{size}"', "6'") for place, size in enumerate(inches)}
    line = _line(*(_work(BASE, key, key=key) for key in plans), **plans)
    assert sum(line.cost_by_work.values()) == line.purchase.cost
    assert sum(line.by_work.values()) == line.required


def test_work_without_a_room_is_bought_by_length_and_says_so() -> None:
    by_hand = (Override("opening_trim", Fraction(30), "from the old estimate"),)
    line = _line(_work(CASE, overrides=by_hand))
    assert line.purchase.package_count == 5
    assert line.not_cut == "Casing is done in no room, so that its pieces aren't known."


def test_a_length_typed_by_hand_is_bought_by_length_and_says_so() -> None:
    by_hand = (Override("opening_trim", Fraction(30), "only the doors"),)
    line = _line(_work(CASE, "a", overrides=by_hand), a=KITCHEN)
    assert line.purchase.package_count == 5
    assert line.not_cut == "Opening trim of Casing was typed by hand, so that its pieces aren't known."


def test_what_isnt_used_foot_for_foot_is_bought_by_length_and_says_so() -> None:
    half = assembly("case", "opening_trim", uses(CASING, "0.5 ft per ft", measure="opening_trim"))
    line = _line(_work(half, "a"), a=KITCHEN)
    assert line.not_cut == "Casing doesn't ask for a foot of it for each foot of opening trim."


def test_an_opening_wider_than_the_longest_stick_is_said_and_bought_by_length() -> None:
    patio = Opening("Patio door", "door", 0, parse_length("8'"), parse_length('80"'))
    line = _line(_work(CASE, "a"), a=room("13'", "10'", openings=(patio,)))
    assert line.not_cut.startswith("Room: Patio door, head, 8' 4-1/2\", is longer than the longest stick")
    assert line.purchase.bought >= line.required


def test_a_material_in_sticks_without_a_price_is_named_as_ever() -> None:
    bare = assembly("case", "opening_trim", uses(replace(CASING, offers=())))
    taken = _taken(_work(bare, "a"), a=KITCHEN)
    assert taken.problems == ("casing has no price: give it a package in the catalog.",)


def test_an_option_has_a_cut_list_of_its_own() -> None:
    taken = _taken(_work(CASE, "a"), _work(CASE, "a", key="2", is_option=True), a=KITCHEN)
    assert taken.purchase_costs["1"].material_taxable == Decimal("114.00")
    assert taken.purchase_costs["2"].material_taxable == Decimal("114.00")


def test_what_the_client_brings_is_not_in_the_cut_list() -> None:
    brought = _work(CASE, "a", key="2", client_supplies=frozenset({"casing"}))
    assert _line(_work(CASE, "a"), brought, a=KITCHEN).purchase.package_count == 8


STRAPPING = material("strapping", "ft", ("8", "4.10"), stick=True)
STRAP = assembly("strap", "ceiling", uses(STRAPPING, "0.75 ft per sq ft", "ceiling", waste=Fraction(1, 10)))


def test_strapping_is_rows_along_the_longer_side_of_the_ceiling() -> None:
    # 0.75 ft a sq ft is a row at every 16 in
    pieces = _line(_work(STRAP, "a"), a=room("7' 6\"", "10' 8\"")).cuts.pieces
    assert [piece.where for piece in pieces].count("row 1, part 1 of 2") == 1
    assert {piece.where.split(",")[0] for piece in pieces} == {f"row {number}" for number in range(1, 8)}
    # across the 7'-6" there are rows at 0, 16, ... 80 and 90 in, 128 in long each and 3/4 in lapped
    assert sum(piece.length_nm for piece in pieces) == 7 * parse_length('128-3/4"')


def test_rows_of_an_l_stop_where_the_ceiling_does() -> None:
    legs = l_shape(parse_length("8'"), parse_length("7'"), parse_length("3'"), parse_length("3'"))
    plan = RoomPlan("Hall", legs, parse_length("8'"))
    lengths = [piece.length_nm for piece in rows_of(plan, parse_length("2'"))]
    # from the narrow end, the foot of the L: rows at 0 and 2 ft are 5 ft long, at 4 and 6 and at 7 ft 8
    assert lengths == [parse_length(length) for length in ("5'", "5'", "8'", "8'", "8'")]


def test_strapping_for_anything_but_a_ceiling_is_bought_by_length() -> None:
    wall = assembly("fur", "wall_gross", uses(STRAPPING, "0.75 ft per sq ft", "wall_gross"))
    line = _line(_work(wall, "a"), a=room("7' 6\"", "10' 8\""))
    assert line.not_cut.startswith("Casing goes by walls, ")


def test_rows_too_near_to_each_other_are_bought_by_length() -> None:
    near = assembly("strap", "ceiling", uses(STRAPPING, "3 ft per sq ft", "ceiling"))
    line = _line(_work(near, "a"), a=room())
    assert line.not_cut == "Rows nearer than 6 in to each other aren't cut from a list."


def test_work_whose_pieces_are_not_known_is_bought_by_length_beside_what_is_cut() -> None:
    door = assembly("door", "doors", uses(CASING, "17 ft each", "doors"))
    # the kitchen's casing is 8 sticks by cut list, 7 by length; its one door takes 17 ft more, 3 sticks
    line = _line(_work(CASE, "a"), replace(_work(door, "a", key="2"), title="Doors"), a=KITCHEN)
    assert (line.cuts.count, line.by_length.package_count, line.purchase.package_count) == (8, 7, 11)
    assert line.purchase.cost == 11 * Decimal("14.25")
    assert line.by_work == {"1": Fraction(157, 3), "2": 17}
    assert line.required + line.purchase.left_over == 88
    assert line.why_sticks().endswith(
        "The rest is bought by length. Doors goes by doors, from which its pieces aren't known."
    )


def test_an_opening_no_stick_yields_turns_all_to_length() -> None:
    patio = Opening("Patio door", "door", 0, parse_length("8'"), parse_length('80"'))
    line = _line(
        _work(CASE, "a"), _work(CASE, "b", key="2"), a=KITCHEN, b=room("13'", "10'", openings=(patio,))
    )
    assert line.cuts is None
    assert "is longer than the longest stick" in line.not_cut
