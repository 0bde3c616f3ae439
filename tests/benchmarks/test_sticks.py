"""Cut lists of a house: how long they take, and more of them against an independent solver."""

from random import Random
from time import process_time

import pytest

from catalog.measures.lengths import NM_PER_INCH
from estimating.linear_stock.cut_list import cut
from tests.estimating.linear_stock.stick_cases import check, house_case, pieces, random_case, solved

pytestmark = pytest.mark.benchmark
HUNDREDTH_NM = NM_PER_INCH // 100


@pytest.mark.parametrize("seed", range(100, 140))
def test_a_solver_that_is_given_time_finds_no_cheaper_cut_list(seed: int) -> None:
    wanted, sticks = random_case(Random(seed), most=24)
    cuts = cut(wanted, sticks)
    cost, _, optimal = solved(wanted, sticks, seconds=10)
    check(cuts, wanted)
    assert cuts.cost <= cost
    assert cuts.cost == cost or not optimal


def test_houses_of_up_to_sixty_pieces_are_proven() -> None:
    longest = 0.0
    for seed in range(100):
        wanted, sticks = house_case(Random(1000 + seed), most=60)
        started = process_time()
        cuts = cut(wanted, sticks)
        longest = max(longest, process_time() - started)
        assert cuts.proven
    print(f"longest of 100 houses: {longest:.3f} s")


def test_sixty_pieces_all_different_get_a_sound_answer() -> None:
    """The hardest there are: some stay unproven, since the work is bounded."""
    proven, longest = 0, 0.0
    for seed in range(40):
        wanted, sticks = random_case(Random(seed), most=60)
        shorter = enumerate(wanted, start=1)
        spread = pieces(*(piece.length_nm - number * HUNDREDTH_NM for number, piece in shorter))
        started = process_time()
        cuts = cut(spread, sticks)
        longest = max(longest, process_time() - started)
        check(cuts, spread)
        assert cuts.least_cost <= cuts.cost
        proven += cuts.proven
    print(f"{proven} of 40 proven, longest {longest:.3f} s")
