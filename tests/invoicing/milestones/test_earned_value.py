"""How much of the contract sum finished work has earned, by cost and by hours."""

from decimal import Decimal
from fractions import Fraction

from estimating.contract.lines import SignedBasis
from estimating.contract.work_lines import contract_work_lines
from invoicing.milestones.earned_value import (
    WeightedWork,
    earned_value,
    weights_by_cost,
    weights_by_hours,
)
from tests.invoicing.signed_bases import TILE_AND_PAINT, basis_line, price_basis

ESTIMATE = SignedBasis(1, "Estimate 1001", price_basis("none", "500.00", "0.00", "0.00", *TILE_AND_PAINT))


def test_work_that_a_change_took_out_in_part_weighs_by_what_is_left() -> None:
    out = basis_line("out", "brought", "-150.00", refers_document=1, refers_key="tile")
    change = SignedBasis(2, "Change order 1", price_basis("none", "-150.00", "0.00", "0.00", out))
    tile, paint = contract_work_lines([ESTIMATE, change], [(1, "paint")])
    assert (tile.line.left, tile.hours, tile.cost, tile.is_finished) == (Decimal(150), Fraction(1), 50, False)
    assert (paint.cost, paint.is_finished) == (Fraction(100), True)


def test_work_taken_out_whole_is_no_work_to_finish() -> None:
    out = basis_line("out", "taken_out", "-300.00", refers_document=1, refers_key="tile")
    change = SignedBasis(2, "Change order 1", price_basis("none", "-300.00", "0.00", "0.00", out))
    assert [line.line.key for line in contract_work_lines([ESTIMATE, change], ())] == ["paint"]


def test_work_without_a_price_is_still_work_to_finish() -> None:
    free = basis_line("haul", "work", "0.00")
    estimate = SignedBasis(1, "Estimate 1001", price_basis("none", "0.00", "0.00", "0.00", free))
    (line,) = contract_work_lines([estimate], ())
    assert (line.hours, line.cost) == (Fraction(2), Fraction(100))


def test_work_at_a_lump_sum_weighs_what_its_price_would_cost() -> None:
    """Tile and paint cost 200.00 and sell for 500.00, so a lump sum of 75.00 weighs 30.00."""
    lump_sum = basis_line("subfloor", "agreed", "75.00", hours="0", cost="0")
    change = SignedBasis(2, "Change order 1", price_basis("none", "75.00", "0.00", "0.00", lump_sum))
    lines = contract_work_lines([ESTIMATE, change], [(2, "subfloor")])
    assert [work.weight for work in weights_by_cost(lines)] == [100, 100, 30]
    assert [work.is_finished for work in weights_by_cost(lines)] == [False, False, True]
    assert [work.weight for work in weights_by_hours(lines)] == [2, 2, 0]
    assert [work.is_finished for work in weights_by_hours(lines)] == [False, False, True]


def test_lump_sums_alone_weigh_their_prices() -> None:
    lump_sum = basis_line("subfloor", "agreed", "75.00", hours="0", cost="0")
    change = SignedBasis(2, "Change order 1", price_basis("none", "75.00", "0.00", "0.00", lump_sum))
    assert [work.weight for work in weights_by_cost(contract_work_lines([change], ()))] == [75]


def test_work_is_worth_its_share_of_hours() -> None:
    work = [WeightedWork(Fraction(3), True), WeightedWork(Fraction(7), False)]
    assert earned_value(Decimal("1000.05"), work) == Decimal("300.02")
    assert earned_value(Decimal(1000), []) == 0
