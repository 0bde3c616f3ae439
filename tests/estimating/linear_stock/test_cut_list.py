"""The cut list: fewest and cheapest sticks, exactly."""

from decimal import Decimal
from fractions import Fraction
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from catalog.assemblies.packaging import Offer, Purchase, cover
from catalog.measures.lengths import NM_PER_FOOT, NM_PER_INCH, parse_length
from estimating.linear_stock.cut_list import MOST_PIECES, CutList, Stick, cut, why
from estimating.linear_stock.pieces import CannotCut, Piece, pieces_of
from tests.estimating.linear_stock.stick_cases import (
    KITCHEN,
    SIXTEENTH_NM,
    check,
    house_case,
    pieces,
    random_case,
    solved,
    stick,
)
from tests.specs import inches

EIGHT = stick(8, "14.25")


def by_length(feet: str, waste: str = "0.10") -> Purchase:
    required = Fraction(feet) * (1 + Fraction(waste))
    return cover(required, [Offer("8 ft", Fraction(8), Decimal("14.25"))])


@pytest.fixture(scope="module")
def casing() -> CutList:
    return cut(pieces_of("opening_trim", KITCHEN), (EIGHT,))


def test_the_kitchens_casing_is_seven_sticks_by_length_and_eight_by_cut_list(casing: CutList) -> None:
    # 4 legs, and 2 window pieces of 5'-0", take a stick each; the 2 heads share one, and so do the
    # 2 window pieces of 3'-4" (worked out by hand).
    assert by_length("592/12").package_count == 7
    assert (casing.count, casing.cost, casing.proven) == (8, Decimal("114.00"), True)


def test_the_page_can_say_why(casing: CutList) -> None:
    assert why(casing, by_length("592/12")) == (
        "54.27 ft is 7 sticks by length and 8 by cut list, because 6 of the 10 pieces are longer than half"
        " a stick, so that no two of them come out of one, and the offcuts, 11' 6-3/4\" in all, are too short"
        " for any other piece."
    )


def test_a_stick_says_what_is_cut_from_it(casing: CutList) -> None:
    legs = next(
        cut_stick for cut_stick in casing.sticks if cut_stick.pieces[0].where == "Back door, left leg"
    )
    assert legs.in_words() == "8' 0\": Room: Back door, left leg, 6' 10-1/4\"; offcut 1' 1-5/8\""


def test_the_same_sticks_by_length_and_by_cut_list_are_said_to_be_alike() -> None:
    two = cut(pieces(inches("90"), inches("80")), (EIGHT,))
    assert why(two, by_length("170/12", "0")) == "14.17 ft is 2 sticks by length and by cut list alike."


def test_fewer_sticks_than_length_and_waste_ask_for_are_explained() -> None:
    two = cut(pieces(inches("95"), inches("95")), (EIGHT,))
    assert why(two, by_length("190/12")) == (
        "17.42 ft is 3 sticks by length and 2 by cut list, because the pieces come to 15' 10\" as they are"
        " cut, and these sticks yield them for less."
    )


def test_a_kerf_is_lost_between_two_pieces_and_none_behind_the_last() -> None:
    half = 4 * NM_PER_FOOT
    assert cut(pieces(half, half), (EIGHT,)).count == 2
    assert cut(pieces(half, half - NM_PER_INCH // 8), (EIGHT,)).count == 1


def test_a_whole_stick_leaves_no_offcut_below_zero() -> None:
    (whole,) = cut(pieces(8 * NM_PER_FOOT), (EIGHT,)).sticks
    assert whole.offcut_nm == 0


def test_a_longer_stick_is_bought_where_it_is_cheaper() -> None:
    # two legs of 6'-10-1/4" out of one stick of 14 ft at 24.00, instead of two of 8 ft at 14.25
    legs = pieces(inches("82-1/4"), inches("82-1/4"))
    cuts = cut(legs, (EIGHT, stick(14, "24.00")))
    assert [cut_stick.stick.key for cut_stick in cuts.sticks] == ["14 ft"]


def test_of_cut_lists_that_cost_the_same_the_one_of_fewest_sticks_is_taken() -> None:
    halves = pieces(*[inches("47")] * 4)
    assert cut(halves, (stick(8, "10.00"), stick(16, "20.00"))).count == 1


def test_fewest_sticks_are_found_where_sticks_cost_nothing_yet() -> None:
    free = (stick(8, "0.00"),)
    assert cut(pieces(*[inches("30")] * 7), free).count == 3
    assert cut(pieces(*[inches("30")] * 7), free).proven


def test_the_cheaper_of_two_suppliers_is_bought() -> None:
    dear, cheap = (
        Stick("dear", 8 * NM_PER_FOOT, Decimal("9.00")),
        Stick("cheap", 8 * NM_PER_FOOT, Decimal("8.00")),
    )
    assert cut(pieces(inches("90")), (dear, cheap)).sticks[0].stick == cheap
    assert cut(pieces(inches("90")), (cheap, dear)).sticks[0].stick == cheap


def test_a_run_longer_than_the_longest_stick_is_joined() -> None:
    run = Piece(parse_length("13' 4\""), "wall A", may_join=True)
    cuts = cut((run,), (EIGHT,))
    assert [piece.where for piece in cuts.pieces] == ["wall A, part 1 of 2", "wall A, part 2 of 2"]
    assert cut((run,), (EIGHT, stick(14, "99.00"))).count == 1


def test_no_pieces_need_no_sticks() -> None:
    assert cut((), (EIGHT,)) == CutList((), NM_PER_INCH // 8, Decimal("0.00"), Decimal(0), True)


@pytest.mark.parametrize(
    ("wanted", "sticks", "words"),
    [
        (pieces(inches("90")), (), "There is no stick"),
        (pieces(inches("97")), (EIGHT,), "longer than the longest stick"),
        (pieces(0), (EIGHT,), "piece 1 needs a length above zero"),
        (pieces(*[inches("9")] * (MOST_PIECES + 1)), (EIGHT,), "more than 1,000 pieces"),
        ((Piece(10**15, "wall A", may_join=True),), (EIGHT,), "takes more than 1,000 sticks"),
        (pieces(inches("9")), (Stick("none", 0, Decimal(1)),), "needs a length above zero"),
        (pieces(inches("9")), (Stick("odd", 10, Decimal(-1)),), "needs a length above zero and a price"),
    ],
)
def test_what_cannot_be_cut_is_said_in_words(
    wanted: tuple[Piece, ...], sticks: tuple[Stick, ...], words: str
) -> None:
    with pytest.raises(CannotCut, match=words):
        cut(wanted, sticks)


def test_a_thousand_pieces_get_an_answer_that_may_be_unproven() -> None:
    random = Random(3)
    wanted = pieces(*(random.randint(20, 1500) * SIXTEENTH_NM for _ in range(MOST_PIECES)))
    cuts = cut(wanted, (EIGHT, stick(12, "21.00"), stick(16, "29.00")))
    check(cuts, wanted)
    assert cuts.least_cost <= cuts.cost


SIZES = st.lists(
    st.tuples(st.sampled_from([8, 10, 12, 16]), st.integers(0, 4000)),
    min_size=1,
    max_size=4,
    unique_by=lambda offer: offer[0],
).map(lambda sizes: tuple(stick(feet, f"{cents / 100:.2f}") for feet, cents in sizes))
LENGTHS = st.lists(st.integers(1, 8 * 12 * 16), min_size=1, max_size=12).map(
    lambda lengths: pieces(*(length * SIXTEENTH_NM for length in lengths))
)


@settings(deadline=None)
@given(LENGTHS, SIZES)
def test_every_piece_is_cut_once_from_a_stick_that_has_room_for_it(
    wanted: tuple[Piece, ...], sticks: tuple[Stick, ...]
) -> None:
    check(cut(wanted, sticks), wanted)


@settings(deadline=None)
@given(LENGTHS, SIZES)
def test_there_are_never_more_sticks_than_pieces(
    wanted: tuple[Piece, ...], sticks: tuple[Stick, ...]
) -> None:
    assert cut(wanted, sticks).count <= len(wanted)


@settings(deadline=None)
@given(LENGTHS, SIZES)
def test_one_piece_more_never_costs_less(wanted: tuple[Piece, ...], sticks: tuple[Stick, ...]) -> None:
    more, fewer = cut(wanted, sticks), cut(wanted[:-1], sticks)
    assert more.proven
    assert fewer.cost <= more.cost


@settings(deadline=None)
@given(LENGTHS, SIZES, st.randoms(use_true_random=False))
def test_the_order_of_the_pieces_doesnt_change_the_cost(
    wanted: tuple[Piece, ...], sticks: tuple[Stick, ...], random: Random
) -> None:
    turned = list(wanted)
    random.shuffle(turned)
    assert cut(tuple(turned), sticks).cost == cut(wanted, sticks).cost


@pytest.mark.parametrize("seed", range(100))
def test_no_cheaper_cut_list_is_found_by_an_independent_solver(seed: int) -> None:
    wanted, sticks = random_case(Random(seed), most=10)
    cost, count, optimal = solved(wanted, sticks, seconds=10)
    cuts = cut(wanted, sticks)
    assert optimal
    assert (cuts.cost, cuts.count, cuts.proven) == (cost, count, True)


@pytest.mark.parametrize("seed", range(20))
def test_a_houses_cut_list_is_proven(seed: int) -> None:
    wanted, sticks = house_case(Random(seed), most=60)
    cuts = cut(wanted, sticks)
    check(cuts, wanted)
    assert cuts.proven
    assert cuts.least_cost == cuts.cost
