"""Steps made from work items as they are taken off."""

from fractions import Fraction

import pytest

from catalog.assemblies.specs import AssemblySpec
from estimating.schedule.from_work import PlainWork, steps_of_work
from estimating.schedule.steps import Step, Wait
from estimating.takeoff.takeoff import take_off
from estimating.takeoff.work import ItemQuantities, RoomUse, Work
from tests.specs import assembly, operation, room, uses

HOUR = "1 hour per 120 sq ft"  # an hour on the floor of the room, 10' by 12'
COAT = operation("coat", HOUR, "sq ft", wait_hours=Fraction(16))
LAY = operation("lay", HOUR, "sq ft")


def items(*works: Work) -> tuple[ItemQuantities, ...]:
    return take_off({"a": room(), "b": room()}, works).items


def work(key: str, what: AssemblySpec | None = None, in_room: str = "a", **fields: object) -> Work:
    uses_room = (RoomUse(in_room),) if in_room and what else ()
    values = {"phase": "finish", "assembly": what, "rooms": uses_room} | fields
    return Work(key, key, **values)  # type: ignore[arg-type]


def by_name(steps: tuple[Step, ...]) -> dict[str, Step]:
    return {f"{step.work_item} {step.name}": step for step in steps}


def test_coats_follow_each_other_and_are_done_in_one_go() -> None:
    tape = assembly("tape", "floor", uses(COAT, times=2), uses(LAY))
    first, second, last = steps_of_work(items(work("w", tape)))
    assert [step.name for step in (first, second, last)] == ["coat (1 of 2)", "coat (2 of 2)", "lay"]
    assert [step.quarters for step in (first, second, last)] == [4, 4, 4]
    assert (second.after, last.after) == ((Wait(first.key, 64),), (Wait(second.key, 64),))
    assert [step.splittable for step in (first, second, last)] == [False, False, True]


def test_a_floor_that_dries_is_closed_for_all_work_in_its_room() -> None:
    tape = assembly("tape", "floor", uses(COAT), uses(LAY))
    coat, lay = steps_of_work(items(work("w", tape)))
    assert (coat.closes, coat.dries) == (frozenset({"floor:a"}), 64)
    assert (lay.closes, lay.dries, lay.uses) == (frozenset(), 0, frozenset({"floor:a"}))


@pytest.mark.parametrize(("surface", "closes"), [("none", set()), ("walls", {"walls:a"})])
def test_what_an_operation_closes_is_corrected_on_it(surface: str, closes: set[str]) -> None:
    odd = operation("odd", HOUR, "sq ft", wait_hours=Fraction(16), surface=surface)
    (step,) = steps_of_work(items(work("w", assembly("odd", "floor", uses(odd)))))
    assert step.closes == closes


def test_setting_tile_goes_over_days_though_it_sets() -> None:
    tile = operation("tile", HOUR, "sq ft", wait_hours=Fraction(24), over_days="yes")
    (step,) = steps_of_work(items(work("w", assembly("tile", "floor", uses(tile)))))
    assert step.splittable


def test_the_catalog_s_order_binds_within_a_phase_and_room() -> None:
    first = assembly("prime", "floor", uses(COAT))
    then = assembly("paint", "floor", uses(LAY), after=("prime",))
    steps = by_name(steps_of_work(items(work("p", then), work("q", first), work("other", then, "b"))))
    assert steps["p lay"].after == (Wait(steps["q coat"].key, 64),)
    assert steps["other lay"].after == ()


def test_phases_follow_one_another_where_the_catalog_says_nothing() -> None:
    board = work("board", assembly("board", "floor", uses(LAY)), phase="board")
    paint = work("paint", assembly("paint", "floor", uses(LAY)), phase="finish")
    elsewhere = work("elsewhere", assembly("paint", "floor", uses(LAY)), "b", phase="finish")
    steps = by_name(steps_of_work(items(paint, board, elsewhere)))
    assert steps["paint lay"].after == (Wait(steps["board lay"].key, 0),)
    assert steps["elsewhere lay"].after == ()


def test_where_the_catalog_says_what_comes_before_other_phases_may_overlap_but_dust() -> None:
    strip = work("strip", assembly("strip", "floor", uses(LAY)), phase="take_out")
    paint = work("paint", assembly("paint", "floor", uses(LAY)), phase="finish")
    other = work("other", assembly("other", "floor", uses(LAY)), phase="floor")
    casing = work("casing", assembly("casing", "floor", uses(LAY), after=("paint",)), phase="trim")
    steps = by_name(steps_of_work(items(strip, paint, other, casing)))
    waits = {wait.step for wait in steps["casing lay"].after}
    assert waits == {steps["paint lay"].key, steps["strip lay"].key}
    assert {wait.step for wait in steps["other lay"].after} == {steps["paint lay"].key}


def test_two_that_each_come_before_the_other_are_no_circle() -> None:
    one, two = (assembly(code, "floor", uses(LAY), after=(other,)) for code, other in ("ab", "ba"))
    steps = steps_of_work(items(work("one", one), work("two", two)))
    assert sum(len(step.after) for step in steps) == 1


def test_hours_typed_come_last_and_plain_lines_are_one_step() -> None:
    typed = work("w", assembly("tape", "floor", uses(COAT)), extra_hours=Fraction(2))
    steps = steps_of_work(items(typed), plain=[PlainWork("x", "Signed line", "close", Fraction(3, 2))])
    assert [(step.name, step.quarters) for step in steps] == [("coat", 4), ("w", 8), ("Signed line", 6)]
    assert steps[1].after == (Wait(steps[0].key, 64),)
    assert steps[2].after == (Wait(steps[1].key, 0),)


def test_quarters_add_up_to_the_hours() -> None:
    short = operation("short", "1 hour per 1200 sq ft", "sq ft")  # 0.1 h
    steps = steps_of_work(items(*(work(str(n), assembly("s", "floor", uses(short))) for n in range(10))))
    assert sum(step.quarters for step in steps) == 4


def test_what_is_done_a_little_each_day_lengthens_the_rest() -> None:
    sweep = operation("sweep", HOUR, "sq ft", over_days="daily")
    cleaned = work("clean", assembly("clean", "floor", uses(sweep)), phase="close")
    laid = [work(str(n), assembly("s", "floor", uses(LAY))) for n in range(4)]
    steps = steps_of_work(items(*laid, cleaned))
    assert [step.quarters for step in steps] == [5, 5, 5, 5]
    assert [step.quarters for step in steps_of_work(items(cleaned))] == [4]
