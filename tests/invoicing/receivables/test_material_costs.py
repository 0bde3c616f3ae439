"""The material of what was signed: cost, markup and price."""

from decimal import Decimal
from typing import Any

from invoicing.receivables.material_costs import MaterialCosts, material_costs


def basis(**values: Any) -> dict[str, Any]:
    return {
        "lines": [
            {"material": "100.00", "price": "300.00"},
            {"material": "0.05", "price": "20.00"},
            {"price": "75.00"},
        ],
        "options": [{"material": "40.00", "price": "90.00"}, {"price": "15.00"}],
        **values,
    }


def test_an_estimate_marks_up_its_material_as_its_policy_says() -> None:
    """10 % on 100.05 makes 110.055; a lump sum of 75.00 isn't split."""
    costs = material_costs(basis(policy={"material": "10 markup"}))
    assert costs == MaterialCosts(Decimal("100.05"), Decimal("110.06"), Decimal("75.00"))
    assert costs.markup == Decimal("10.01")


def test_options_count_where_they_were_chosen() -> None:
    costs = material_costs(basis(policy={"material": "10 markup"}), [1, 0])
    assert costs == MaterialCosts(Decimal("140.05"), Decimal("154.06"), Decimal("90.00"))


def test_a_change_order_has_one_markup() -> None:
    assert material_costs(basis(policy={}, markup="20 markup")).price == Decimal("120.06")


def test_without_material_no_markup_is_asked_for() -> None:
    credit = {"lines": [{"price": "-30.00"}], "policy": {}}
    assert material_costs(credit) == MaterialCosts(not_split=Decimal("-30.00"))


def test_costs_of_several_documents_add_up() -> None:
    first = MaterialCosts(Decimal(1), Decimal(2), Decimal(4))
    assert first + MaterialCosts(Decimal(8), Decimal(16), Decimal(32)) == MaterialCosts(
        Decimal(9), Decimal(18), Decimal(36)
    )
