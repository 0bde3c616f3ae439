"""How many packages, in the words of the counter: "3 boxes of 50", "1 gallon", "16"."""

import re

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
