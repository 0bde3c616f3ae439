"""Rates as the trade states them: how much of a material, or how many hours, go with a measure.

"350 sq ft per gallon", "9 hours per 1000 sq ft" and "1 each 8 in" are read and written; the result is exact.
"""

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from catalog.measures.lengths import MAX_CHARACTERS, normalized, shortened
from catalog.measures.units import (
    UnfitUnits,
    UnknownUnit,
    canonical_unit,
    conversion_factor,
    format_decimal,
    plural_unit,
)


class UnreadableRate(ValueError):
    """The typed rate can't be used; the message says in a plain sentence what would be right."""


@dataclass(frozen=True)
class Rate:
    """How much of one thing goes with one unit of another, and the words in which it was typed."""

    typed: str
    per_unit: Fraction  # units of the material, or hours, for one unit of the measure


_LARGEST = 10**9  # keeps a stored rate short
_WORDS: dict[str, int | Fraction] = {
    "a": 1,
    "an": 1,
    "one": 1,
    "two": 2,
    "three": 3,
    "four": 4,
    "half": Fraction(1, 2),
}
_SCALES = {"dozen": 12, "hundred": 100, "thousand": 1000}
_SIDE = re.compile(
    r"(?P<number>\d{1,3}(?:,\d{3})+(?:\.\d*)?|\d+ ?/ ?\d+|\d+[ -]\d+ ?/ ?\d+|\d+\.?\d*|\.\d+"
    rf"|(?:{'|'.join(_WORDS)})\b)? ?(?P<scale>(?:hundred|thousand)\b)? ?(?P<unit>[a-z].*)?",
    re.ASCII,
)
_TWO_SIDES = tuple(
    re.compile(pattern, re.ASCII)
    for pattern in (
        r"(?P<left>.+?) (?:per|every|for each|for every) (?P<right>.+)",
        r"(?P<left>.+?(?:[a-z.]|m2|m3)) ?/ ?(?P<right>.+)",
        r"(?P<left>.+?) ?/ ?(?P<right>[a-z].*)",
        r"(?P<left>.+?) each (?P<right>[\d.].*)",
        r"(?P<left>.+?) (?P<right>each)",
        r"(?P<left>.+?) (?P<right>an? .+)",
    )
)
_EXAMPLES = {
    ("gal", "sq ft"): "350 sq ft per gal",
    ("hour", "sq ft"): "9 hours per 1000 sq ft",
    ("hour", "ft"): "3 hours per 100 ft",
    ("hour", "each"): "0.75 hours each",
    ("each", "ft"): "1 each 8 in",
    ("lb", "sq ft"): "90 sq ft per 50 lb",
}


@lru_cache(maxsize=4096)
def parse_rate(typed: str, of: str, per: str) -> Rate:
    """Read a rate as the trade states it and return it exactly, in `of` units for one `per` unit.

    `of` is the unit of the material (or "hour"), `per` that of the measure. Reads "350 sq ft per gallon",
    "9 hours per 1000 sq ft", "1 each 8 in", "0.75 h each" and "2 per room". The units tell which side is
    the material; where both sides measure the same (1.05 sq ft per sq ft), it is the first. A number
    without a unit counts things. Raises UnreadableRate, or UnfitUnits where the units don't suit, both with
    a plain sentence; UnknownUnit where `of` or `per` isn't a unit.
    """
    of, per = canonical_unit(of), canonical_unit(per)
    example = _example(of, per)
    if len(typed) > MAX_CHARACTERS:
        raise UnreadableRate(f"That is too long for a rate: {MAX_CHARACTERS} characters at most.")
    plain = normalized(typed).replace('"', " in").replace("'", " ft")
    if not plain:
        raise UnreadableRate(f"Type a rate, such as {example}.")
    sides = next((match for pattern in _TWO_SIDES if (match := pattern.fullmatch(plain))), None)
    if sides is None:
        raise UnreadableRate(f"{shortened(typed)} says nothing per something. Type it such as {example}.")
    if not re.search(rf"\d|\b(?:{'|'.join(_WORDS)})\b", plain):
        raise UnreadableRate(f"{shortened(typed)} has no number in it. Type it such as {example}.")
    left, right = (_side(sides[name], typed, example) for name in ("left", "right"))
    for (amount, unit), (base, base_unit) in ((left, right), (right, left)):
        to_of, to_per = conversion_factor(unit, of), conversion_factor(base_unit, per)
        if to_of is not None and to_per is not None:
            return Rate(typed.strip(), amount * to_of / (base * to_per))
    raise UnfitUnits(
        f"{shortened(typed)} ties {left[1]} to {right[1]}, but {of} and {per} are wanted here: "
        f"such as {example}."
    )


def _side(text: str, typed: str, example: str) -> tuple[Fraction, str]:
    """Read one side of a rate: how many, and of which unit. Raises UnreadableRate."""
    match = _SIDE.fullmatch(text.strip())
    if match is None or not (match["number"] or match["unit"]):
        negative = text.strip().startswith("-")
        why = "A rate can't be negative" if negative else f"{shortened(typed)} can't be read as a rate"
        raise UnreadableRate(f"{why}. Type it such as {example}.")
    number = _number(match["number"] or "1") * _SCALES.get(match["scale"], 1)
    if number == 0:
        raise UnreadableRate(f"A rate of zero gives nothing to count: type more than 0, such as {example}.")
    if max(number.numerator, number.denominator) > _LARGEST:
        raise UnreadableRate(f"{shortened(typed)} has too long a number. Type it such as {example}.")
    try:
        return number, canonical_unit(match["unit"] or "each")
    except UnknownUnit as unknown:
        raise UnreadableRate(f"{unknown} For example: {example}.") from unknown


def _number(text: str) -> Fraction:
    """Read a number such as "1,000", "0.05", "1/350", "1-1/2" or "one"; a fraction over 0 reads as zero."""
    if text in _WORDS:
        return Fraction(_WORDS[text])
    if "/" not in text:
        return Fraction(f"0{text.replace(',', '')}")
    *whole, top, bottom = (int(digits) for digits in re.findall(r"\d+", text))
    return Fraction(top, bottom) + sum(whole) if bottom else Fraction(0)


def _example(of: str, per: str) -> str:
    """Return a rate in these units, to show how one is typed."""
    return _EXAMPLES.get((of, per)) or f"{'1.05' if of == per else '2'} {of} per {per}"


def format_rate(per_unit: Fraction, of: str, per: str) -> str:
    """Return the words of a rate of which only the number is known; parse_rate reads them back exactly.

    It is the first of these that needs at most two decimals: so much for one unit of the measure; so many
    units of the measure for one of the material (tried first for what is sold by volume); so much for 100
    or 1,000 units of the measure. Where none does, it is an exact fraction.
    """
    of, per = canonical_unit(of), canonical_unit(per)
    inverse = 1 / per_unit
    if conversion_factor(of, "gal") is not None and per_unit < 1 and _is_short(inverse):
        return f"{format_decimal(inverse)} {per} per {of}"
    for count in (1, 100, 1000):
        amount = per_unit * count
        if _is_short(amount) and (amount >= Fraction(1, 10) or count == 1000):
            measure = per if count == 1 else f"{count:,} {per}"
            return f"{format_decimal(amount)} {plural_unit(of, amount)} per {measure}"
    if _is_short(inverse):
        return f"1 {of} per {format_decimal(inverse)} {plural_unit(per, inverse)}"
    return f"{per_unit} {plural_unit(of, per_unit)} per {per}"


def _is_short(number: Fraction) -> bool:
    return (number * 100).denominator == 1
