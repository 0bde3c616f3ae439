"""Painted surface that the work disturbs, by room, beside the size of minor repair."""

from fractions import Fraction
from typing import Any

import pytest

from catalog.measures.room_measures import ALL_OPENINGS
from estimating.takeoff.disturbed import Disturbed, disturbed, in_words
from estimating.takeoff.takeoff import take_off
from estimating.takeoff.work import Override, RoomUse, Work
from tests.specs import assembly, room

LEAD = "Paint of before 1978 is disturbed lead-safe (40 CFR 745.85)."
NAMES = {"a": "Kitchen", "b": "Hall"}
BOTH = (RoomUse("a"), RoomUse("b"))
HERE = (RoomUse("a"),)


def work(title: str, measure: str = "wall_net", **fields: Any) -> Work:
    phase, caution = fields.pop("phase", "finish"), fields.pop("caution", LEAD)
    spec = assembly(title, measure, phase=phase, caution=caution)
    return Work(title, title, phase, assembly=spec, **{"rooms": HERE, **fields})


def found(*works: Work) -> Disturbed:
    rooms = {"a": room("10'", "12'"), "b": room("4'", "5'")}
    return disturbed(take_off(rooms, works), NAMES, ALL_OPENINGS)


def by_hand(measure: str, amount: str) -> dict[str, Any]:
    return {"overrides": (Override(measure, Fraction(amount), "measured"),)}


def test_square_feet_add_up_by_room_over_all_work() -> None:
    scrape, ceiling = work("scrape", rooms=BOTH), work("scrape ceiling", "ceiling")
    patch = work("patch", "area", **by_hand("area", "4"))
    # walls of 44 ft and 18 ft, 8 ft high; a ceiling of 120 sq ft, and the patch
    assert found(scrape, ceiling, patch).rooms == {"Kitchen": 352 + 120 + 4, "Hall": 144}


@pytest.mark.parametrize(
    "other",
    [
        work("lay vinyl", caution=""),
        work("contain the room", "floor", phase="protect"),
        work("clearance test", phase="close"),
        work("taken or not", is_option=True),
    ],
    ids=lambda other: other.title,
)
def test_work_without_lead_and_what_keeps_dust_in_disturbs_nothing(other: Work) -> None:
    assert found(other) == Disturbed()


@pytest.mark.parametrize(
    "unknown",
    [
        work("take out trim", "length", **by_hand("length", "20")),
        work("refinish the floor", "floor"),
        work("patch somewhere", "area", rooms=(), **by_hand("area", "9")),
        work("walls typed", rooms=BOTH, **by_hand("wall_net", "30")),
        Work("1", "Tear out by hand", "take_out"),
    ],
    ids=lambda unknown: unknown.title,
)
def test_what_has_no_area_of_its_room_is_named_and_not_counted(unknown: Work) -> None:
    assert (found(unknown).rooms, found(unknown).not_counted) == ({}, (unknown.title,))


def test_an_area_typed_for_one_room_is_its_own() -> None:
    assert found(work("scrape", **by_hand("wall_net", "5"))).rooms == {"Kitchen": 5}


def test_demolition_and_new_windows_are_named_as_they_count_at_any_size() -> None:
    works = work("cut out drywall", phase="take_out"), work("replace windows", "each", **by_hand("each", "2"))
    assert found(*works).at_any_size == ("cut out drywall", "replace windows")
    assert found(*works).not_counted == ()


def test_rooms_of_one_name_are_one_room_over_several_jobs() -> None:
    one, other = Disturbed({"Hall": Fraction(4)}), Disturbed({"hall": Fraction(3), "Bath": Fraction(1)})
    assert (one + other).rooms == {"Hall": 7, "Bath": 1}


@pytest.mark.parametrize(("area", "beside"), [("6", "within 6 sq ft"), ("6.01", "more than 6 sq ft")])
def test_each_sum_stands_beside_the_size_of_minor_repair(area: str, beside: str) -> None:
    # 40 CFR 745.83: 6 square feet or less of painted surface per room
    (sentence,) = in_words(Disturbed({"Hall": Fraction(area)}))
    assert sentence == f"Painted surface that this work disturbs, by room: Hall {area} sq ft, {beside}."


def test_what_is_counted_with_it_and_what_is_not_is_said() -> None:
    words = in_words(Disturbed({}, ("Trim",), ("Plaster",)), ["Bath", "Porch"])
    assert words == [
        "Counted with it, as within 30 days at this address: Bath and Porch.",
        "Counts at any size, as demolition or a new window: Plaster.",
        "Not counted, as no area is known: Trim.",
    ]
