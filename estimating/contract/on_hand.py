"""What a signed list still has to buy once more is on hand than when it was issued."""

from collections.abc import Iterable, Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Any

from estimating.plain_text import money

ZERO = Fraction(0)


def with_stock(
    bases: Iterable[Mapping[str, Any]], on_hand: Mapping[str, Fraction]
) -> list[Mapping[str, Any]]:
    """Return signed price bases without the packages that what is on hand makes needless.

    `on_hand` is by the code of a material in its unit; the first basis that needs it gets it. What was on
    hand when a paper was issued isn't counted twice, and no package comes back where there is less by now.
    """
    left = dict(on_hand)
    return [
        {**basis, "materials": [_less(material, left) for material in basis.get("materials", ())]}
        for basis in bases
    ]


def _less(material: Mapping[str, Any], left: dict[str, Fraction]) -> Mapping[str, Any]:
    """Return a material with the packages that are still to buy, and take what it uses off `left`."""
    code = material["code"]
    issued = Fraction(material["on_hand"]["amount"]) if "on_hand" in material else ZERO
    more = left.get(code, ZERO) - issued
    left[code] = max(more, ZERO)
    if more <= 0:
        return material
    packages, taken = _still_to_buy(material, issued, more)
    left[code] = more - taken
    cost = sum((Decimal(kept["price"]) * kept["count"] for kept in packages), Decimal(0))
    on_hand = {"cost": "0.00", **material.get("on_hand", {}), "amount": f"{issued + taken}"}
    return {**material, "packages": packages, "cost": money(cost), "on_hand": on_hand}


def _still_to_buy(
    material: Mapping[str, Any], issued: Fraction, more: Fraction
) -> tuple[list[dict[str, Any]], Fraction]:
    """Return the packages that are still to buy, the largest left out first, and how much of `more` is used.

    Of what goes by the foot, which may be sticks with a cut list, only whole pieces that are on hand are left
    out, as of what an older paper doesn't say how much is required.
    """
    by_piece = material["unit"] == "ft" or "required" not in material
    lacks = ZERO if by_piece else Fraction(material["required"]) - issued
    taken = min(more, lacks)
    bought = sum((Fraction(kept["size"]) * kept["count"] for kept in material["packages"]), ZERO)
    spare = more if by_piece else bought - (lacks - taken)
    packages = []
    for kept in sorted(material["packages"], key=lambda kept: -Fraction(kept["size"])):
        size = Fraction(kept["size"])
        needless = min(kept["count"], max(spare, ZERO) // size)
        spare -= needless * size
        if kept["count"] > needless:
            packages.append({**kept, "count": int(kept["count"] - needless)})
    return packages, more - spare if by_piece else taken
