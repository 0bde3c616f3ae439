"""Price bases of signed documents as they are frozen with them, for the pure rules."""

from typing import Any


def basis_line(key: str, kind: str, price: str, taxable: str = "0.00", **values: Any) -> dict[str, Any]:
    """A line of a basis that took two hours and costs $100.00."""
    return {
        "key": key,
        "kind": kind,
        "title": key,
        "price": price,
        "taxable": taxable,
        "hours": "2.00",
        "cost": "100.00",
        **values,
    }


def price_basis(
    policy: str, subtotal: str, tax_base: str, tax: str, *lines: dict[str, Any]
) -> dict[str, Any]:
    """A basis with two options, taxed at 10 % where the policy taxes at all."""
    return {
        "lines": list(lines),
        "options": [
            basis_line("fan", "option", "50.00", "30.00"),
            basis_line("sink", "option", "80.00", "20.00"),
        ],
        "policy": {"tax_policy": policy, "tax_rate": "1/10"},
        "subtotal": subtotal,
        "tax_base": tax_base,
        "tax": tax,
    }


TILE_AND_PAINT = (
    basis_line("tile", "work", "300.00", "100.00"),
    basis_line("paint", "work", "200.00", "40.00"),
)
