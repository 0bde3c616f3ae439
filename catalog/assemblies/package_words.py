"""How many packages, by name as at the counter, "3 boxes of 50", or by what they hold, "2 × 5 gal"."""

import re
from collections.abc import Iterable
from fractions import Fraction

from catalog.measures.units import format_amount

# What goods come in; a package by another name keeps its name beside the number.
CONTAINERS = frozenset(
    [
        "bag",
        "board",
        "bottle",
        "box",
        "bucket",
        "bundle",
        "can",
        "carton",
        "cartridge",
        "case",
        "coil",
        "day",
        "gallon",
        "jar",
        "kit",
        "load",
        "pack",
        "package",
        "pail",
        "pair",
        "pallet",
        "piece",
        "pint",
        "quart",
        "roll",
        "set",
        "sheet",
        "spool",
        "stick",
        "tub",
        "tube",
        "week",
    ]
)
IRREGULAR = {"foot": "feet", "box": "boxes"}
_HEAD = re.compile(r"(?:one )?(?P<head>[a-z]+(?: foot)?)(?P<rest>(?:,| of | for | (?=\d)).*)?")


def sizes_in_words(counts: Iterable[tuple[Fraction, int]], unit: str, metric: bool = False) -> list[str]:
    """Return how many packages of which size: "2 × 5 gal", "1 × 1,000"; single pieces are "2"."""
    return [
        f"{count}" if unit == "each" and size == 1 else f"{count} × {format_amount(size, unit, metric)}"
        for size, count in counts
        if count
    ]


def packages_in_words(count: int, name: str) -> str:
    """Return a number of packages with their name; a package called "one" is the thing itself."""
    if name == "one":
        return f"{count:,}"
    match = _HEAD.fullmatch(name)
    first, _, last = match["head"].rpartition(" ") if match else ("", "", "")
    if not match or not (last in CONTAINERS or last == "foot"):
        return f"{count:,} × {name}"
    plural = last if count == 1 else IRREGULAR.get(last, f"{last}s")
    return f"{count:,} {f'{first} ' if first else ''}{plural}{match['rest'] or ''}"
