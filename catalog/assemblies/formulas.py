"""Rates that physics or geometry gives: calculated from a few inputs instead of looked up.

Every default names its source. A formula gives a `Rate` whose words are the arithmetic.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from types import MappingProxyType

from catalog.assemblies.formula_inputs import FormulaInput, UnusableInput, read_input
from catalog.measures.lengths import half_up, shortened
from catalog.measures.rates import Rate
from catalog.measures.units import format_quantity

CU_IN_PER_GALLON = 231  # exact; NIST Handbook 44, appendix C
CU_IN_PER_CU_FT = 1728
SQ_IN_PER_SQ_FT = 144
_MOST_CHARACTERS = 78  # of a rate that is kept as a fraction

Values = Mapping[str, Fraction]


class UnknownFormula(ValueError):
    """No formula has this code."""


@dataclass(frozen=True)
class Formula:
    """A rate in `of` units for one `per` unit; `calculate` returns it with its arithmetic in words."""

    code: str
    label: str
    meaning: str
    of: str
    per: str
    inputs: tuple[FormulaInput, ...]
    calculate: Callable[[Values], tuple[Fraction, str]]


def formula_of(code: str) -> Formula:
    """Return the formula with this code. Raises UnknownFormula."""
    formula = FORMULAS.get(code)
    if formula is None:
        raise UnknownFormula(f"{shortened(code)} isn't a formula known here.")
    return formula


def rate_from(code: str, inputs: Mapping[str, str | Decimal | Fraction]) -> Rate:
    """Return the exact rate that a formula gives; an input that is absent or blank takes its default.

    Raises UnknownFormula, or UnusableInput for an input that is missing, unreadable, zero, negative, or not
    one of this formula.
    """
    formula = formula_of(code)
    for name in inputs:
        if name not in {known.name for known in formula.inputs}:
            raise UnusableInput(name, f"{formula.label} takes no input called {shortened(name)}.")
    values = {known.name: read_input(known, inputs.get(known.name, "")) for known in formula.inputs}
    per_unit, words = formula.calculate({name: value for name, value in values.items() if value is not None})
    if len(str(per_unit)) > _MOST_CHARACTERS:
        raise UnusableInput(formula.inputs[0].name, "These numbers are too fine: use fewer decimals.")
    return Rate(words, per_unit)


def unusable_inputs(formula: Formula, inputs: Mapping[str, str]) -> Iterator[UnusableInput]:
    """Yield what is wrong with each input that can't be used."""
    for known in formula.inputs:
        try:
            read_input(known, inputs.get(known.name, ""))
        except UnusableInput as unusable:
            yield unusable


def _thinset_bed(values: Values) -> tuple[Fraction, str]:
    bag_lb = values["bag_lb"]
    bag = f"{_short(bag_lb)} lb bag"
    if "coverage" in values:
        return bag_lb / values[
            "coverage"
        ], f"published {format_quantity(values['coverage'], 'sq ft')} a {bag}"
    width, depth, land = values["notch_width"], values["notch_depth"], values["land"]
    bed_in = values["collapse"] * width * depth / (width + land)
    lb_per_sqft = bed_in / 12 / values["bag_yield"] * bag_lb
    words = (
        f"notch {_inches(width)} in wide, {_inches(depth)} deep, {_inches(land)} land, "
        f"x {_short(values['collapse'])}; {_short(values['bag_yield'])} cu ft a {bag} "
        f"= {format_quantity(bag_lb / lb_per_sqft, 'sq ft')} a bag"
    )
    return lb_per_sqft, words


def _paint_film(values: Values) -> tuple[Fraction, str]:
    solids, transfer = values["volume_solids"] / 100, values["transfer"] / 100
    cu_in_per_sqft = values["dry_film"] / 1000 * SQ_IN_PER_SQ_FT / solids / transfer
    gal_per_sqft = cu_in_per_sqft / CU_IN_PER_GALLON
    words = (
        f"{_short(values['dry_film'])} mil dry, {_short(values['volume_solids'])}% solids by volume"
        f" ({_short(round(values['dry_film'] / solids, 1))} mil wet), "
        f"{_short(values['transfer'])}% arriving = {format_quantity(1 / gal_per_sqft, 'sq ft')} a gal"
    )
    return gal_per_sqft, words


def grout_cu_in_per_sqft(
    length_in: Fraction, width_in: Fraction, joint_in: Fraction, depth_in: Fraction
) -> Fraction:
    """Return the cubic inches of joint in a square foot of tiled surface, exactly, for a tile and its joint.

    The usual formula, (L + W) / (L x W) x joint x depth, leaves out the crossings of joints and divides by
    the area of the tile alone; its result is 1.5 to 5 % higher.
    """
    module = (length_in + joint_in) * (width_in + joint_in)
    return (module - length_in * width_in) / module * depth_in * SQ_IN_PER_SQ_FT


def _grout(values: Values) -> tuple[Fraction, str]:
    length, width, joint, depth = (values[name] for name in ("tile_length", "tile_width", "joint", "depth"))
    cu_in = grout_cu_in_per_sqft(length, width, joint, depth)
    words = (
        f"tile {_inches(length)} x {_inches(width)} in, joint {_inches(joint)} wide, {_inches(depth)} deep "
        f"= {format_quantity(cu_in, 'cu in')} a sq ft; {_short(values['density'])} lb a cu ft"
    )
    return cu_in / CU_IN_PER_CU_FT * values["density"], words


def _screws_spacing(values: Values) -> tuple[Fraction, str]:
    return 12 / values["spacing"], f"1 each {_inches(values['spacing'])} in"


def _joint_filler(values: Values) -> tuple[Fraction, str]:
    cu_in_per_lb = values["bag_yield"] * CU_IN_PER_CU_FT / values["bag_lb"]
    words = (
        f"{_short(values['bag_yield'])} cu ft a {_short(values['bag_lb'])} lb bag "
        f"= {format_quantity(cu_in_per_lb, 'cu in')} a lb"
    )
    return 1 / cu_in_per_lb, words


def _tape(values: Values) -> tuple[Fraction, str]:
    return 1 + values["waste"] / 100, f"length of the joints and {_short(values['waste'])}% waste"


def _joint_compound(values: Values) -> tuple[Fraction, str]:
    width, thickness, loss = values["width"], values["thickness"], values["loss"]
    gal_per_ft = width * thickness * 12 * (1 + loss / 100) / CU_IN_PER_GALLON
    words = (
        f"{_inches(width)} in wide, {_inches(thickness)} thick on average, {_short(loss)}% shrunk or sanded "
        f"off = {format_quantity(1 / gal_per_ft, 'ft')} a gal"
    )
    return gal_per_ft, words


def _inches(value: Fraction) -> str:
    """Return inches as a tape measure shows them (1/4, 1 3/8) where they are 64ths, else as a decimal."""
    whole, rest = divmod(value.numerator, value.denominator)
    if rest and value.denominator <= 64 and not value.denominator & (value.denominator - 1):
        return f"{whole} {rest}/{value.denominator}" if whole else f"{rest}/{value.denominator}"
    return _short(value)


def _short(value: Fraction) -> str:
    """Return a decimal of at most four places, half-up, without trailing zeros."""
    return f"{Decimal(half_up(value * 10_000)).scaleb(-4).normalize():f}"


_BAG_LB = FormulaInput("bag_lb", "Weight of a bag", "lb", "50", "common practice")
_BAG_YIELD = FormulaInput(
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
            FormulaInput(
                "notch_width", "Width of the notch", "in", "1/4", "common practice under backer board"
            ),
            FormulaInput(
                "notch_depth", "Depth of the notch", "in", "1/4", "common practice under backer board"
            ),
            FormulaInput("land", "Land between notches", "in", "1/4", "from memory: as wide as the notch"),
            FormulaInput(
                "collapse",
                "Share of the combed bed that stays",
                "",
                "0.60",
                "derived: fits three published coverages (80-100, 60-80 and 40-50 sq ft a 50 lb bag, "
                "engineerfix.com, How much thinset do I need per square foot)",
            ),
            _BAG_YIELD,
            _BAG_LB,
            FormulaInput(
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
            FormulaInput("volume_solids", "Solids by volume", "%", source="the product's data sheet"),
            FormulaInput(
                "dry_film",
                "Dry film thickness of a coat",
                "mil",
                source="the product's data sheet; micrometers with their mark, such as 125 \u00b5m",
            ),
            FormulaInput(
                "transfer", "Share that reaches the surface", "%", "100", "nothing lost, as in theory"
            ),
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
            FormulaInput("tile_length", "Length of a tile", "in", source="the tile"),
            FormulaInput("tile_width", "Width of a tile", "in", source="the tile"),
            FormulaInput("joint", "Width of the joint", "in", "1/8", "common practice"),
            FormulaInput("depth", "Depth of the joint", "in", source="the thickness of the tile"),
            FormulaInput(
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
            FormulaInput(
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
            FormulaInput(
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
            FormulaInput(
                "width",
                "Width of the coats",
                "in",
                "10",
                "common practice: the widest knife of the last coat",
            ),
            FormulaInput(
                "thickness",
                "Mean thickness of all coats",
                "in",
                "3/64",
                "derived: with 10 in and 20 %, 380 ft of joint take 11.1 gal, close to the 11 gal per 1,000 "
                "sq ft of thedailythrive.net, How much joint compound do I need",
            ),
            FormulaInput("loss", "What shrinks or is sanded off", "%", "20", "from memory", may_be_zero=True),
        ),
        _joint_compound,
    ),
)
FORMULAS: Mapping[str, Formula] = MappingProxyType({formula.code: formula for formula in _ALL})
