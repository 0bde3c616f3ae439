"""The pieces of a room that are cut from sticks."""

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.measures.lengths import NM_PER_INCH, feet_from_nm, parse_length
from estimating.linear_stock.pieces import CannotCut, Piece, StickRules, in_parts, pieces_of
from estimating.rooms.measures import measure
from estimating.rooms.plan import Column, Footprint, Opening, RoomPlan, l_shape
from tests.specs import inches, room

DOOR = Opening("Back door", "door", 0, inches("36"), inches("80"))
WINDOW = Opening("Window", "window", 1, inches("60"), inches("40"), sill_nm=inches("42"))
NO_MITERS = StickRules(casing_width_nm=0, crown_width_nm=0, corner_nm=0)


def said(measured: str, plan: RoomPlan, walls: frozenset[int] | None = None) -> list[tuple[str, Fraction]]:
    """Where each piece belongs and its length in inches."""
    pieces = pieces_of(measured, plan, walls)
    return [(piece.where, Fraction(piece.length_nm, NM_PER_INCH)) for piece in pieces]


def test_a_doors_legs_grow_by_one_miter_and_its_head_by_two() -> None:
    # casing of 2-1/4 in: 80 + 2-1/4, and 36 + 2 x 2-1/4
    assert said("opening_trim", room(openings=(DOOR,))) == [
        ("Back door, left leg", Fraction("82.25")),
        ("Back door, right leg", Fraction("82.25")),
        ("Back door, head", Fraction("40.5")),
    ]


def test_a_window_is_cased_on_four_sides_each_with_two_miters() -> None:
    assert said("opening_trim", room(openings=(WINDOW,))) == [
        ("Window, left side", Fraction("44.5")),
        ("Window, right side", Fraction("44.5")),
        ("Window, head", Fraction("64.5")),
        ("Window, bottom", Fraction("64.5")),
    ]


def test_a_cased_opening_above_the_floor_has_four_sides_too() -> None:
    hatch = Opening("Hatch", "cased", 0, inches("30"), inches("24"), sill_nm=inches("40"))
    assert len(pieces_of("opening_trim", room(openings=(hatch,)))) == 4


def test_the_stocks_own_width_is_what_a_miter_adds() -> None:
    wide = StickRules().with_width(inches("3-1/2"))
    head = pieces_of("opening_trim", room(openings=(DOOR,)), rules=wide)[2]
    assert head.length_nm == inches("36") + 2 * inches("3-1/2")


def test_casing_is_never_pieced_together() -> None:
    assert not any(piece.may_join for piece in pieces_of("opening_trim", room(openings=(DOOR, WINDOW))))


def test_base_runs_from_a_corner_to_a_door_and_on_to_the_next_corner() -> None:
    plan = room("10'", "12'", openings=(replace(DOOR, offset_nm=inches("24")),))
    assert said("base", plan, frozenset({0})) == [
        ("wall A, corner to Back door", 24),
        ("wall A, Back door to corner", 60),
    ]


def test_a_door_without_an_offset_stands_in_the_middle_of_its_wall_as_it_is_drawn() -> None:
    plan = room("10'", "12'", openings=(DOOR,))
    assert [length for _, length in said("base", plan, frozenset({0}))] == [42, 42]


def test_a_window_doesnt_stop_base_but_is_spread_beside_a_door_as_it_is_drawn() -> None:
    # 120 in less 36 and 30 leaves three gaps of 18 in; the window is the second and base runs below it
    small = replace(WINDOW, wall=0, width_nm=inches("30"))
    plan = room("10'", "12'", openings=(DOOR, small))
    assert [length for _, length in said("base", plan, frozenset({0}))] == [18, 66]


def test_base_stops_at_fixed_cabinets_that_take_it_off() -> None:
    cabinets = Footprint("Sink run", "cabinets", 0, inches("12"), inches("48"), inches("24"), off_base=True)
    plan = room("10'", "12'", footprints=(cabinets, replace(cabinets, wall=1, off_base=False)))
    assert said("base", plan, frozenset({0, 1})) == [
        ("wall A, corner to Sink run", 12),
        ("wall A, Sink run to corner", 60),
        ("wall B", 144),
    ]


def test_cabinets_without_an_offset_are_pushed_past_a_door_so_that_no_base_is_lost() -> None:
    # from the corner 42 in to the door, and the other 30 in behind it: 12 in of base are left
    cabinets = Footprint("Run", "cabinets", 0, None, inches("72"), inches("24"), off_base=True)
    plan = room("10'", "12'", openings=(DOOR,), footprints=(cabinets,))
    assert said("base", plan, frozenset({0})) == [("wall A, Run to corner", 12)]


LENGTH = st.integers(30, 200)


@given(LENGTH, LENGTH, st.lists(st.tuples(st.integers(0, 3), st.integers(1, 40)), max_size=6), st.booleans())
def test_runs_add_up_to_the_base_that_the_room_measures(
    length: int, width: int, fixtures: list[tuple[int, int]], placed: bool
) -> None:
    plan = room(f'{length}"', f'{width}"')
    free = {wall: leg.length_nm for wall, leg in enumerate(plan.legs)}
    footprints = []
    for number, (wall, size) in enumerate(fixtures):
        size_nm = size * NM_PER_INCH
        offset = plan.legs[wall].length_nm - free[wall] if placed and number % 2 else None
        if size_nm <= free[wall]:
            free[wall] -= size_nm
            cabinets = Footprint(f"{number}", "cabinets", wall, offset, size_nm, inches("20"), off_base=True)
            footprints.append(cabinets)
    plan = replace(plan, footprints=tuple(footprints))
    runs = pieces_of("base", plan, rules=NO_MITERS)
    assert feet_from_nm(sum(piece.length_nm for piece in runs)) == measure(plan).amount("base")


@given(st.integers(0, 84), st.none() | st.integers(0, 80))
def test_casing_without_miters_adds_up_to_the_trim_that_the_room_measures(
    sill: int, offset: int | None
) -> None:
    offset_nm = None if offset is None else offset * NM_PER_INCH
    opening = Opening("Opening", "cased", 0, inches("36"), inches("10"), sill * NM_PER_INCH, offset_nm)
    plan = room(openings=(opening, WINDOW))
    casing = pieces_of("opening_trim", plan, rules=NO_MITERS)
    assert feet_from_nm(sum(piece.length_nm for piece in casing)) == measure(plan).amount("opening_trim")


def test_base_grows_by_its_thickness_where_it_is_mitered_round_an_outside_corner() -> None:
    # the cut-out's corner stands out into the room between walls D and E
    plan = replace(room(), legs=l_shape(inches("120"), inches("100"), inches("40"), inches("30")))
    lengths = dict(said("base", plan))
    assert lengths["wall D"] == 30 + Fraction(3, 4)
    assert lengths["wall E"] == 40 + Fraction(3, 4)
    assert lengths["wall A"] == 120


def test_a_crown_runs_on_over_doors_and_windows() -> None:
    plan = room("10'", "12'", openings=(DOOR, WINDOW))
    assert said("ceiling_line", plan) == [("wall A", 120), ("wall B", 144), ("wall C", 120), ("wall D", 144)]


def test_a_column_takes_four_pieces_mitered_at_both_ends() -> None:
    plan = room(columns=(Column(inches("10"), inches("12")),))
    around = [piece for piece in said("base", plan) if piece[0].startswith("column")]
    assert [length for _, length in around] == [Fraction("11.5"), Fraction("13.5")] * 2


def test_bead_is_a_piece_of_the_ceilings_height_at_each_outside_corner() -> None:
    plan = replace(room(), legs=l_shape(inches("120"), inches("100"), inches("40"), inches("30")))
    assert said("outside_corner", plan) == [("corner D-E", 96)]
    assert len(pieces_of("inside_corner", plan)) == 5


def test_only_corners_between_chosen_walls_count() -> None:
    assert said("inside_corner", room(), frozenset({0, 1})) == [("corner A-B", 96)]


def test_a_measure_without_pieces_is_refused() -> None:
    with pytest.raises(CannotCut, match="has no pieces"):
        pieces_of("floor", room())


def run(length: str) -> Piece:
    return Piece(parse_length(length), "wall A", may_join=True)


def parts(length: str, stick: str = "8'") -> list[Fraction]:
    return [Fraction(part.length_nm, NM_PER_INCH) for part in in_parts(run(length), parse_length(stick))]


def test_a_run_that_fits_a_stick_stays_whole() -> None:
    assert in_parts(run("8'"), parse_length("8'")) == (run("8'"),)


def test_a_long_run_is_a_whole_stick_and_the_rest_with_the_scarf() -> None:
    assert parts("13' 4\"") == [96, 64 + Fraction(3, 4)]


def test_the_last_part_is_never_less_than_two_stud_spaces() -> None:
    assert parts("8' 6\"") == [102 + Fraction(3, 4) - 32, 32]


def test_joints_keep_from_the_middle_of_the_run() -> None:
    # whole sticks first would join a run of 16 ft at 8 ft, in its very middle
    joints = [sum(parts("16'")[:number], Fraction(0)) for number in (1, 2)]
    assert all(abs(joint - 96) > 30 for joint in joints)


@given(st.integers(1, 60_000), st.integers(80, 3_000))
def test_parts_fit_the_stick_and_make_up_the_run_and_its_scarfs(sixteenths: int, stick: int) -> None:
    length, longest = sixteenths * NM_PER_INCH // 16, stick * NM_PER_INCH // 16
    made = in_parts(Piece(length, "run", may_join=True), longest)
    assert all(0 < part.length_nm <= longest for part in made)
    scarfs = (len(made) - 1) * StickRules().scarf_nm
    assert sum(part.length_nm for part in made) == length + scarfs
    assert len(made) == 1 or sum(part.length_nm for part in made) > (len(made) - 1) * longest


def test_casing_longer_than_any_stick_is_refused_in_words() -> None:
    with pytest.raises(CannotCut, match=r"Patio door, head, 8' 4-1/2\", is longer than the longest"):
        in_parts(Piece(parse_length("8' 4-1/2\""), "Patio door, head"), parse_length("8'"))
