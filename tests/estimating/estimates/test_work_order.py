"""What lacks before a piece of work, and what stands too late."""

from hypothesis import given
from hypothesis import strategies as st

from estimating.estimates.work_order import (
    PlacedWork,
    PrecedencePair,
    missing_earlier_work,
    out_of_order,
    stable_order,
    suggested_order,
)

PRIMER = PrecedencePair("paint", "prime", "finish", "bare board takes paint unevenly")
BACKER = PrecedencePair("paint", "backer", "floor", "boards scar the last coat")
BOARD = PrecedencePair("tile", "board", "floor")
MAT = PrecedencePair("tile", "mat", "floor")
TEAR_OUT = PrecedencePair("board", "tear-out", "take_out")
NONE: frozenset[str] = frozenset()


def placed(code: str, phase: str = "finish", *rooms: str, holds: tuple[str, ...] = ()) -> PlacedWork:
    return PlacedWork(code.capitalize(), code, phase, frozenset({code, *holds}), frozenset(rooms))


def asked(*work: PlacedWork, pairs: tuple[PrecedencePair, ...], answered: frozenset[str] = NONE) -> list[str]:
    return [missing.pair.earlier for missing in missing_earlier_work(work, pairs, answered)]


def order_of(*work: PlacedWork, pairs: tuple[PrecedencePair, ...]) -> list[tuple[str, str]]:
    return [(late.earlier, late.work) for late in out_of_order(work, pairs)]


def test_paint_asks_for_the_primer_that_lacks_and_says_why() -> None:
    [found] = missing_earlier_work([placed("paint")], [PRIMER], NONE)
    assert (found.pair.earlier, found.title, found.pair.reason) == ("prime", "Paint", PRIMER.reason)


def test_what_is_there_is_not_asked_for() -> None:
    assert asked(placed("prime"), placed("paint"), pairs=(PRIMER,)) == []


def test_what_another_assembly_holds_is_there() -> None:
    assert asked(placed("new walls", holds=("prime",)), placed("paint"), pairs=(PRIMER,)) == []


def test_what_was_set_aside_is_not_asked_for() -> None:
    assert asked(placed("paint"), pairs=(PRIMER,), answered=frozenset({"prime"})) == []


def test_what_belongs_to_another_phase_is_not_asked_for() -> None:
    """A floor that is to be tiled needn't be torn out, and walls are painted without any backer board."""
    assert asked(placed("board", "floor"), pairs=(TEAR_OUT,)) == []
    assert asked(placed("paint"), pairs=(BACKER,)) == []


def test_what_is_not_there_need_not_be_taken_out() -> None:
    cabinets = PrecedencePair("floor", "cabinets", "take_out")
    assert asked(placed("floor", "take_out"), pairs=(cabinets,)) == []


def test_what_may_be_set_already_is_not_asked_for() -> None:
    """A new countertop goes on the cabinets that stand there."""
    cabinets = PrecedencePair("counter", "cabinets", "set")
    assert asked(placed("counter", "set"), pairs=(cabinets,)) == []
    assert order_of(placed("counter", "set"), placed("cabinets", "set"), pairs=(cabinets,)) == [
        ("Cabinets", "Counter")
    ]


def test_of_several_ways_to_the_same_end_one_is_enough() -> None:
    tile, mat = placed("tile", "floor"), placed("mat", "floor")
    assert asked(tile, pairs=(BOARD, MAT)) == ["board", "mat"]
    assert asked(mat, tile, pairs=(BOARD, MAT)) == []


def test_what_two_pieces_of_work_want_is_asked_for_once() -> None:
    again = PrecedencePair("trim", "prime", "finish")
    assert asked(placed("paint"), placed("trim"), pairs=(PRIMER, again)) == ["prime"]


def test_backer_board_after_the_paint_stands_too_late() -> None:
    [found] = out_of_order([placed("paint"), placed("backer", "floor")], [BACKER])
    assert (found.earlier, found.work, found.reason) == ("Backer", "Paint", BACKER.reason)


def test_what_stands_in_order_is_not_said() -> None:
    assert order_of(placed("prime"), placed("paint"), pairs=(PRIMER,)) == []


def test_what_a_job_has_only_one_of_is_in_order() -> None:
    assert order_of(placed("paint"), pairs=(PRIMER, BACKER)) == []


def test_other_rooms_are_another_matter() -> None:
    hall = placed("paint", "finish", "hall")
    assert order_of(hall, placed("backer", "floor", "bath"), pairs=(BACKER,)) == []
    assert order_of(hall, placed("backer", "floor", "bath", "hall"), pairs=(BACKER,)) == [("Backer", "Paint")]


def test_work_in_no_room_concerns_every_room() -> None:
    assert order_of(placed("paint", "finish", "hall"), placed("backer", "floor"), pairs=(BACKER,)) == [
        ("Backer", "Paint")
    ]


def test_a_part_of_other_work_waits_as_it_would_alone() -> None:
    whole = placed("whole wall", holds=("paint",))
    assert order_of(whole, placed("backer", "floor"), pairs=(BACKER,)) == [("Backer", "Whole wall")]


def test_what_holds_its_own_primer_waits_for_no_other() -> None:
    whole = placed("whole wall", holds=("prime", "paint"))
    assert order_of(whole, whole, placed("prime"), pairs=(PRIMER,)) == []


def test_the_same_is_said_once() -> None:
    both = placed("paint", holds=("trim",))
    again = PrecedencePair("trim", "backer", "floor")
    assert order_of(both, placed("backer", "floor"), pairs=(BACKER, again)) == [("Backer", "Paint")]


@given(
    st.integers(1, 8).flatmap(
        lambda n: st.tuples(st.just(n), st.sets(st.tuples(*[st.integers(0, n - 1)] * 2)))
    )
)
def test_an_order_keeps_all_the_work_and_puts_the_earlier_first(
    case: tuple[int, set[tuple[int, int]]],
) -> None:
    count, drawn = case
    before = {(first, second) for first, second in drawn if first < second}  # such pairs make no loop
    turned = {(count - 1 - first, count - 1 - second) for first, second in before}
    assert stable_order(count, before) == tuple(range(count))
    order = stable_order(count, turned)
    assert sorted(order) == list(range(count))
    assert all(order.index(first) < order.index(second) for first, second in turned)


def test_work_that_waits_for_itself_by_way_of_other_work_stays_as_it_was() -> None:
    assert stable_order(2, {(0, 1), (1, 0)}) == (0, 1)


def test_work_of_another_phase_is_not_moved() -> None:
    """Phases follow one another whatever is said of them."""
    assert suggested_order([placed("paint"), placed("backer", "floor")], [BACKER]) == (0, 1)
    assert suggested_order([placed("paint"), placed("prime")], [PRIMER]) == (1, 0)
