"""Units as the trade writes them, rates as the trade states them, and lengths as a tape is read.

A quantity is an exact `Fraction` beside the canonical name of its unit. Factors come from Pint, whose
registry is loaded on the first conversion only.
"""

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from threading import Lock
from typing import TYPE_CHECKING, NamedTuple

from catalog.measures.lengths import (
    MAX_CHARACTERS,
    NM_PER_FOOT,
    NM_PER_INCH,
    NM_PER_METER,
    UnreadableLength,
    feet_from_nm,
    format_length,
    half_up,
    parse_length,
    plainly,
    shown,
    sqft_from_nm2,
)

if TYPE_CHECKING:
    from pint import UnitRegistry

__all__ = [
    "NM_PER_FOOT",
    "NM_PER_INCH",
    "NM_PER_METER",
    "UNITS",
    "Rate",
    "UnfitUnits",
    "UnknownUnit",
    "UnreadableLength",
    "UnreadableRate",
    "canonical_unit",
    "convert",
    "feet_from_nm",
    "format_length",
    "format_number",
    "format_percent",
    "format_quantity",
    "format_rate",
    "parse_length",
    "parse_rate",
    "same_dimension",
    "sqft_from_nm2",
]


class UnreadableRate(ValueError):
    """The typed rate can't be used; the message says in a plain sentence what would be right."""


class UnfitUnits(UnreadableRate):
    """The units are known but measure other things than are wanted; the message names both."""


class UnknownUnit(ValueError):
    """No unit goes by this name; the message names some that do."""


class _Unit(NamedTuple):
    pint: str
    label: str
    also: str  # other names, parted by commas
    metric: str = ""  # the unit that a metric firm is shown


_UNITS = {
    "sq ft": _Unit("foot**2", "square feet", "sf,sqft,ft2,square foot,square feet,sq feet,sq foot,sqf", "m2"),
    "sq in": _Unit("inch**2", "square inches", "sqin,in2,square inch,square inches", "cm2"),
    "sq yd": _Unit("yard**2", "square yards", "sy,sqyd,yd2,square yard,square yards", "m2"),
    "square": _Unit("(100 foot**2)", "squares (100 sq ft)", "squares,sq", "m2"),
    "m2": _Unit(
        "meter**2", "square meters", "sq m,sqm,square meter,square meters,square metre,square metres"
    ),
    "cm2": _Unit("centimeter**2", "square centimeters", "sq cm"),
    "ft": _Unit("foot", "feet", "foot,feet,lf,lin ft,linear ft,linear foot,linear feet,lineal ft", "m"),
    "in": _Unit("inch", "inches", "inch,inches", "mm"),
    "yd": _Unit("yard", "yards", "yard,yards", "m"),
    "m": _Unit("meter", "meters", "meter,meters,metre,metres,lm,linear m"),
    "cm": _Unit("centimeter", "centimeters", "centimeter,centimeters,centimetre,centimetres"),
    "mm": _Unit("millimeter", "millimeters", "millimeter,millimeters,millimetre,millimetres"),
    "cu ft": _Unit("foot**3", "cubic feet", "cf,cuft,ft3,cubic foot,cubic feet", "m3"),
    "cu in": _Unit("inch**3", "cubic inches", "cuin,in3,cubic inch,cubic inches", "L"),
    "cu yd": _Unit("yard**3", "cubic yards", "cy,cuyd,yd3,cubic yard,cubic yards", "m3"),
    "m3": _Unit("meter**3", "cubic meters", "cu m,cubic meter,cubic meters,cubic metre,cubic metres"),
    "gal": _Unit("gallon", "gallons", "gallon,gallons,gals"),
    "qt": _Unit("quart", "quarts", "quart,quarts,qts"),
    "pt": _Unit("pint", "pints", "pint,pints"),
    "fl oz": _Unit("fluid_ounce", "fluid ounces", "floz,fluid ounce,fluid ounces"),
    "L": _Unit("liter", "liters", "l,liter,liters,litre,litres"),
    "mL": _Unit("milliliter", "millilitres", "ml,milliliter,milliliters,millilitre,millilitres"),
    "lb": _Unit("pound", "pounds", "lbs,pound,pounds"),
    "oz": _Unit("ounce", "ounces", "ounce,ounces"),
    "kg": _Unit("kilogram", "kilograms", "kgs,kilo,kilos,kilogram,kilograms"),
    "g": _Unit("gram", "grams", "gram,grams"),
    "hour": _Unit(
        "hour",
        "hours",
        "hours,h,hr,hrs,mh,man hour,man hours,labor hour,labor hours",
    ),
    "min": _Unit("minute", "minutes", "mins,minute,minutes"),
    "each": _Unit(
        "each",
        "each",
        "ea,item,items,count,piece,pieces,pc,pcs,unit,units,set,sets,sheet,sheets,board,boards,panel,panels,"
        "plank,planks,stick,sticks,bag,bags,box,boxes,bundle,bundles,carton,cartons,case,cases,pack,packs,"
        "package,packages,can,cans,pail,pails,roll,rolls,tube,tubes,cartridge,cartridges,room,rooms,job,jobs,"
        "screw,screws,nail,nails,fastener,fasteners,anchor,anchors,clip,clips,hanger,hangers,hinge,hinges,"
        "spacer,spacers,bracket,brackets,tile,tiles,door,doors,window,windows,opening,openings,corner,corners,"
        "light,lights,lamp,lamps,fixture,fixtures,outlet,outlets,switch,switches,device box,device boxes,"
        "cabinet,cabinets,knob,knobs,pull,pulls,stud,studs,joist,joists",
    ),
    "dozen": _Unit("(12 each)", "dozens", "doz,dozens"),
}
_NAMED = {
    name: code
    for code, unit in _UNITS.items()
    for name in (code.lower(), *(unit.also.split(",") if unit.also else ()))
}
UNITS: tuple[tuple[str, str], ...] = tuple((code, unit.label) for code, unit in _UNITS.items())


@lru_cache(maxsize=1024)
def canonical_unit(text: str) -> str:
    """The one name of a unit ("square feet" and "sf" are "sq ft"; things that are counted are "each").

    Raises UnknownUnit with a plain sentence.
    """
    name = " ".join(plainly(text).replace(".", " ").replace("-", " ").split())
    if name not in _NAMED:
        raise UnknownUnit(
            f"{shown(text) or 'Nothing'} isn't a unit known here. "
            "Use one such as sq ft, ft, gal, lb, hour, or each for what is counted."
        )
    return _NAMED[name]


# A cache alone lets two threads of a server that has just started each make a registry, and quantities of
# two registries can't be divided.
_REGISTRY_IN_USE = Lock()


@lru_cache(maxsize=1)
def _registry() -> "UnitRegistry":
    from pint import UnitRegistry  # here, because loading it takes longer than everything else together

    registry = UnitRegistry(non_int_type=Fraction)
    registry.define("each = [count_of_things]")
    return registry


@lru_cache(maxsize=1024)
def _factor(unit: str, to: str) -> Fraction | None:
    """How many `to` one `unit` is, exact; None where they measure different things."""
    if unit == to:
        return Fraction(1)
    with _REGISTRY_IN_USE:
        one = _registry().parse_expression(_UNITS[unit].pint)
        other = _registry().parse_expression(_UNITS[to].pint)
        if one.dimensionality != other.dimensionality:
            return None
        return Fraction((one / other).to_base_units().magnitude)


def same_dimension(unit: str, other: str) -> bool:
    """Whether one unit converts to the other. Raises UnknownUnit."""
    return _factor(canonical_unit(unit), canonical_unit(other)) is not None


def convert(quantity: Fraction, unit: str, to: str) -> Fraction:
    """The quantity in another unit, exact. Raises UnfitUnits where the units measure different things."""
    factor = _factor(canonical_unit(unit), canonical_unit(to))
    if factor is None:
        raise UnfitUnits(f"{unit} doesn't convert to {to}: they measure different things.")
    return quantity * factor


@dataclass(frozen=True)
class Rate:
    """How much of one thing goes with one unit of another, with the words it was typed in."""

    typed: str
    per_unit: Fraction  # units of the material, or hours, for one unit of the measure


_LARGEST = 10**9  # keeps a stored rate short
_WORDS = {"a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4, "half": Fraction(1, 2)}
_SCALES = {"dozen": 12, "hundred": 100, "thousand": 1000}
_SIDE = re.compile(
    r"(?P<number>\d{1,3}(?:,\d{3})+(?:\.\d*)?|\d+ ?/ ?\d+|\d+[ -]\d+ ?/ ?\d+|\d+\.?\d*|\.\d+"
    rf"|(?:{'|'.join(_WORDS)})\b)? ?(?P<scale>(?:hundred|thousand)\b)? ?(?P<unit>[a-z].*)?",
    re.ASCII,
)
_PARTINGS = tuple(
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
    """Read a rate as the trade states it, for a material in `of` units (or "hour") and a measure in `per`.

    "350 sq ft per gallon", "9 hours per 1000 sq ft", "1 each 8 in", "0.75 h each", "2 per room". Which
    side is the material is told by what the units measure; where both measure the same (1.05 sq ft per
    sq ft) the material is typed first. A number without a unit counts things. The result is exact.
    Raises UnreadableRate, or UnfitUnits where the units don't suit, with a plain sentence; UnknownUnit
    where `of` or `per` is none.
    """
    of, per = canonical_unit(of), canonical_unit(per)
    example = _example(of, per)
    if len(typed) > MAX_CHARACTERS:
        raise UnreadableRate(f"That is too long for a rate: {MAX_CHARACTERS} characters at most.")
    plain = plainly(typed).replace('"', " in").replace("'", " ft")
    if not plain:
        raise UnreadableRate(f"Type a rate, such as {example}.")
    parted = next((match for pattern in _PARTINGS if (match := pattern.fullmatch(plain))), None)
    if parted is None:
        raise UnreadableRate(f"{shown(typed)} says nothing per something. Type it such as {example}.")
    if not re.search(rf"\d|\b(?:{'|'.join(_WORDS)})\b", plain):
        raise UnreadableRate(f"{shown(typed)} has no number in it. Type it such as {example}.")
    (first, unit), (second, other) = (_side(parted[name], typed, example) for name in ("left", "right"))
    for material, measure in (((first, unit), (second, other)), ((second, other), (first, unit))):
        wanted, base = _factor(material[1], of), _factor(measure[1], per)
        if wanted is not None and base is not None:
            return Rate(typed.strip(), material[0] * wanted / (measure[0] * base))
    raise UnfitUnits(
        f"{shown(typed)} ties {unit} to {other}, but {of} and {per} are wanted here: such as {example}."
    )


def _side(text: str, typed: str, example: str) -> tuple[Fraction, str]:
    """One side of a rate: how many, of which unit."""
    match = _SIDE.fullmatch(text.strip())
    if match is None or not (match["number"] or match["unit"]):
        negative = text.strip().startswith("-")
        why = "A rate can't be negative" if negative else f"{shown(typed)} can't be read as a rate"
        raise UnreadableRate(f"{why}. Type it such as {example}.")
    number = _number(match["number"] or "1") * _SCALES.get(match["scale"], 1)
    if number == 0:
        raise UnreadableRate(f"A rate of zero gives nothing to count: type more than 0, such as {example}.")
    if max(number.numerator, number.denominator) > _LARGEST:
        raise UnreadableRate(f"{shown(typed)} has too long a number. Type it such as {example}.")
    try:
        return number, canonical_unit(match["unit"] or "each")
    except UnknownUnit as unknown:
        raise UnreadableRate(f"{unknown} For example: {example}.") from unknown


def _number(text: str) -> Fraction:
    """A positive number from "1,000", "0.05", "1/350", "1-1/2" or "one"; zero where it is no number."""
    if text in _WORDS:
        return Fraction(_WORDS[text])
    if "/" not in text:
        return Fraction(f"0{text.replace(',', '')}")
    *whole, top, bottom = (int(digits) for digits in re.findall(r"\d+", text))
    return sum(whole) + Fraction(top, bottom) if bottom else Fraction(0)


def _example(of: str, per: str) -> str:
    return _EXAMPLES.get((of, per)) or f"{'1.05' if of == per else '2'} {of} per {per}"


def format_rate(per_unit: Fraction, of: str, per: str) -> str:
    """Words for a rate of which only the number is known; parse_rate reads them back exactly.

    The first of these that needs at most two decimals: so much per unit, so many units for one of the
    material (first for what is sold by volume), so much per 100 or 1,000 units; else an exact fraction.
    """
    of, per = canonical_unit(of), canonical_unit(per)
    inverse = 1 / per_unit
    if _factor(of, "gal") is not None and per_unit < 1 and _is_short(inverse):
        return f"{_decimal(inverse)} {per} per {of}"
    for count in (1, 100, 1000):
        amount = per_unit * count
        if _is_short(amount) and (amount >= Fraction(1, 10) or count == 1000):
            measure = per if count == 1 else f"{count:,} {per}"
            return f"{_decimal(amount)} {_plural(of, amount)} per {measure}"
    if _is_short(inverse):
        return f"1 {of} per {_decimal(inverse)} {_plural(per, inverse)}"
    return f"{per_unit} {_plural(of, per_unit)} per {per}"


def format_quantity(quantity: Fraction, unit: str, metric: bool = False) -> str:
    """The quantity with its unit, to two decimals half-up: "1,142.2 sq ft", "7 each", "1 hour".

    What is above zero but rounds to it says "under 0.01". With `metric`, lengths, areas and volumes by
    the foot, inch or yard are shown in metric; gallons and pounds stay what the label says.
    """
    code = canonical_unit(unit)
    if metric and _UNITS[code].metric:
        quantity, code = convert(quantity, code, _UNITS[code].metric), _UNITS[code].metric
    rounded = Fraction(half_up(quantity * 100), 100)
    number = "under 0.01" if quantity > 0 and not rounded else _decimal(rounded)
    return f"{number} {_plural(code, rounded).replace('m2', 'm²').replace('m3', 'm³')}"


def format_number(number: Fraction) -> str:
    """A bare number to two decimals half-up, thousands parted, trailing zeros dropped."""
    return _decimal(Fraction(half_up(number * 100), 100))


def format_percent(share: Fraction) -> str:
    """A share in per cent with one decimal, half-up: "14.3%"."""
    return f"{_decimal(Fraction(half_up(share * 1000), 10))}%"


def _is_short(number: Fraction) -> bool:
    return (number * 100).denominator == 1


def _decimal(hundredths: Fraction) -> str:
    whole, part = divmod(abs(int(hundredths * 100)), 100)
    text = f"{whole:,}.{part:02d}".rstrip("0").rstrip(".")
    return f"-{text}" if hundredths < 0 else text


def _plural(unit: str, amount: Fraction) -> str:
    return f"{unit}s" if unit in ("hour", "square") and amount != 1 else unit
