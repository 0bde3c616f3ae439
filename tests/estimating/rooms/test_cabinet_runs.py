"""What follows from runs of cabinets, against figures by hand and against shapely."""

from dataclasses import replace
from fractions import Fraction
from random import Random
from typing import Any

import pytest
from shapely import LineString, Polygon, box, unary_union

from catalog.measures.lengths import NM_PER_INCH
from estimating.cabinets.units import parse_units
from estimating.rooms.cabinet_runs import area_together, cabinets_of, run_remarks
from estimating.rooms.faults import plan_faults
from estimating.rooms.measures import measure
from estimating.rooms.plan import Footprint, Opening, RoomPlan, Spot, rectangle

IN = NM_PER_INCH


def run(name: str, wall: int | None, length: int, units: str, **traits: Any) -> Footprint:
    item = Footprint(name, "cabinets", wall, None if wall is None else 0, length * IN, 24 * IN)
    return replace(item, units=parse_units(units), **traits)


def kitchen(
    *runs: Footprint, openings: tuple[Opening, ...] = (), size: tuple[int, int] = (160, 128)
) -> RoomPlan:
    return RoomPlan("Kitchen", rectangle(size[0] * IN, size[1] * IN), 96 * IN, openings, runs)


def amounts(plan: RoomPlan, walls: frozenset[int] | None = None) -> dict[str, float]:
    assert not list(plan_faults(plan))
    return {code: float(amount) for code, amount in measure(plan, walls).values.items()}


L_KITCHEN = kitchen(
    run("Sink run", 0, 160, "36, 30, sink 36, dishwasher 24, corner 34"),
    run("Range run", 1, 128, "space 24, 18, range 30, drawers 18, 36"),
)


def test_an_l_counts_its_corner_once() -> None:
    """By hand, in inches.

    Counter: 160 x 25-1/2, and on wall B 18 from 24 on and 54 from 72 on, with the filler of 2 behind them;
    the strip of 1-1/2 along the first counter counts once.
    """
    found = amounts(L_KITCHEN)
    counter = 160 * 25.5 + (18 + 56) * 25.5 - 1.5 * 25.5
    assert found["counter"] == pytest.approx(counter / 144)
    assert found["base_cabinets"] == 4 + 3
    assert found["cabinet_fillers"] == 1
    assert found["filler_length"] == pytest.approx(34.5 / 12)
    # of the corner cabinet, 24 of 34 stand behind the other run; the dishwasher and the range have none
    assert found["toe_kick"] == pytest.approx((36 + 30 + 36 + 10 + 18 + 18 + 36 + 2) / 12)
    # the front of the first run ends where the other counter comes out: 25-1/2 before the wall
    assert found["counter_edge"] == pytest.approx((160 - 25.5 + (18 - 1.5) + 56) / 12)
    # behind the first run 160, beside its end 25-1/2 on wall D, and all of wall B with its range
    assert found["backsplash_length"] == pytest.approx((160 + 25.5 + 128 + 25.5) / 12)
    assert (found["sink_cutouts"], found["appliances"], found["cooktop_cutouts"]) == (1, 2, 0)
    assert found["pulls"] == 3 + 3 + 2 + 1 + 2 + 3 + 3


def test_a_u_with_wall_and_tall_cabinets() -> None:
    plan = kitchen(
        run("Left", 3, 100, "drawers 36, 36, 28", offset_nm=28 * IN),
        run("Back", 0, 160, "space 24, corner 36, sink 36, dishwasher 24, corner 40"),
        run("Right", 1, 104, "30, cooktop 36, refrigerator 36", offset_nm=24 * IN, finished_ends="end"),
        run("Over the sink", 0, 160, "space 12, 36, 36, 36, 40", kind="hung", depth_nm=12 * IN),
        run("Over the left", 3, 80, "36, 44", kind="hung", depth_nm=12 * IN, offset_nm=48 * IN),
        run("Pantry", 2, 36, "36", kind="tall", finished_ends="both", offset_nm=40 * IN),
    )
    found = amounts(plan)
    assert (found["base_cabinets"], found["wall_cabinets"], found["tall_cabinets"]) == (3 + 3 + 2, 6, 1)
    assert found["end_panels"] == 1 + 2
    # The left run of 100 ends in the corner; behind it the back's first 24 are left empty. The right one's
    # counter ends at the refrigerator.
    left, back = 100 * 25.5, 136 * 25.5
    right = 66 * 25.5
    assert found["counter"] == pytest.approx((left + back + right - 2 * 1.5 * 25.5) / 144)
    # Wall cabinets: 148 on the back from 12 on; on the left, less what the back hides; the pantry's front and
    # both its sides.
    assert found["cabinet_crown"] == pytest.approx((148 + (80 - 12) + 36 + 48) / 12)
    assert found["cooktop_cutouts"] == 1
    assert amounts(plan, frozenset({2}))["tall_cabinets"] == 1
    assert amounts(plan, frozenset({2}))["base_cabinets"] == 0


def test_an_island_has_its_counter_all_round_and_seats_behind() -> None:
    island = run(
        "Island",
        None,
        72,
        "36, sink 36",
        kind="island",
        depth_nm=24 * IN,
        spot=Spot(0, 40 * IN, 50 * IN),
        seat_overhang_nm=12 * IN,
        finished_ends="both",
    )
    found = amounts(kitchen(island))
    long, deep = 72 + 3, 24 + 1.5 + 12
    assert found["counter"] == pytest.approx(long * deep / 144)
    assert found["counter_edge"] == pytest.approx(2 * (long + deep) / 12)
    assert (found["backsplash_length"], found["toe_kick"], found["end_panels"]) == (0, 6, 2)
    anywhere = amounts(kitchen(replace(island, spot=None)))
    assert anywhere == found  # a place that isn't measured changes nothing
    assert "counter" not in amounts(kitchen(island), frozenset({0}))


def test_a_window_down_to_the_counter_has_no_backsplash_and_a_higher_one_has() -> None:
    base = run("Sink run", 0, 160, "36, 30, sink 36, dishwasher 24, 34")
    low = Opening("Window", "window", 0, 60 * IN, 40 * IN, sill_nm=36 * IN, offset_nm=50 * IN)
    both_ends = 2 * 25.5
    assert amounts(kitchen(base, openings=(low,)))["backsplash_length"] == pytest.approx(
        (100 + both_ends) / 12
    )
    high = replace(low, sill_nm=42 * IN)
    assert amounts(kitchen(base, openings=(high,)))["backsplash_length"] == pytest.approx(
        (160 + both_ends) / 12
    )
    hung = run("Uppers", 0, 160, "40, 40, 40, 40", kind="hung", depth_nm=12 * IN)
    assert list(run_remarks(kitchen(base, hung, openings=(high,)))) == [
        "Uppers (wall A, wall cabinets) stands before Window: check where each begins on the wall."
    ]


def test_what_doesnt_fit_is_said() -> None:
    wide = kitchen(run("Sink run", 0, 60, "36, 30"))
    assert [str(fault) for fault in plan_faults(wide)] == [
        'Sink run: the widths are 5\' 6" together, 6" more than the run, 5\' 0".'
    ]
    on_wall = kitchen(run("Uppers", 0, 60, "sink 36", kind="hung", depth_nm=12 * IN))
    assert "A sink isn't among wall cabinets" in str(next(plan_faults(on_wall)))
    too_high = kitchen(run("Uppers", 0, 60, "36", kind="hung", depth_nm=12 * IN, height_nm=48 * IN))
    assert "higher than the ceiling" in str(next(plan_faults(too_high)))
    loose = kitchen(run("Sink run", 0, 80, "36, 30"))
    assert 'the cabinets leave 14" of 6\' 8"' in next(run_remarks(loose))
    corner = kitchen(run("Sink run", 0, 160, "36, 124"), run("Range run", 1, 128, "24, 104"))
    assert "Sink run and Range run take up the same place" in next(run_remarks(corner))


def test_random_runs_have_the_area_and_edge_that_shapely_finds() -> None:
    """Counters of a rectangle, as boxes, without anything of ours but what was typed."""
    dice = Random(17)
    for _ in range(60):
        wide, deep = dice.randint(120, 240), dice.randint(120, 240)
        lengths = (wide, deep, wide, deep)
        runs, boxes, walls = [], [], dice.sample(range(4), dice.randint(1, 4))
        for wall in walls:
            begin, length = dice.randint(0, 30), dice.randint(40, 80)
            length = min(length, lengths[wall] - begin)
            depth = dice.choice((18, 24, 30))
            runs.append(
                run(f"Run {wall}", wall, length, f"{length}", offset_nm=begin * IN, depth_nm=depth * IN)
            )
            far, end = depth + 1.5, begin + length
            boxes.append(
                {
                    0: box(begin, 0, end, far),
                    1: box(wide - far, begin, wide, end),
                    2: box(wide - end, deep - far, wide - begin, deep),
                    3: box(0, deep - end, far, deep - begin),
                }[wall]
            )
        cabinets = cabinets_of(kitchen(*runs, size=(wide, deep)))
        found = cabinets.amounts()
        assert float(found["counter"]) == pytest.approx(unary_union(boxes).area / 144)
        edge = sum(
            _front(wall, counter)
            .difference(unary_union([other for other in boxes if other is not counter]))
            .length
            for wall, counter in zip(walls, boxes, strict=True)
        )
        assert float(found["counter_edge"]) == pytest.approx(edge / 12)
        assert isinstance(found["counter"], Fraction)


def test_slanting_shapes_together_have_the_area_that_shapely_finds() -> None:
    dice = Random(45)
    for _ in range(60):
        rings = []
        for _ in range(dice.randint(1, 8)):
            x, y, dx, dy, deep = (dice.randint(1, 60) for _ in range(5))
            ex, ey = -dy * deep // 20, dx * deep // 20
            rings.append(((x, y), (x + dx, y + dy), (x + dx + ex, y + dy + ey), (x + ex, y + ey)))
        expected = unary_union([Polygon(ring) for ring in rings]).area
        assert float(area_together(rings)) == pytest.approx(expected)


def _front(wall: int, counter: Polygon) -> LineString:
    left, low, right, high = counter.bounds
    return {
        0: LineString([(left, high), (right, high)]),
        1: LineString([(left, low), (left, high)]),
        2: LineString([(left, low), (right, low)]),
        3: LineString([(right, low), (right, high)]),
    }[wall]
