"""Units as the trade writes them, exact conversion between them, and quantities in words.

A quantity is an exact `Fraction` beside the canonical name of its unit. Conversion factors come from Pint,
whose registry is loaded on the first conversion only.
"""

from fractions import Fraction
from functools import lru_cache
from threading import Lock
from typing import TYPE_CHECKING, NamedTuple

from catalog.measures.lengths import half_up, normalized, shortened

if TYPE_CHECKING:
    from pint import UnitRegistry


class UnknownUnit(ValueError):
    """No unit has this name; the message names some that exist."""


class UnfitUnits(ValueError):
    """The units measure other things than are wanted; the message names both."""


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
    "mL": _Unit("milliliter", "milliliters", "ml,milliliter,milliliters,millilitre,millilitres"),
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
    """Return the one name of a unit: "sq ft" for "square feet" and "sf", "each" for anything counted.

    Raises UnknownUnit with a plain sentence.
    """
    name = " ".join(normalized(text).replace(".", " ").replace("-", " ").split())
    if name not in _NAMED:
        raise UnknownUnit(
            f"{shortened(text) or 'Nothing'} isn't a unit known here. "
            "Use one such as sq ft, ft, gal, lb, hour, or each for what is counted."
        )
    return _NAMED[name]


# A cache alone lets two threads of a server that has just started each make a registry, and quantities of
# two registries can't be divided.
_REGISTRY_IN_USE = Lock()


@lru_cache(maxsize=1)
def _registry() -> "UnitRegistry[Fraction]":
    from pint import UnitRegistry  # here, because loading it takes longer than everything else together

    registry: UnitRegistry[Fraction] = UnitRegistry(non_int_type=Fraction)
    registry.define("each = [count_of_things]")
    return registry


@lru_cache(maxsize=1024)
def conversion_factor(unit: str, to: str) -> Fraction | None:
    """Return how many `to` one `unit` is, exactly; None where they measure different things.

    Both are canonical names of units.
    """
    if unit == to:
        return Fraction(1)
    with _REGISTRY_IN_USE:
        known = _registry().parse_expression(_UNITS[unit].pint)
        wanted = _registry().parse_expression(_UNITS[to].pint)
        if known.dimensionality != wanted.dimensionality:
            return None
        return Fraction((known / wanted).to_base_units().magnitude)


def same_dimension(unit: str, other: str) -> bool:
    """Tell whether one unit converts to the other. Raises UnknownUnit."""
    return conversion_factor(canonical_unit(unit), canonical_unit(other)) is not None


def convert(quantity: Fraction, unit: str, to: str) -> Fraction:
    """Return the quantity in another unit, exactly.

    Raises UnfitUnits where the units measure different things, UnknownUnit for a unit that isn't known.
    """
    factor = conversion_factor(canonical_unit(unit), canonical_unit(to))
    if factor is None:
        raise UnfitUnits(f"{unit} doesn't convert to {to}: they measure different things.")
    return quantity * factor


def format_quantity(quantity: Fraction, unit: str, metric: bool = False) -> str:
    """Return the quantity with its unit, to two decimals half-up: "1,142.2 sq ft", "7 each", "1 hour".

    An amount above zero that rounds to zero reads "under 0.01". With `metric`, lengths, areas and volumes by
    the foot, inch or yard are shown in metric; gallons and pounds are not converted, since that is how
    packages are labeled.
    """
    code = canonical_unit(unit)
    if metric and _UNITS[code].metric:
        quantity, code = convert(quantity, code, _UNITS[code].metric), _UNITS[code].metric
    rounded = Fraction(half_up(quantity * 100), 100)
    number = "under 0.01" if quantity > 0 and not rounded else format_decimal(rounded)
    return f"{number} {plural_unit(code, rounded).replace('m2', 'm²').replace('m3', 'm³')}"


def format_amount(quantity: Fraction, unit: str, metric: bool = False) -> str:
    """Return a quantity as people read it: with its unit, and what is counted as the number alone."""
    return format_quantity(quantity, unit, metric).removesuffix(" each")


def format_number(number: Fraction) -> str:
    """Return a number to two decimals half-up, with commas in thousands and no trailing zeros."""
    return format_decimal(Fraction(half_up(number * 100), 100))


def format_percent(share: Fraction) -> str:
    """Return a share in percent with one decimal, half-up: "14.3%"."""
    return f"{format_decimal(Fraction(half_up(share * 1000), 10))}%"


def format_decimal(hundredths: Fraction) -> str:
    """Return a number of whole hundredths as text, with commas in thousands and no trailing zeros."""
    whole, part = divmod(abs(int(hundredths * 100)), 100)
    text = f"{whole:,}.{part:02d}".rstrip("0").rstrip(".")
    return f"-{text}" if hundredths < 0 else text


def plural_unit(unit: str, amount: Fraction) -> str:
    """Return the unit as it is written after an amount: "hours", "squares"; abbreviations don't change."""
    return f"{unit}s" if unit in ("hour", "square") and amount != 1 else unit
