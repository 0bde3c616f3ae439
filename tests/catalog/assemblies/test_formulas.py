from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.assemblies.formula_inputs import UnusableInput
from catalog.assemblies.formulas import (
    FORMULAS,
    UnknownFormula,
    grout_cu_in_per_sqft,
    rate_from,
)
from catalog.measures.units import canonical_unit, convert

TILE = {"tile_length": "12", "tile_width": "12", "joint": "1/8", "depth": "3/8"}
TYPED = {"paint_film": {"volume_solids": "40", "dry_film": "1.5"}, "grout": TILE}


def near(exact: Fraction, printed: str, within: str) -> bool:
    return abs(exact - Fraction(printed)) <= Fraction(within)


# Worked cases computed twice, independently: 1/4 and 1/2 in square notches, 50 lb bag of 0.58 cu ft.
@pytest.mark.parametrize(
    ("area_sqft", "inputs", "waste", "lb_per_sqft", "order_lb", "sqft_per_bag"),
    [
        pytest.param(35, {}, "0.1", "0.53879", "20.7435", "92.8", id="worked case: 35 sq ft bath"),
        pytest.param(
            80, {"coverage": "90"}, "0.1", "0.55556", "48.8889", "90", id="worked case: published 90"
        ),
        pytest.param(
            50,
            {"notch_width": "1/2", "notch_depth": "1/2", "land": "1/2"},
            "0",
            "1.07759",
            "53.8793",
            "46.4",
            id="worked case: 1/2 sq, no waste",
        ),
        pytest.param(60, {"collapse": "1"}, "0.1", "0.89799", "59.2672", "55.68", id="worked case: k=1"),
    ],
)
def test_thinset_from_notch_and_bag(
    area_sqft: int, inputs: dict[str, str], waste: str, lb_per_sqft: str, order_lb: str, sqft_per_bag: str
) -> None:
    rate = rate_from("thinset_bed", inputs)
    assert near(rate.per_unit, lb_per_sqft, "0.00001")
    assert near(rate.per_unit * area_sqft * (1 + Fraction(waste)), order_lb, "0.0001")
    assert 50 / rate.per_unit == Fraction(sqft_per_bag)


def test_thinset_upright_at_45_degrees_falls_in_the_published_range() -> None:
    # 80-100 sq ft a bag (engineerfix.com); 0.7071 is the sine of 45 degrees, 0.60 cu ft an assumption.
    rate = rate_from("thinset_bed", {"collapse": "0.7071", "bag_yield": "0.60"})
    assert near(50 / rate.per_unit, "81.5", "0.05")


def test_thinset_explains_itself() -> None:
    assert rate_from("thinset_bed", {}).typed == (
        "notch 1/4 in wide, 1/4 deep, 1/4 land, x 0.6; 0.58 cu ft a 50 lb bag = 92.8 sq ft a bag"
    )
    assert rate_from("thinset_bed", {"coverage": "90"}).typed == "published 90 sq ft a 50 lb bag"


# The first four are printed from a gallon of 1604 sq ft at 1 mil, rounded from 1604.17.
@pytest.mark.parametrize(
    ("solids", "dry_mils", "transfer", "sqft_per_gal", "within"),
    [
        pytest.param("52", "1.5", "30", "167", "0.5", id="paintcenter.org, October 2003"),
        pytest.param("65", "5.0", "100", "208.52", "0.03", id="Spreading-Rate bulletin"),
        pytest.param("35", "2", "100", "281", "0.5", id="table of theoretical spread, 35 % at 2 mil"),
        pytest.param("40", "1", "100", "642", "0.5", id="table of theoretical spread, 40 % at 1 mil"),
        pytest.param("100", "10", "100", "160.417", "0.001", id="wet film of 10 mil, geionline.com"),
        pytest.param("100", "1", "100", "1604.1667", "0.0001", id="a gallon at 1 mil: 231 cu in"),
    ],
)
def test_a_gallon_spreads_as_far_as_published(
    solids: str, dry_mils: str, transfer: str, sqft_per_gal: str, within: str
) -> None:
    rate = rate_from("paint_film", {"volume_solids": solids, "dry_film": dry_mils, "transfer": transfer})
    assert near(1 / rate.per_unit, sqft_per_gal, within)


def test_8_mil_wet_at_35_percent_dries_to_2_8_mil() -> None:
    # Calculation of dry and wet film (scribd.com 104802451): DFT = WFT x solids.
    dry = rate_from("paint_film", {"volume_solids": "35", "dry_film": "2.8"})
    wet = rate_from("paint_film", {"volume_solids": "100", "dry_film": "8"})
    assert dry.per_unit == wet.per_unit


def test_paint_explains_itself() -> None:
    rate = rate_from("paint_film", {"volume_solids": "52", "dry_film": "1.5", "transfer": "30%"})
    assert rate.typed == (
        "1.5 mil dry, 52% solids by volume (2.9 mil wet), 30% arriving = 166.83 sq ft a gal"
    )


@pytest.mark.parametrize("typed", ["50.8 µm", "50.8um", "50.8 \u03bcm", "50.8 microns", "50.8 micrometers"])
def test_a_film_may_be_given_in_micrometers(typed: str) -> None:
    # a mil is 25.4 micrometers
    in_mils = rate_from("paint_film", {"volume_solids": "40", "dry_film": "2"})
    assert rate_from("paint_film", {"volume_solids": "40", "dry_film": typed}) == in_mils


# Plain geometry; the other column of the same table is the usual, rougher formula.
@pytest.mark.parametrize(
    ("length", "width", "joint", "depth", "exact", "usual"),
    [
        ("12", "12", "1/8", "3/8", "1.1077", "1.1250"),
        ("6", "6", "1/8", "1/4", "1.4544", "1.5000"),
        ("3", "6", "1/8", "5/16", "2.6816", "2.8125"),
        ("12", "24", "3/16", "3/8", "1.2429", "1.2656"),
    ],
)
def test_grout_fills_the_joints_of_the_module(
    length: str, width: str, joint: str, depth: str, exact: str, usual: str
) -> None:
    cu_in = grout_cu_in_per_sqft(Fraction(length), Fraction(width), Fraction(joint), Fraction(depth))
    assert near(cu_in, exact, "0.00005")
    assert Fraction("0.015") < 1 - cu_in / Fraction(usual) < Fraction("0.05")


def test_grout_of_100_square_feet_is_below_the_112_5_cubic_inches_of_the_usual_formula() -> None:
    # The usual formula leaves the joint out of the area: over the tiles alone it is 112.5 cu in exactly.
    tile, joint, depth = Fraction(12), Fraction(1, 8), Fraction(3, 8)
    cu_in = 100 * grout_cu_in_per_sqft(tile, tile, joint, depth)
    over_tiles_alone = cu_in * (tile + joint) ** 2 / tile**2
    crossing = 100 * joint**2 * depth
    assert over_tiles_alone - crossing == Fraction("112.5")
    assert near(cu_in, "110.77", "0.01")


def test_grout_in_metric_comes_near_the_usual_0_32_kilograms_a_square_meter() -> None:
    # 300 x 300 x 10 mm, 3 mm joint, 1.6 kg a litre (formula from memory).
    inputs = {"tile_length": "300 mm", "tile_width": "300 mm", "joint": "3 mm", "depth": "10 mm"}
    lb_per_sqft = rate_from("grout", inputs).per_unit
    kg_per_m2 = convert(lb_per_sqft, "lb", "kg") / convert(Fraction(1), "sq ft", "m2")
    assert near(kg_per_m2, "0.32", "0.005")


def test_grout_explains_itself() -> None:
    assert rate_from("grout", TILE).typed == (
        "tile 12 x 12 in, joint 1/8 wide, 3/8 deep = 1.11 cu in a sq ft; 99.9 lb a cu ft"
    )


def test_a_screw_each_8_inches_is_one_and_a_half_a_foot() -> None:
    rate = rate_from("screws_spacing", {})
    assert (rate.per_unit, rate.typed) == (Fraction(3, 2), "1 each 8 in")


def test_a_bag_fills_the_gaps_that_its_mortar_makes() -> None:
    rate = rate_from("joint_filler", {"bag_yield": "0.5"})
    assert rate.per_unit * 864 == 50  # half a cubic foot is 864 cu in
    assert rate.typed == "0.5 cu ft a 50 lb bag = 17.28 cu in a lb"


def test_tape_of_2660_feet_with_10_percent_is_2926() -> None:
    # Estimating in Building Construction, p. 203: 58.52 rolls of 50 ft.
    assert rate_from("tape", {}).per_unit * 2660 / 50 == Fraction("58.52")
    assert rate_from("tape", {"waste": "0"}).per_unit == 1


def test_compound_of_the_joints_of_1000_square_feet_comes_near_the_published_11_gallons() -> None:
    # 380 ft of joint in 1,000 sq ft: Estimating in Building Construction, p. 203; 11 gal for three coats:
    # thedailythrive.net. The width, thickness and loss were chosen so: a check of sense, not a proof.
    assert near(rate_from("joint_compound", {}).per_unit * 380, "11", "0.25")


def test_compound_is_width_by_thickness_by_length() -> None:
    # 8 in x 1/16 in x 12 in = 6 cu in a foot; a gallon is 231 cu in.
    given = {"width": "8", "thickness": "1/16", "loss": "0"}
    assert rate_from("joint_compound", given).per_unit == Fraction(6, 231)


@given(st.integers(1, 64), st.integers(1, 64), st.integers(1, 64))
def test_a_deeper_notch_never_takes_less(width: int, depth: int, land: int) -> None:
    def bed(depth: int) -> Fraction:
        sizes = {"notch_width": Fraction(width, 64), "notch_depth": Fraction(depth, 64)}
        return rate_from("thinset_bed", {**sizes, "land": Fraction(land, 64)}).per_unit

    assert bed(depth + 1) > bed(depth) > 0


@pytest.mark.parametrize("code", FORMULAS)
def test_every_formula_gives_a_rate_in_known_units_with_words_that_can_be_kept(code: str) -> None:
    formula = FORMULAS[code]
    rate = rate_from(code, TYPED.get(code, {}))
    assert rate.per_unit > 0
    assert 0 < len(rate.typed) <= 200
    assert (canonical_unit(formula.of), canonical_unit(formula.per)) == (formula.of, formula.per)


@pytest.mark.parametrize("code", FORMULAS)
def test_every_default_names_its_source(code: str) -> None:
    assert all(known.source for known in FORMULAS[code].inputs)


@pytest.mark.parametrize(
    ("code", "inputs", "name", "message"),
    [
        ("paint_film", {"dry_film": "1.5"}, "volume_solids", "Solids by volume is missing: type it in %"),
        ("paint_film", {"volume_solids": "0", "dry_film": "1"}, "volume_solids", "more than zero"),
        ("paint_film", {"volume_solids": "-5", "dry_film": "1"}, "volume_solids", "more than zero"),
        ("paint_film", {"volume_solids": "120", "dry_film": "1"}, "volume_solids", "more than 100%"),
        ("paint_film", {"volume_solids": "thick", "dry_film": "1"}, "volume_solids", "isn't a number"),
        ("paint_film", {"volume_solids": "nan", "dry_film": "1"}, "volume_solids", "isn't a number"),
        ("paint_film", {"volume_solids": Decimal(0), "dry_film": "1"}, "volume_solids", "more than zero"),
        ("grout", {**TILE, "depth": ""}, "depth", "is missing"),
        ("grout", {**TILE, "joint": "0"}, "joint", "more than zero"),
        ("grout", {**TILE, "joint": "-1/8"}, "joint", "can't be negative"),
        ("grout", {**TILE, "joint": "1/3"}, "joint", "nearest sixteenth"),
        ("thinset_bed", {"coverage": "0"}, "coverage", "more than zero"),
        ("thinset_bed", {"trowel": "1/4"}, "trowel", "takes no input called trowel"),
        ("tape", {"waste": "-1"}, "waste", "can't be below zero"),
    ],
)
def test_an_input_that_makes_no_sense_is_refused_by_name(
    code: str, inputs: dict[str, str], name: str, message: str
) -> None:
    with pytest.raises(UnusableInput) as refusal:
        rate_from(code, inputs)
    assert refusal.value.name == name
    assert message in str(refusal.value)


def test_numbers_too_fine_to_keep_are_refused() -> None:
    odd = Fraction(10**30 + 57, 10**30)
    with pytest.raises(UnusableInput, match="too fine"):
        rate_from("thinset_bed", {"notch_width": odd, "notch_depth": odd, "land": Fraction(1, 7)})


def test_an_unknown_formula_is_said_so() -> None:
    with pytest.raises(UnknownFormula, match="isn't a formula"):
        rate_from("plaster", {})
