"""Signed lists once more is on hand than when they were issued."""

from fractions import Fraction
from typing import Any

import pytest

from estimating.contract.on_hand import with_stock


def listed(unit: str, required: str, *packages: tuple[str, int], **fields: Any) -> dict[str, Any]:
    """A material of a basis; a package costs $10.00."""
    rows = [{"key": size, "size": size, "price": "10.00", "count": count} for size, count in packages]
    return {"code": "m", "unit": unit, "required": required, "cost": "0", "packages": rows, **fields}


def left(on_hand: str, *materials: dict[str, Any]) -> list[tuple[dict[str, int], str]]:
    """The packages still to buy, by their size, and their cost, of bases of one material each."""
    bases = with_stock([{"materials": [material]} for material in materials], {"m": Fraction(on_hand)})
    rows = [basis["materials"][0] for basis in bases]
    return [({kept["size"]: kept["count"] for kept in row["packages"]}, row["cost"]) for row in rows]


@pytest.mark.parametrize(
    ("on_hand", "packages", "cost"),
    [
        ("0", {"1": 2}, "0"),  # as it was issued
        ("0.8", {"1": 2}, "20.00"),  # 1.07 gal are short
        ("0.87", {"1": 1}, "10.00"),
        ("1.87", {}, "0.00"),
        ("5", {}, "0.00"),
    ],
)
def test_packages_that_stock_makes_needless_are_left_out(
    on_hand: str, packages: dict[str, int], cost: str
) -> None:
    assert left(on_hand, listed("gal", "1.87", ("1", 2))) == [(packages, cost)]


def test_the_largest_needless_package_is_left_out_first() -> None:
    assert left("300", listed("each", "380", ("300", 1), ("100", 1))) == [({"100": 1}, "10.00")]


def test_of_sticks_only_whole_ones_on_hand_are_left_out() -> None:
    assert left("26", listed("ft", "50", ("12", 3), ("8", 3))) == [({"12": 1, "8": 3}, "40.00")]


def test_what_was_on_hand_when_it_was_issued_is_not_counted_twice() -> None:
    issued = listed("each", "10", ("1", 7), on_hand={"amount": "3", "cost": "9.00"})
    assert left("3", issued) == [({"1": 7}, "0")]
    assert left("5", issued) == [({"1": 5}, "50.00")]


def test_a_change_gets_what_the_estimate_leaves() -> None:
    estimate, change = listed("each", "4", ("1", 4)), listed("each", "3", ("1", 3))
    assert left("5", estimate, change) == [({}, "0.00"), ({"1": 2}, "20.00")]


def test_an_old_paper_without_what_is_required_loses_whole_packages_alone() -> None:
    old = listed("gal", "", ("1", 2))
    del old["required"]
    assert left("1.5", old) == [({"1": 1}, "10.00")]
