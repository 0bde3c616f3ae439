"""Rates that physics or geometry gives: worked out from a few inputs instead of looked up.

Every default names its source. A formula gives a `Rate` whose words are the arithmetic.
"""

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from types import MappingProxyType

from catalog.measures.lengths import NM_PER_INCH, half_up, shown
from catalog.measures.units import Rate, UnreadableLength, format_quantity, parse_length

CU_IN_PER_GALLON = 231  # exact; NIST Handbook 44, appendix C
CU_IN_PER_CU_FT = 1728
SQ_IN_PER_SQ_FT = 144
_MOST_CHARACTERS = 78  # of a rate that is kept as a fraction
_DECIMAL = re.compile(r"\d{1,6}(?:\.\d{0,6})?|\.\d{1,6}", re.ASCII)

Values = Mapping[str, Fraction]


class UnknownFormula(ValueError):
    """No formula goes by this code."""


class UnusableInput(ValueError):
    """An input of a formula can't be used; `name` says which and the message is a plain sentence."""

    def __init__(self, name: str, message: str) -> None:
        super().__init__(message)
        self.name = name


@dataclass(frozen=True)
class Input:
    """A number that a formula needs, and where its default comes from."""

    name: str
    label: str
    unit: str  # "in" is read as a tape is; "%" stays within 100
    default: str = ""  # "" where it must be typed, or may be left out
    source: str = ""
    may_be_left_out: bool = False
    may_be_zero: bool = False


@dataclass(frozen=True)
class Formula:
    """A rate in `of` units for one `per` unit; `work_out` gives it with its arithmetic in words."""

    code: str
    label: str
    meaning: str
    of: str
    per: str
    inputs: tuple[Input, ...]
    work_out: Callable[[Values], tuple[Fraction, str]]


def rate_from(code: str, inputs: Mapping[str, str | Decimal | Fraction]) -> Rate:
    """The rate that a formula gives, exact; an input that is absent or blank takes its default.

    Raises UnknownFormula, or UnusableInput with a plain sentence for an input that is missing, unreadable,
    zero, negative, or not one of this formula.
    """
    formula = FORMULAS.get(code)
    if formula is None:
        raise UnknownFormula(f"{shown(code)} isn't a formula known here.")
    for name in inputs:
        if name not in {each.name for each in formula.inputs}:
            raise UnusableInput(name, f"{formula.label} takes no input called {shown(name)}.")
    read = {each.name: _read(each, inputs.get(each.name, "")) for each in formula.inputs}
    per_unit, words = formula.work_out({name: value for name, value in read.items() if value is not None})
    if len(str(per_unit)) > _MOST_CHARACTERS:
        raise UnusableInput(formula.inputs[0].name, "These numbers are too fine: use fewer decimals.")
    return Rate(words, per_unit)


def unusable(formula: Formula, inputs: Mapping[str, str]) -> Iterator[UnusableInput]:
    """What is wrong with each input that can't be used."""
    for each in formula.inputs:
        try:
            _read(each, inputs.get(each.name, ""))
        except UnusableInput as refused:
            yield refused


def _read(wanted: Input, given: str | Decimal | Fraction) -> Fraction | None:
    """The value in the unit of the input; None where it is left out and may be."""
    if isinstance(given, str):
        text = given.strip() or wanted.default
        if not text:
            if wanted.may_be_left_out:
                return None
            raise UnusableInput(wanted.name, f"{wanted.label} is missing: type it in {wanted.unit}.")
        value = _inches_from(wanted, text) if wanted.unit == "in" else _decimal_from(wanted, text)
    else:
        value = Fraction(given)
    if value < 0 or (value == 0 and not wanted.may_be_zero):
        least = "can't be below zero" if wanted.may_be_zero else "must be more than zero"
        raise UnusableInput(wanted.name, f"{wanted.label} {least}.")
    if wanted.unit == "%" and value > 100:
        raise UnusableInput(wanted.name, f"{wanted.label} can't be more than 100%.")
    return value


def _inches_from(wanted: Input, text: str) -> Fraction:
    try:
        return Fraction(parse_length(text, bare="in", allow_zero=True), NM_PER_INCH)
    except UnreadableLength as unreadable:
        raise UnusableInput(wanted.name, f"{wanted.label}: {unreadable}") from unreadable


def _decimal_from(wanted: Input, text: str) -> Fraction:
    number = text.removesuffix(wanted.unit).strip()
    if not _DECIMAL.fullmatch(number.removeprefix("-")):
        raise UnusableInput(wanted.name, f"{wanted.label}: {shown(text)} isn't a number such as 12.5.")
    return Fraction(Decimal(number))


def _thinset_bed(given: Values) -> tuple[Fraction, str]:
    bag_lb = given["bag_lb"]
    bag = f"{_short(bag_lb)} lb bag"
    if "coverage" in given:
        return bag_lb / given["coverage"], f"published {format_quantity(given['coverage'], 'sq ft')} a {bag}"
    width, depth, land = given["notch_width"], given["notch_depth"], given["land"]
    bed_in = given["collapse"] * width * depth / (width + land)
    lb_per_sqft = bed_in / 12 / given["bag_yield"] * bag_lb
    words = (
        f"notch {_inches(width)} in wide, {_inches(depth)} deep, {_inches(land)} land, "
        f"x {_short(given['collapse'])}; {_short(given['bag_yield'])} cu ft a {bag} "
        f"= {format_quantity(bag_lb / lb_per_sqft, 'sq ft')} a bag"
    )
    return lb_per_sqft, words


def _paint_film(given: Values) -> tuple[Fraction, str]:
    solids, transfer = given["volume_solids"] / 100, given["transfer"] / 100
    cu_in_per_sqft = given["dry_film"] / 1000 * SQ_IN_PER_SQ_FT / solids / transfer
    gal_per_sqft = cu_in_per_sqft / CU_IN_PER_GALLON
    words = (
        f"{_short(given['dry_film'])} mil dry, {_short(given['volume_solids'])}% solids by volume, "
        f"{_short(given['transfer'])}% arriving = {format_quantity(1 / gal_per_sqft, 'sq ft')} a gal"
    )
    return gal_per_sqft, words


def grout_cu_in_per_sqft(
    length_in: Fraction, width_in: Fraction, joint_in: Fraction, depth_in: Fraction
) -> Fraction:
    """Joint volume of a square foot of tiled surface, exact for the module of a tile and its joint.

    The usual (L + W) / (L x W) x joint x depth leaves out the crossings of joints and divides by the tile
    alone; it comes out 1.5 to 5 % higher.
    """
    module = (length_in + joint_in) * (width_in + joint_in)
    return (module - length_in * width_in) / module * depth_in * SQ_IN_PER_SQ_FT


def _grout(given: Values) -> tuple[Fraction, str]:
    length, width, joint, depth = (given[name] for name in ("tile_length", "tile_width", "joint", "depth"))
    cu_in = grout_cu_in_per_sqft(length, width, joint, depth)
    words = (
        f"tile {_inches(length)} x {_inches(width)} in, joint {_inches(joint)} wide, {_inches(depth)} deep "
        f"= {format_quantity(cu_in, 'cu in')} a sq ft; {_short(given['density'])} lb a cu ft"
    )
    return cu_in / CU_IN_PER_CU_FT * given["density"], words


def _screws_spacing(given: Values) -> tuple[Fraction, str]:
    return 12 / given["spacing"], f"1 each {_inches(given['spacing'])} in"


def _joint_filler(given: Values) -> tuple[Fraction, str]:
    cu_in_per_lb = given["bag_yield"] * CU_IN_PER_CU_FT / given["bag_lb"]
    words = (
        f"{_short(given['bag_yield'])} cu ft a {_short(given['bag_lb'])} lb bag "
        f"= {format_quantity(cu_in_per_lb, 'cu in')} a lb"
    )
    return 1 / cu_in_per_lb, words


def _tape(given: Values) -> tuple[Fraction, str]:
    return 1 + given["waste"] / 100, f"length of the joints and {_short(given['waste'])}% waste"


def _joint_compound(given: Values) -> tuple[Fraction, str]:
    width, thickness, loss = given["width"], given["thickness"], given["loss"]
    gal_per_ft = width * thickness * 12 * (1 + loss / 100) / CU_IN_PER_GALLON
    words = (
        f"{_inches(width)} in wide, {_inches(thickness)} thick on average, {_short(loss)}% shrunk or sanded "
        f"off = {format_quantity(1 / gal_per_ft, 'ft')} a gal"
    )
    return gal_per_ft, words


def _inches(value: Fraction) -> str:
    """A tape's fraction where it is one (1/4, 1 3/8), else a decimal."""
    whole, rest = divmod(value.numerator, value.denominator)
    if rest and value.denominator <= 64 and not value.denominator & (value.denominator - 1):
        return f"{whole} {rest}/{value.denominator}" if whole else f"{rest}/{value.denominator}"
    return _short(value)


def _short(value: Fraction) -> str:
    """A decimal of at most four places, half-up, without trailing zeros."""
    return f"{Decimal(half_up(value * 10_000)).scaleb(-4).normalize():f}"


_BAG_LB = Input("bag_lb", "Weight of a bag", "lb", "50", "common practice")
_BAG_YIELD = Input(
    "bag_yield",
    "Mixed mortar from a bag",
    "cu ft",
    "0.58",
    "derived: 50 lb and 1.25 to 1.5 gal of water at 105 to 110 lb a cu ft, from memory",
)
_ALL = (
    Formula(
        "thinset_bed",
        "Thinset under a notched trowel",
        "bed = notch width x depth / (width + land), pressed flat; a published coverage replaces geometry",
        "lb",
        "sq ft",
        (
            Input("notch_width", "Width of the notch", "in", "1/4", "common practice under backer board"),
            Input("notch_depth", "Depth of the notch", "in", "1/4", "common practice under backer board"),
            Input("land", "Land between notches", "in", "1/4", "from memory: as wide as the notch"),
            Input(
                "collapse",
                "Share of the combed bed that stays",
                "",
                "0.60",
                "derived: fits three published coverages (80-100, 60-80 and 40-50 sq ft a 50 lb bag, "
                "engineerfix.com, How much thinset do I need per square foot)",
            ),
            _BAG_YIELD,
            _BAG_LB,
            Input(
                "coverage",
                "Published coverage of a bag",
                "sq ft",
                source="the label of the bag, for this notch",
                may_be_left_out=True,
            ),
        ),
        _thinset_bed,
    ),
    Formula(
        "paint_film",
        "Paint from film thickness",
        "a gallon is 231 cu in: 1604.17 sq ft at 1 mil, x solids by volume / dry film x share that arrives",
        "gal",
        "sq ft",
        (
            Input("volume_solids", "Solids by volume", "%", source="the product's data sheet"),
            Input("dry_film", "Dry film thickness of a coat", "mil", source="the product's data sheet"),
            Input("transfer", "Share that reaches the surface", "%", "100", "nothing lost, as in theory"),
        ),
        _paint_film,
    ),
    Formula(
        "grout",
        "Grout from tile and joint",
        "volume of the joints of one tile over the area of tile and joint",
        "lb",
        "sq ft",
        (
            Input("tile_length", "Length of a tile", "in", source="the tile"),
            Input("tile_width", "Width of a tile", "in", source="the tile"),
            Input("joint", "Width of the joint", "in", "1/8", "common practice"),
            Input("depth", "Depth of the joint", "in", source="the thickness of the tile"),
            Input(
                "density",
                "Powder in a cubic foot of joint",
                "lb",
                "99.9",
                "from memory: 1.6 kg for a liter of joint",
            ),
        ),
        _grout,
    ),
    Formula(
        "screws_spacing",
        "Fasteners along a line",
        "one at each spacing",
        "each",
        "ft",
        (
            Input(
                "spacing",
                "Spacing on center",
                "in",
                "8",
                "IRC Table R602.3(2), tile over fiber-cement underlayment: 8 in at edges and between",
            ),
        ),
        _screws_spacing,
    ),
    Formula(
        "joint_filler",
        "Mortar in the gaps between boards",
        "weight of a bag over the volume that it makes",
        "lb",
        "cu in",
        (_BAG_YIELD, _BAG_LB),
        _joint_filler,
    ),
    Formula(
        "tape",
        "Joint tape",
        "length of the joints, and waste",
        "ft",
        "ft",
        (
            Input(
                "waste",
                "Waste",
                "%",
                "10",
                "Estimating in Building Construction (college text), chapter 16, p. 203",
                may_be_zero=True,
            ),
        ),
        _tape,
    ),
    Formula(
        "joint_compound",
        "Joint compound along a joint",
        "width x mean thickness of what is laid on a joint, and what shrinks or is sanded off",
        "gal",
        "ft",
        (
            Input(
                "width",
                "Width of the coats",
                "in",
                "10",
                "common practice: the widest knife of the last coat",
            ),
            Input(
                "thickness",
                "Mean thickness of all coats",
                "in",
                "3/64",
                "derived: with 10 in and 20 %, 380 ft of joint take 11.1 gal, close to the 11 gal per 1,000 "
                "sq ft of thedailythrive.net, How much joint compound do I need",
            ),
            Input("loss", "What shrinks or is sanded off", "%", "20", "from memory", may_be_zero=True),
        ),
        _joint_compound,
    ),
)
FORMULAS: Mapping[str, Formula] = MappingProxyType({formula.code: formula for formula in _ALL})
