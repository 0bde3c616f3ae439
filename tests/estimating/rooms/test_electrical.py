"""Outlets, switches and lights in their place."""

from dataclasses import replace

import pytest

from catalog.measures.lengths import NM_PER_FOOT as FT
from catalog.measures.lengths import NM_PER_INCH as IN
from estimating.rooms.drawing import plan_svg
from estimating.rooms.electrical import counted, placed_in_words
from estimating.rooms.faults import plan_faults
from estimating.rooms.plan import ElectricalPlace, HeightPoint, RoomPlan, Soffit, l_shape

# 12' by 10', the corner of 5' by 4' between the third and the fourth wall cut out
ROOM = RoomPlan("Kitchen", l_shape(12 * FT, 10 * FT, 5 * FT, 4 * FT), 8 * FT)
OUTLET = ElectricalPlace("outlet", 0, 3 * FT, 18 * IN)
LIGHT = ElectricalPlace("light", 0, 6 * FT, 3 * FT)


@pytest.mark.parametrize(
    ("place", "sentence"),
    [
        (OUTLET, ""),
        (LIGHT, ""),
        (replace(OUTLET, along_nm=13 * FT), "The outlet is beyond the end of wall A, which is 12' 0\" long."),
        (replace(OUTLET, away_nm=9 * FT), "The outlet is above the ceiling, 8' 0\" high"),
        (replace(LIGHT, along_nm=2 * FT, away_nm=8 * FT), "The ceiling light would be outside the room"),
        (replace(LIGHT, wall=6), "Choose a wall of this room: they are A to F."),
        (replace(LIGHT, kind="fan"), "Choose an outlet, a switch or a ceiling light."),
    ],
)
def test_a_place_that_is_not_in_the_room_is_said(place: ElectricalPlace, sentence: str) -> None:
    said = " ".join(str(fault) for fault in plan_faults(replace(ROOM, electrical=(place,))))
    assert said == "" if not sentence else sentence in said


@pytest.mark.parametrize(
    ("along_nm", "away_nm", "sentence"),
    [
        (6 * FT, 10 * FT, ""),
        (6 * FT, 13 * FT, "The switch is above the ceiling, 12' 0\" high"),
        (FT, 9 * FT, "The switch is above the ceiling, 8' 8\" high"),
        (11 * FT, 89 * IN, "The switch is above the ceiling, 7' 4\" high"),
        (11 * FT, 88 * IN, ""),
    ],
)
def test_a_box_is_as_high_as_the_ceiling_or_soffit_over_it_lets_it(
    along_nm: int, away_nm: int, sentence: str
) -> None:
    gable = replace(
        ROOM,
        heights=(HeightPoint(0, 6 * FT, 12 * FT),),
        soffits=(Soffit("Soffit", 0, 10 * FT, 2 * FT, FT, 8 * IN),),
        electrical=(ElectricalPlace("switch", 0, along_nm, away_nm),),
    )
    said = " ".join(str(fault) for fault in plan_faults(gable))
    assert said == "" if not sentence else sentence in said


def test_boxes_and_lights_are_counted_drawn_and_said_in_words() -> None:
    places = (OUTLET, replace(OUTLET, kind="switch", wall=1), LIGHT, LIGHT)
    assert counted(places) == (2, 2)
    assert placed_in_words(places) == "1 outlet, 1 switch, 2 ceiling lights"
    svg = plan_svg(replace(ROOM, electrical=places))
    assert svg.count("plan-electrical") == 4
    assert "Placed: 1 outlet, 1 switch, 2 ceiling lights." in svg
