"""What a plan must sum to, read from the frozen facts of what was signed."""

from decimal import Decimal

import pytest

from estimating.contract.document_amounts import TaxedAmount
from estimating.contract.lines import SignedBasis
from invoicing.milestones.contract_amounts import change_key, contract_amounts, signed_changes_of
from tests.invoicing.signed_bases import TILE_AND_PAINT, basis_line, price_basis


@pytest.mark.parametrize(
    ("policy", "tax_base", "taxable", "tax"),
    [
        ("materials", "140.00", "170.00", "17.00"),
        ("everything", "500.00", "550.00", "55.00"),
        ("consumer", "0.00", "0.00", "0.00"),
        ("none", "0.00", "0.00", "0.00"),
    ],
)
def test_options_taken_are_in_the_sum_and_taxed_by_the_policy(
    policy: str, tax_base: str, taxable: str, tax: str
) -> None:
    basis = price_basis(policy, "500.00", tax_base, "0.00", *TILE_AND_PAINT)
    contract = contract_amounts(SignedBasis(1, "Estimate 1001", basis, [0]), (), is_signed=True)
    assert (contract.amount, contract.taxable, contract.tax) == (
        Decimal("550.00"),
        Decimal(taxable),
        Decimal(tax),
    )


def test_a_change_is_its_fixed_price_and_apart_what_goes_by_the_hour() -> None:
    lines = (basis_line("joist", "at_most", "90.00", "10.00"), basis_line("fan", "agreed", "60.00", "25.00"))
    fixed, by_the_hour = signed_changes_of(
        SignedBasis(7, "", price_basis("materials", "150.00", "35.00", "3.50", *lines)), "Rot"
    )
    assert (fixed.key, fixed.amount, fixed.taxable) == ("change-7", Decimal("60.00"), Decimal("25.00"))
    assert (by_the_hour.key, by_the_hour.is_time_and_material) == ("change-7-measured", True)
    assert (by_the_hour.amount, by_the_hour.taxable) == (Decimal("90.00"), Decimal("10.00"))


def test_a_change_without_money_asks_for_none() -> None:
    assert (
        signed_changes_of(SignedBasis(7, "", price_basis("none", "0.00", "0.00", "0.00")), "Days only") == ()
    )


def test_the_contract_sum_counts_every_signed_change() -> None:
    estimate = SignedBasis(1, "Estimate 1001", price_basis("none", "500.00", "0.00", "0.00", *TILE_AND_PAINT))
    change = SignedBasis(2, "Change order 1", price_basis("none", "-40.00", "0.00", "0.00"))
    contract = contract_amounts(estimate, [(change, "Less")], is_signed=True)
    assert contract.contract_sum == Decimal("460.00")


def test_the_tax_of_the_contract_is_that_of_the_estimate_and_of_each_change() -> None:
    """10 % of the 140.00 taxed is 14.00; a credit of 40.00, of which 12.50 are taxed, gives 1.25 back."""
    basis = price_basis("materials", "500.00", "140.00", "14.00", *TILE_AND_PAINT)
    credit = SignedBasis(2, "Change order 1", price_basis("materials", "-40.00", "-12.50", "-1.25"))
    contract = contract_amounts(SignedBasis(1, "Estimate 1001", basis), [(credit, "Less")], is_signed=True)
    assert (contract.tax, contract.taxable) == (Decimal("12.75"), Decimal("140.00"))
    assert [document.name for document in contract.documents] == ["Estimate 1001", "Change order 1"]


def test_the_tax_of_the_estimate_is_rounded_half_up() -> None:
    """10 % of 140.05 is 14.005."""
    basis = price_basis("materials", "500.00", "140.05", "14.01", *TILE_AND_PAINT)
    contract = contract_amounts(SignedBasis(1, "Estimate 1001", basis), (), is_signed=True)
    assert contract.tax == Decimal("14.01")


def test_the_keys_of_changes_stay_as_they_were_stored() -> None:
    assert (change_key(12, False), change_key(12, True)) == ("change-12", "change-12-measured")


def test_hours_that_are_settled_count_at_what_they_came_to_and_as_signed_at_their_limit() -> None:
    estimate = SignedBasis(1, "Estimate 1001", price_basis("none", "500.00", "0.00", "0.00", *TILE_AND_PAINT))
    lines = (basis_line("joist", "at_most", "90.00", "0.00"),)
    change = SignedBasis(7, "Change order 1", price_basis("none", "90.00", "0.00", "0.00", *lines))
    settled = {7: TaxedAmount(Decimal("52.00"))}
    contract = contract_amounts(estimate, [(change, "Joist")], True, settled)
    assert [part.amount for part in contract.changes] == [Decimal("52.00")]
    assert [part.amount for part in contract.as_signed] == [Decimal("90.00")]


@pytest.mark.parametrize("is_signed", [True, False])
def test_it_says_whether_it_is_signed(is_signed: bool) -> None:
    estimate = SignedBasis(1, "", price_basis("none", "500.00", "0.00", "0.00", *TILE_AND_PAINT))
    assert contract_amounts(estimate, (), is_signed).is_signed is is_signed
