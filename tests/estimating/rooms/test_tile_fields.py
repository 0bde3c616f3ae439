"""Where wall tile goes, against figures by hand and against shapely."""

from dataclasses import replace
from fractions import Fraction
from random import Random
from typing import Any

import pytest
from shapely import Polygon, box, unary_union

from catalog.measures.lengths import NM_PER_INCH
from estimating.boards.surfaces import surfaces
from estimating.rooms.faults import plan_faults
from estimating.rooms.measures import measure
from estimating.rooms.plan import Footprint, HeightPoint, Opening, RoomPlan, Soffit, rectangle
from estimating.rooms.tile_fields import tile_fields

IN = NM_PER_INCH


def tub(wall: int = 1, length: int = 60, **traits: Any) -> Footprint:
    traits = {"height_nm": 16 * IN, "offset_nm": 0} | traits
    return Footprint("Tub", "tub", wall, depth_nm=30 * IN, length_nm=length * IN, **traits)


def bath(*fixed: Footprint, openings: tuple[Opening, ...] = (), **traits: Any) -> RoomPlan:
    """A room of 8 by 5 ft under 8 ft: walls A and C are 96 in long, B and D 60."""
    return replace(RoomPlan("Bath", rectangle(96 * IN, 60 * IN), 96 * IN, openings, fixed), **traits)


def kitchen(*fixed: Footprint, openings: tuple[Opening, ...] = ()) -> RoomPlan:
    return RoomPlan("Kitchen", rectangle(160 * IN, 128 * IN), 96 * IN, openings, fixed)


def cabinets(wall: int, length: int, kind: str = "cabinets", **traits: Any) -> Footprint:
    depth = 12 if kind == "hung" else 24
    traits = {"offset_nm": 0} | traits
    return Footprint(kind, kind, wall, length_nm=length * IN, depth_nm=depth * IN, **traits)


def amounts(plan: RoomPlan, walls: frozenset[int] | None = None) -> dict[str, float]:
    assert not list(plan_faults(plan))
    found = measure(plan, walls).values
    return {
        code: float(amount * (144 if code in ("surround", "backsplash") else 12))
        for code, amount in found.items()
        if code.startswith(("surround", "backsplash")) and code != "backsplash_length"
    }


def test_a_tub_in_an_alcove_is_tiled_on_three_walls() -> None:
    """By hand, in inches: 30 + 60 + 30 wide from the rim at 16 to 84."""
    found = amounts(bath(tub()))
    assert found["surround"] == 120 * 68
    assert found["surround_edge"] == 120 + 2 * 68  # the top, and the two ends
    assert found["surround_joint"] == 120 + 2 * 68  # along the tub, and two inside corners
    assert "backsplash" not in found


def test_tile_up_to_the_ceiling_has_no_edge_there() -> None:
    found = amounts(bath(tub(tile_to_nm=96 * IN)))
    assert (found["surround"], found["surround_edge"]) == (120 * 80, 2 * 80)


def test_a_shower_without_a_height_is_tiled_from_the_floor() -> None:
    plan = bath(tub(height_nm=None))
    assert amounts(plan)["surround"] == 120 * 84
    assert "type its height" in tile_fields(plan, "surround")[1].notes[0]


def test_a_tub_in_the_open_wall_is_tiled_behind_alone() -> None:
    found = amounts(bath(tub(0, 60, offset_nm=18 * IN)))
    assert found["surround"] == 60 * 68
    assert found["surround_edge"] == 60 + 2 * 68
    assert found["surround_joint"] == 60


def test_a_tub_off_the_wall_needs_no_tile() -> None:
    assert amounts(bath(tub(None, offset_nm=None))) == {}  # type: ignore[arg-type]


def test_only_the_chosen_walls_count() -> None:
    found = amounts(bath(tub()), frozenset({1}))
    assert (found["surround"], found["surround_joint"]) == (60 * 68, 60 + 2 * 68)


def test_a_niche_counts_with_its_faces_edge_and_corners() -> None:
    niche = Opening("Niche", "niche", 1, 14 * IN, 24 * IN, 44 * IN, 20 * IN, 4 * IN)
    plain, found = amounts(bath(tub())), amounts(bath(tub(), openings=(niche,)))
    assert found["surround"] - plain["surround"] == 4 * 2 * (14 + 24)
    assert found["surround_edge"] - plain["surround_edge"] == 2 * (14 + 24)
    assert found["surround_joint"] - plain["surround_joint"] == 2 * (14 + 24) + 4 * 4


def test_a_window_takes_its_size_and_gives_its_return() -> None:
    window = Opening("Window", "window", 1, 24 * IN, 20 * IN, 50 * IN, 18 * IN, 5 * IN)
    plain, found = amounts(bath(tub())), amounts(bath(tub(), openings=(window,)))
    assert found["surround"] - plain["surround"] == 5 * 2 * (24 + 20) - 24 * 20
    assert found["surround_edge"] - plain["surround_edge"] == 2 * (24 + 20)
    assert found["surround_joint"] - plain["surround_joint"] == 2 * (24 + 20) + 4 * 5
    flush = amounts(bath(tub(), openings=(replace(window, recess_nm=0),)))
    assert flush["surround"] == plain["surround"] - 24 * 20
    assert flush["surround_edge"] == plain["surround_edge"]
    assert measure(bath(openings=(window,))).values["floor"] == Fraction(40)  # the floor doesn't run into it


def test_a_window_that_stands_out_above_the_tile_has_a_return_as_far_as_the_tile_goes() -> None:
    window = Opening("Window", "window", 1, 24 * IN, 30 * IN, 60 * IN, 18 * IN, 5 * IN)
    plain, found = amounts(bath(tub())), amounts(bath(tub(), openings=(window,)))
    assert found["surround"] - plain["surround"] == 5 * (24 + 2 * 24) - 24 * 24
    assert found["surround_edge"] - plain["surround_edge"] == 24 + 2 * 24 - 24
    assert found["surround_joint"] - plain["surround_joint"] == 24 + 2 * 24 + 2 * 5


def test_a_soffit_over_the_tub_ends_the_tile() -> None:
    soffit = Soffit("Soffit", 1, 0, 60 * IN, 30 * IN, 20 * IN)
    found = amounts(bath(tub(), soffits=(soffit,)))
    assert (found["surround"], found["surround_edge"]) == (120 * 60, 2 * 60)


def test_under_a_slope_tile_ends_where_the_ceiling_is_lowest() -> None:
    heights = (HeightPoint(1, 0, 96 * IN), HeightPoint(1, 60 * IN, 72 * IN))
    found = amounts(bath(tub(), heights=heights))
    assert found["surround"] == 30 * (84 - 16) + (60 + 30) * (72 - 16)


def test_a_backsplash_stands_between_counter_and_wall_cabinets() -> None:
    """By hand, in inches: from the counter at 36 to 54; the run ends at no wall on its far side."""
    found = amounts(kitchen(cabinets(0, 100), cabinets(0, 100, "hung")))
    assert found["backsplash"] == (100 + 25.5) * 18  # beside its start it runs along wall D
    assert found["backsplash_edge"] == 18 + 25.5 + 18  # no cabinet hangs on wall D
    assert found["backsplash_joint"] == 100 + 25.5 + 18


def test_where_no_cabinet_hangs_tile_goes_as_high_as_under_the_others() -> None:
    hung = cabinets(0, 40, "hung", offset_nm=20 * IN, bottom_nm=56 * IN)
    plan = kitchen(cabinets(0, 100, offset_nm=20 * IN), hung)
    assert amounts(plan)["backsplash"] == 100 * 20
    assert amounts(plan)["backsplash_edge"] == 60 + 2 * 20
    without = kitchen(cabinets(0, 100, offset_nm=20 * IN))
    assert amounts(without)["backsplash"] == 100 * 18
    assert "18 in above the counter" in tile_fields(without, "backsplash")[0].notes[0]


def test_tile_rises_beside_wall_cabinets_where_a_height_is_typed() -> None:
    """Between two runs of wall cabinets it runs up to 72: their sides hide its edges."""
    base = cabinets(0, 100, offset_nm=20 * IN, tile_to_nm=72 * IN)
    hung = [cabinets(0, 30, "hung", offset_nm=at * IN) for at in (20, 90)]
    found = amounts(kitchen(base, *hung))
    assert found["backsplash"] == 100 * 18 + 40 * 18
    assert found["backsplash_edge"] == 40 + 2 * 18


def test_a_window_over_the_sink_is_cut_out_and_a_door_ends_the_tile() -> None:
    window = Opening("Window", "window", 0, 36 * IN, 40 * IN, 42 * IN, 50 * IN)
    found = amounts(kitchen(cabinets(0, 100, offset_nm=20 * IN), openings=(window,)))
    assert found["backsplash"] == 100 * 18 - 36 * 12
    assert found["backsplash_edge"] == 100 - 36 + 2 * 18
    door = Opening("Door", "door", 0, 30 * IN, 80 * IN, 0, 120 * IN)
    ended = amounts(kitchen(cabinets(0, 100, offset_nm=20 * IN), openings=(door,)))
    assert ended["backsplash_edge"] == 100 + 18  # at the door's casing tile ends against it


def test_a_run_round_a_corner_has_one_joint_there() -> None:
    plan = kitchen(cabinets(0, 160), cabinets(1, 80, offset_nm=24 * IN))
    found = amounts(plan)
    assert found["backsplash"] == (160 + 104 + 25.5) * 18
    assert found["backsplash_joint"] == 160 + 104 + 25.5 + 2 * 18


@pytest.mark.parametrize(
    ("top", "said"), [(12, "ends between"), (100, "ends between"), (84, "")], ids=["low", "high", "right"]
)
def test_a_height_of_tile_that_cannot_be_is_refused(top: int, said: str) -> None:
    faults = [str(fault) for fault in plan_faults(bath(tub(tile_to_nm=top * IN)))]
    assert (said in faults[0]) if said else not faults


@pytest.mark.parametrize("seed", range(40))
def test_surfaces_and_areas_are_those_of_another_geometry(seed: int) -> None:
    """Random tubs, niches and windows: walls by shapely, and the surfaces that tile is laid on."""
    dice = Random(seed)
    wall, rim, top = dice.randrange(4), dice.randrange(0, 20), dice.randrange(60, 96)
    long = (96, 60)[wall % 2]
    length = dice.randrange(30, long + 1)
    begin = dice.choice([0, long - length, (long - length) // 2])
    wide, high, sill = dice.randrange(6, 25), dice.randrange(6, 30), dice.randrange(20, 66)
    kind = dice.choice(["niche", "window"])
    at = dice.randrange(0, long - wide + 1)
    opening = Opening("Hole", kind, wall, wide * IN, high * IN, sill * IN, at * IN, 4 * IN)
    item = tub(wall, length, offset_nm=begin * IN, height_nm=rim * IN or None, tile_to_nm=top * IN)
    plan = bath(item, openings=(opening,))
    if list(plan_faults(plan)):
        pytest.skip("no such room")
    # an end as near as an inch to a corner runs into it
    field, hole = box(begin, rim, begin + length, top), box(at, sill, at + wide, sill + high)
    beside = sum(30 * (top - rim) for near in (begin <= 1, begin + length >= long - 1) if near)
    on_wall = field.difference(hole).area + beside
    shared = hole.intersection(field)
    inner = 0.0
    if shared.area and kind == "niche":
        inner = wide * high + 4 * 2 * (wide + high)
    elif shared.area:
        inner = 4 * hole.boundary.intersection(field.difference(hole).buffer(1e-6)).length
    expected = (on_wall + inner) / 144
    assert amounts(plan)["surround"] / 144 == pytest.approx(expected, rel=1e-5)
    laid = 0.0
    for row in surfaces(plan, "surround"):
        holes = unary_union([Polygon(ring) for ring in row.surface.holes])
        laid += Polygon(row.surface.ring).difference(holes).area / (IN * IN * 144)
    assert laid == pytest.approx(expected, rel=1e-5)


def test_a_return_is_no_deeper_than_a_wall_is_thick() -> None:
    window = Opening("Window", "window", 1, 24 * IN, 20 * IN, 50 * IN, 18 * IN, 36 * IN)
    (fault,) = plan_faults(bath(tub(), openings=(window,)))
    assert "The return of Window is" in str(fault)
