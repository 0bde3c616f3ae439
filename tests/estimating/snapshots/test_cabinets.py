"""Cabinets and appliances in the words of the estimate, and its walls drawn."""

from dataclasses import replace

from catalog.measures.lengths import NM_PER_INCH as IN
from estimating.cabinets.units import parse_units
from estimating.estimates.draft import Draft
from estimating.rooms.plan import Footprint
from estimating.snapshots.estimate import estimate_snapshot
from estimating.takeoff.work import RoomUse
from tests.estimating.plain_kitchen import kitchen, kitchen_room, kitchen_words, quick

WORDS = replace(kitchen_words(brought=()), show_walls=True)
KEYS = ("cabinets", "appliances", "walls")


def listed(phase: str = "set") -> Draft:
    """A kitchen with a run on wall B, the far end finished, and work of a phase in it."""
    run = Footprint("Run", "cabinets", 1, 24 * IN, 90 * IN, 24 * IN, finished_ends="end")
    room = replace(kitchen_room(), footprints=(replace(run, units=parse_units("36, range 30, 22")),))
    work = replace(quick("Cabinets", phase, "9", "0"), rooms=(RoomUse("1"),))
    return replace(kitchen((work,)), rooms={"1": room})


def test_cabinets_that_are_set_are_listed_with_the_widths_of_appliances() -> None:
    snapshot = estimate_snapshot(WORDS, listed())
    assert snapshot["cabinets"] == [
        {
            "where": "Kitchen, wall B, base cabinets",
            "text": '36", range 30", 22", then filler 2"; end finished',
        }
    ]
    assert snapshot["appliances"] == ['Kitchen: range 30"']


def test_neither_lists_nor_walls_are_printed_where_he_doesn_t_say_so() -> None:
    snapshot = estimate_snapshot(replace(WORDS, show_walls=False), listed())
    assert not set(KEYS) & snapshot.keys()


def test_walls_are_drawn_without_what_pages_alone_use() -> None:
    (wall,) = estimate_snapshot(WORDS, listed())["walls"]
    assert wall["caption"] == "Kitchen, wall B"
    assert "<svg" in wall["svg"]
    assert "class=" not in wall["svg"]


def test_a_job_that_sets_no_cabinets_lists_none() -> None:
    painted = estimate_snapshot(WORDS, listed("finish"))
    assert not {"cabinets", "appliances"} & painted.keys()
    bare = estimate_snapshot(kitchen_words(show_walls=True), kitchen())
    assert [key for key in KEYS if key in bare] == []
