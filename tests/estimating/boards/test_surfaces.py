"""The surfaces that boards go on, with what is cut out of them."""

from decimal import Decimal
from fractions import Fraction
from itertools import pairwise

from catalog.measures.lengths import parse_length, sqft_from_nm2
from estimating.boards.surfaces import RoomSurface, surfaces
from estimating.boards.tile import TileRules, lay_tiles
from estimating.rooms.drawing import plan_svg
from estimating.rooms.measures import measure
from estimating.rooms.outline import Leg
from estimating.rooms.plan import Column, Footprint, Opening, RoomPlan, l_shape
from estimating.sheet_layout.estimate_by_area import Sheet
from estimating.sheet_layout.lay import lay
from estimating.sheet_layout.regions import area
from estimating.sheet_layout.rules import BACKER_BOARD
from estimating.sheet_layout.surface import Surface, View, region_of
from tests.specs import room

FT = parse_length("1'")


def feet(room_surface: RoomSurface) -> list[list[tuple[float, float]]]:
    surface = room_surface.surface
    return [[(x / FT, y / FT) for x, y in ring] for ring in (surface.ring, *surface.holes)]


def left_nm2(surface: Surface) -> int:
    return area(region_of(surface, View(), FT))


def test_a_floor_is_the_outline_with_wall_a_at_the_top() -> None:
    (floor,) = surfaces(room("10'", "12'"), "floor")
    assert feet(floor) == [[(0, 0), (10, 0), (10, -12), (0, -12)]]
    assert floor.notes == ()


def test_what_is_taken_off_the_floor_is_cut_out_where_it_stands() -> None:
    # along wall B, which leads south from (10, 0): 3 ft from its start, 4 long, 2 deep
    run = Footprint("Range run", "cabinets", 1, 3 * FT, 4 * FT, 2 * FT, off_floor=True)
    plan = room("10'", "12'", footprints=(run, Footprint("Rug", "other", 0, 0, FT, FT)))
    (floor,) = surfaces(plan, "floor")
    assert feet(floor)[1:] == [[(10, -3), (10, -7), (8, -7), (8, -3)]]
    assert sqft_from_nm2(left_nm2(floor.surface)) == measure(plan).amount("floor")


def test_a_room_measured_the_other_way_round_has_the_same_floor() -> None:
    tub = Footprint("Tub", "tub", 0, FT, 5 * FT, 2 * FT, off_floor=True)
    legs = tuple(Leg(length * FT, Decimal(-90)) for length in (10, 12, 10, 12))
    (floor,) = surfaces(RoomPlan("Bath", legs, 8 * FT, footprints=(tub,)), "floor")
    assert feet(floor)[1:] == [[(1, 0), (6, 0), (6, 2), (1, 2)]]


def test_along_a_slanting_wall_a_footprint_stands_square_to_it() -> None:
    # 6-8-10: wall B leads south-west, so that the triangle's area is 24 sq ft and the box 2 x 1 ft
    turn = Decimal("143.13010235415597870314438744")
    legs = (Leg(8 * FT, turn), Leg(10 * FT, Decimal("126.86989764584402129685561256")), Leg(6 * FT))
    box = Footprint("Bench", "other", 1, 4 * FT, 2 * FT, FT, off_floor=True)
    plan = RoomPlan("Nook", legs, 8 * FT, footprints=(box,))
    (floor,) = surfaces(plan, "floor")
    (corner, end, inner, _), unit = floor.surface.holes[0], parse_length('1/64"')
    assert abs((end[0] - corner[0]) ** 2 + (end[1] - corner[1]) ** 2 - (2 * FT) ** 2) < 4 * FT * unit
    dot = (end[0] - corner[0]) * (inner[0] - end[0]) + (end[1] - corner[1]) * (inner[1] - end[1])
    assert abs(dot) < 2 * FT * unit
    assert not floor.surface.rectilinear


def test_footprints_without_a_place_follow_one_another_from_the_walls_start_and_say_so() -> None:
    cabinets = [
        Footprint(name, "cabinets", 0, None, 3 * FT, 2 * FT, off_floor=True) for name in ("Sink", "Stove")
    ]
    (floor,) = surfaces(room("10'", "12'", footprints=tuple(cabinets)), "floor")
    assert [ring[0] for ring in feet(floor)[1:]] == [(0, 0), (3, 0)]
    assert floor.notes[1] == (
        "Stove is taken to be where the plan draws it: its place on the wall isn't measured."
    )


def test_an_island_stands_at_the_widest_spot_as_the_plan_draws_it() -> None:
    island = Footprint("Island", "island", None, None, 4 * FT, 2 * FT, off_floor=True)
    plan = room("12'", "10'", footprints=(island,))
    (floor,) = surfaces(plan, "floor")
    assert feet(floor)[1:] == [[(4, -6), (8, -6), (8, -4), (4, -4)]]
    assert "Island" in floor.notes[0]
    # 312 drawing units for 12 ft: the drawing has it at 4 to 8 ft across and 4 to 6 down
    scale = 312 / 12
    assert f"{4 * scale:.1f},{4 * scale:.1f}" in plan_svg(plan)


def test_a_column_comes_off_floor_and_ceiling_and_has_four_faces() -> None:
    plan = room("10'", "12'", columns=(Column(FT, 2 * FT),))
    for covers in ("floor", "ceiling"):
        (room_surface,) = surfaces(plan, covers)
        assert sqft_from_nm2(left_nm2(room_surface.surface)) == measure(plan).amount(covers) == 118
    faces = [wall for wall in surfaces(plan, "wall_net") if wall.code.startswith("column")]
    assert [face.surface.ring[2] for face in faces] == [(FT, 8 * FT), (2 * FT, 8 * FT)] * 2
    assert not any(wall.code.startswith("column") for wall in surfaces(plan, "wall_net", frozenset({0})))


def test_a_wall_is_a_rectangle_with_its_openings_cut_out() -> None:
    window = Opening("Window", "window", 0, 3 * FT, 4 * FT, 3 * FT, 2 * FT)
    plan = room("10'", "12'", openings=(window,))
    wall = surfaces(plan, "wall_net", frozenset({0}))[0]
    assert (wall.code, wall.name) == ("wall-A", "Wall A")
    assert feet(wall) == [[(0, 0), (10, 0), (10, 8), (0, 8)], [(2, 3), (5, 3), (5, 7), (2, 7)]]


def test_openings_without_a_place_are_spread_evenly_and_say_so() -> None:
    doors = tuple(Opening(f"Door {number}", "door", 0, 2 * FT, 7 * FT) for number in (1, 2))
    (wall,) = surfaces(room("10'", "12'", openings=doors), "wall_gross", frozenset({0}))
    # 6 ft are left for three gaps
    assert [ring[0] for ring in feet(wall)[1:]] == [(2, 0), (6, 0)]
    assert len(wall.notes) == 2


def test_a_wall_measured_with_the_room_at_its_left_is_seen_from_inside_too() -> None:
    legs = tuple(Leg(length * FT, Decimal(-90)) for length in (10, 12, 10, 12))
    door = Opening("Door", "door", 0, 2 * FT, 7 * FT, 0, FT)
    (wall,) = surfaces(RoomPlan("Hall", legs, 8 * FT, openings=(door,)), "wall_net", frozenset({0}))
    assert sorted(feet(wall)[1]) == [(7, 0), (7, 7), (9, 0), (9, 7)]


def test_what_hides_a_wall_is_cut_out_only_where_it_is_left_out() -> None:
    run = Footprint("Sink", "cabinets", 0, 0, 4 * FT, 2 * FT, 3 * FT)
    plan = room("10'", "12'", footprints=(run,))
    (bare,), (hidden,) = (surfaces(plan, "wall_net", frozenset({0}), hide) for hide in (False, True))
    assert bare.surface.holes == ()
    assert feet(hidden)[1] == [(0, 0), (4, 0), (4, 3), (0, 3)]


def test_a_wall_that_is_all_opening_is_no_surface() -> None:
    opening = Opening("Archway", "cased", 0, 10 * FT, 8 * FT)
    walls = surfaces(room("10'", "12'", openings=(opening,)), "wall_net")
    assert [wall.name for wall in walls] == ["Wall B", "Wall C", "Wall D"]


def test_the_walls_together_are_what_the_measure_says() -> None:
    openings = (
        Opening("Door", "door", 2, 3 * FT, 7 * FT),
        Opening("Window", "window", 4, 2 * FT, 3 * FT, 4 * FT),
    )
    plan = RoomPlan("L", l_shape(12 * FT, 10 * FT, 4 * FT, 3 * FT), 8 * FT, openings=openings)
    together = sum(left_nm2(wall.surface) for wall in surfaces(plan, "wall_net"))
    assert sqft_from_nm2(together) == measure(plan).amount("wall_net")


def test_a_floor_runs_into_a_doorway_as_far_as_was_measured() -> None:
    door = Opening("Door", "door", 0, 3 * FT, 7 * FT, 0, 2 * FT, recess_nm=FT // 4)
    plan = room("10'", "12'", openings=(door,))
    (floor,) = surfaces(plan, "floor")
    assert feet(floor)[0][:5] == [(0, 0), (2, 0), (2, Fraction(1, 4)), (5, Fraction(1, 4)), (5, 0)]
    assert sqft_from_nm2(left_nm2(floor.surface)) == measure(plan).amount("floor") == 120 + Fraction(3, 4)
    assert measure(plan).amount("ceiling") == 120
    (ceiling,) = surfaces(plan, "ceiling")
    assert len(ceiling.surface.ring) == 4


def test_doorways_at_both_ends_of_a_wall_and_round_a_corner_are_one_floor() -> None:
    ends = tuple(Opening(f"{wall}", "cased", wall, 2 * FT, 7 * FT, 0, 0, recess_nm=FT) for wall in (0, 1, 3))
    last = Opening("Last", "cased", 3, 2 * FT, 7 * FT, 0, 10 * FT, recess_nm=FT)
    plan = room("10'", "12'", openings=(*ends, last))
    (floor,) = surfaces(plan, "floor")
    assert sqft_from_nm2(left_nm2(floor.surface)) == measure(plan).amount("floor") == 120 + 4 * 2


def test_a_doorway_whose_place_is_not_measured_is_said_to_be_where_it_is_drawn() -> None:
    door = Opening("Door", "door", 0, 3 * FT, 7 * FT, recess_nm=FT // 4)
    (floor,) = surfaces(room("10'", "12'", openings=(door,)), "floor")
    assert floor.notes == (
        "Door is taken to be where the plan draws it: its place on the wall isn't measured.",
    )


def test_boards_reach_into_the_doorway() -> None:
    door = Opening("Door", "door", 0, 3 * FT, 7 * FT, 0, 2 * FT, recess_nm=FT // 4)
    (floor,) = surfaces(room("10'", "8'", openings=(door,)), "floor")
    layout = lay(floor.surface, Sheet(5 * FT, 3 * FT, 0), BACKER_BOARD)
    eighth = FT // 96
    assert max(piece.y_nm + piece.height_nm for piece in layout.pieces) == FT // 4 - eighth
    assert layout.slivers == 0


def test_tile_is_centered_in_the_room_and_not_in_its_doorways() -> None:
    door = Opening("Door", "door", 0, 3 * FT, 7 * FT, 0, 2 * FT, recess_nm=FT // 4)
    plain, deep = (
        surfaces(room("10' 4\"", "8' 4\"", openings=openings), "floor")[0].surface
        for openings in ((), (door,))
    )
    rules = TileRules(joint_nm=0, perimeter_gap_nm=0)
    corners = [
        {(piece.x_nm, piece.y_nm) for piece in lay_tiles(surface, (FT, FT), rules).pieces if piece.whole}
        for surface in (plain, deep)
    ]
    assert corners[0] <= corners[1]


def measured_round(*legs: tuple[str, str]) -> RoomPlan:
    return RoomPlan(
        "Room",
        tuple(Leg(parse_length(length), Decimal(turn)) for length, turn in legs),
        8 * FT,
        balanced=True,
    )


L_OFF_BY_A_QUARTER = measured_round(
    ("12' 0-1/4\"", "90"), ("10'", "90"), ("7'", "90"), ("4' 0-1/8\"", "-90"), ("5'", "90"), ("6'", "90")
)


def test_boards_lie_square_in_a_room_of_right_angles_that_did_not_quite_close() -> None:
    """A tape is off by an eighth here and there: nobody cuts boards to a slant of a hair for that."""
    (floor,) = surfaces(L_OFF_BY_A_QUARTER, "floor")
    assert floor.surface.rectilinear
    exact = measure(L_OFF_BY_A_QUARTER).amount("floor")
    assert abs(sqft_from_nm2(left_nm2(floor.surface)) - exact) < Fraction(1, 20)
    layout = lay(floor.surface, Sheet(5 * FT, 3 * FT, 0), effort="first")
    assert not layout.approximate
    assert sum(piece.notched for piece in layout.pieces) <= 1  # at the corner that stands out


def test_walls_that_run_straight_on_stay_in_line_when_a_room_is_balanced() -> None:
    plan = measured_round(("6'", "0"), ("6'", "90"), ("9'", "90"), ("12'", "90"), ("9' 0-1/2\"", "90"))
    (floor,) = surfaces(plan, "floor")
    assert floor.surface.rectilinear
    (_, first), (_, second), (_, third) = floor.surface.ring[:3]
    assert first == second == third


def test_beside_a_slanting_wall_the_others_stay_square() -> None:
    # 10 by 8 ft with a corner of 3 by 3 ft cut off: its slant is 4' 2-15/16", to the nearest sixteenth
    plan = measured_round(("10'", "90"), ("5'", "45"), ("4' 2-15/16\"", "45"), ("7'", "90"), ("8'", "90"))
    ring = surfaces(plan, "floor")[0].surface.ring
    slanting = [
        (start, end) for start, end in pairwise((*ring, ring[0])) if start[0] != end[0] and start[1] != end[1]
    ]
    assert len(slanting) == 1
