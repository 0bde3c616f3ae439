import subprocess
import sys
import threading
from concurrent.futures import ThreadPoolExecutor
from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.measures import units
from catalog.measures.units import (
    UNITS,
    UnfitUnits,
    UnknownUnit,
    UnreadableRate,
    canonical_unit,
    convert,
    format_quantity,
    format_rate,
    parse_rate,
    same_dimension,
)

CODES = [code for code, _ in UNITS]


@pytest.mark.parametrize(
    ("names", "canonical"),
    [
        (("sq ft", "sf", "SF", "square feet", "Sq. Ft.", "ft\N{SUPERSCRIPT TWO}", "sqft"), "sq ft"),
        (("ft", "feet", "lf", "linear ft", "Linear feet"), "ft"),
        (("in", "inches", "in."), "in"),
        (("gal", "gallon", "Gallons"), "gal"),
        (("qt", "quart"), "qt"),
        (("lb", "lbs", "pounds"), "lb"),
        (("cu ft", "cubic feet"), "cu ft"),
        (("cu in", "cubic inches"), "cu in"),
        (("each", "ea", "piece", "sheet", "stick", "bag", "box", "roll", "tube", "room", "screws"), "each"),
        (("hour", "h", "hr", "hours", "man-hours", "MH"), "hour"),
        (("m2", "m\N{SUPERSCRIPT TWO}", "sq m"), "m2"),
        (("L", "l", "litre", "liters"), "L"),
        (("kg",), "kg"),
        (("mL", "ml"), "mL"),
        (("square", "squares"), "square"),
        (("dozen",), "dozen"),
    ],
)
def test_a_unit_has_one_name_however_it_is_written(names: tuple[str, ...], canonical: str) -> None:
    assert {canonical_unit(name) for name in names} == {canonical}


@pytest.mark.parametrize("code", CODES)
def test_every_unit_on_offer_is_its_own_name_and_has_a_metric_side_that_converts(code: str) -> None:
    assert canonical_unit(code) == code
    assert format_quantity(Fraction(5), code, metric=True)


@pytest.mark.parametrize("name", ["", "parsec", "<script>", "x" * 10_000])
def test_an_unknown_unit_gets_a_plain_sentence(name: str) -> None:
    with pytest.raises(UnknownUnit, match="isn't a unit known here") as refusal:
        canonical_unit(name)
    assert len(str(refusal.value)) < 200


# Exact by definition: NIST Handbook 44 appendix C and NIST SP 811 (gallon of 231 cu in, inch of 2.54 cm,
# pound of 0.45359237 kg); a square is 100 sq ft (Cyclopedia of Painting, 1908).
@pytest.mark.parametrize(
    ("unit", "to", "factor"),
    [
        ("gal", "cu in", "231"),
        ("cu ft", "cu in", "1728"),
        ("gal", "L", "3.785411784"),
        ("gal", "qt", "4"),
        ("sq ft", "m2", "0.09290304"),
        ("in", "mm", "25.4"),
        ("ft", "m", "0.3048"),
        ("yd", "m", "0.9144"),
        ("sq yd", "sq ft", "9"),
        ("cu yd", "cu ft", "27"),
        ("lb", "kg", "0.45359237"),
        ("lb", "oz", "16"),
        ("square", "sq ft", "100"),
        ("dozen", "each", "12"),
        ("hour", "min", "60"),
        ("L", "mL", "1000"),
        ("m3", "L", "1000"),
    ],
)
def test_factors_are_exact(unit: str, to: str, factor: str) -> None:
    assert convert(Fraction(1), unit, to) == Fraction(factor)


@given(st.fractions(min_value=0, max_value=10**6), st.sampled_from(CODES), st.sampled_from(CODES))
def test_converting_there_and_back_loses_nothing(quantity: Fraction, unit: str, to: str) -> None:
    if same_dimension(unit, to):
        assert convert(convert(quantity, unit, to), to, unit) == quantity
    else:
        with pytest.raises(UnfitUnits, match="measure different things"):
            convert(quantity, unit, to)


def test_loading_units_does_not_load_the_unit_library() -> None:
    code = "import sys, catalog.units; print('pint' in sys.modules)"
    answer = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert answer.stdout.strip() == "False"


@pytest.mark.parametrize(
    ("typed", "of", "per", "per_unit"),
    [
        ("350 sq ft per gallon", "gal", "sq ft", "1/350"),
        ("350 sq ft/gal", "gal", "sq ft", "1/350"),
        ("350 sq ft a gallon", "gal", "sq ft", "1/350"),
        ("1/350 gal per sq ft", "gal", "sq ft", "1/350"),
        ("9 hours per 1000 sq ft", "hour", "sq ft", "9/1000"),
        ("33 h per 1,000 sq ft", "hour", "sq ft", "33/1000"),
        ("0.9 hours a hundred square feet", "hour", "sq ft", "9/1000"),
        ("0.9 h/100 sf", "hour", "sq ft", "9/1000"),
        ("150 sq ft per hour", "hour", "sq ft", "1/150"),
        ("1 each 8 in", "each", "ft", "3/2"),
        ("one each 8 in", "each", "ft", "3/2"),
        ("1 screw each 8 in", "each", "ft", "3/2"),
        ('1 each 8"', "each", "ft", "3/2"),
        ("1 each every 16 in", "each", "ft", "3/4"),
        ("0.05 lb per sq ft", "lb", "sq ft", "1/20"),
        ("90 sq ft per 50 lb", "lb", "sq ft", "5/9"),
        ("1.05 sq ft per sq ft", "sq ft", "sq ft", "21/20"),
        ("1.1 ft per ft", "ft", "ft", "11/10"),
        ("2 per room", "each", "each", "2"),
        ("2 each per each", "each", "each", "2"),
        ("1-1/2 each per ft", "each", "ft", "3/2"),
        ("1\N{VULGAR FRACTION ONE HALF} each per ft", "each", "ft", "3/2"),
        ("0.75 h each", "hour", "each", "3/4"),
        ("12 min each", "hour", "each", "1/5"),
        ("1 lb per square", "lb", "sq ft", "1/100"),
        ("1 qt per 100 sq ft", "gal", "sq ft", "1/400"),
        ("2 dozen per room", "each", "each", "24"),
        ("10 m\N{SUPERSCRIPT TWO}/L", "L", "m2", "1/10"),
        ("1 tube per 30 lf", "each", "ft", "1/30"),
        ("1 box/600 sq ft", "each", "sq ft", "1/600"),
    ],
)
def test_a_rate_is_read_as_the_trade_states_it(typed: str, of: str, per: str, per_unit: str) -> None:
    rate = parse_rate(typed, of, per)
    assert rate.per_unit == Fraction(per_unit)
    assert rate.typed == typed


def test_drywall_at_33_man_hours_a_thousand_square_feet_takes_528_hours_for_16_000() -> None:
    # NAVEDTRA 14045, Builder Advanced, p. 2-27.
    rate = parse_rate("33 MH per 1,000 SF", "hour", "sq ft")
    assert rate.per_unit * 16_000 == 528


def test_a_first_coat_at_150_and_a_second_at_90_square_feet_an_hour() -> None:
    # I. S. Griffith, Carpentry (1916): 450 sq ft take 3 h and then 5 h.
    first, second = (parse_rate(f"{speed} SF per hour", "hour", "sq ft") for speed in (150, 90))
    assert (first.per_unit * 450, second.per_unit * 450) == (3, 5)


@pytest.mark.parametrize(
    ("typed", "of", "per", "says"),
    [
        ("350 sq ft per hour", "gal", "sq ft", "ties sq ft to hour, but gal and sq ft are wanted here"),
        ("2 lb per gal", "gal", "sq ft", "ties lb to gal"),
        ("0.75 each", "hour", "each", "ties each to each, but hour and each"),
        ("1 gal per room", "gal", "sq ft", "ties gal to each"),
    ],
)
def test_units_that_do_not_fit_are_named_with_an_example_that_does(
    typed: str, of: str, per: str, says: str
) -> None:
    with pytest.raises(UnfitUnits) as refusal:
        parse_rate(typed, of, per)
    sentence = str(refusal.value)
    assert says in sentence
    example = sentence.rpartition("such as ")[2].rstrip(".")
    assert parse_rate(example, of, per).per_unit > 0


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("", "Type a rate"),
        ("350", "nothing per something"),
        ("per", "nothing per something"),
        ("sq ft per gal", "no number"),
        ("0 sq ft per gal", "zero"),
        ("350 sq ft per 0 gal", "zero"),
        ("1/0 gal per sq ft", "zero"),
        ("-350 sq ft per gal", "can't be negative"),
        ("350 sq ft per -1 gal", "can't be negative"),
        ("350 sq ft per galon", "galon isn't a unit"),
        ("3,50 sq ft per gal", "can't be read"),
        ("nan sq ft per gal", "no number"),
        ("1e9 sq ft per gal", "isn't a unit"),
        ("9" * 12 + " sq ft per gal", "too long a number"),
        ("9" * 10_000, "100 characters at most"),
    ],
)
def test_what_is_not_a_rate_gets_a_plain_sentence(typed: str, says: str) -> None:
    with pytest.raises(UnreadableRate) as refusal:
        parse_rate(typed, "gal", "sq ft")
    assert says in str(refusal.value)
    assert len(str(refusal.value)) < 220


WORDS_OF_RATES = ("1", "0", "350", "1/0", "1,000", "each", "per", "/", "a", "in", "sq ft", "hundred", "-", "")


@given(st.one_of(st.lists(st.sampled_from(WORDS_OF_RATES), max_size=8).map(" ".join), st.text(max_size=40)))
def test_any_text_is_a_rate_above_zero_or_is_refused(typed: str) -> None:
    try:
        rate = parse_rate(typed, "each", "ft")
    except UnreadableRate:
        return
    assert rate.per_unit > 0


@pytest.mark.parametrize(
    ("per_unit", "of", "per", "words"),
    [
        ("1/350", "gal", "sq ft", "350 sq ft per gal"),
        ("33/1000", "hour", "sq ft", "3.3 hours per 100 sq ft"),
        ("9/10000", "hour", "sq ft", "0.9 hours per 1,000 sq ft"),
        ("3/4", "hour", "each", "0.75 hours per each"),
        ("1", "hour", "each", "1 hour per each"),
        ("1/150", "hour", "sq ft", "1 hour per 150 sq ft"),
        ("21/20", "sq ft", "sq ft", "1.05 sq ft per sq ft"),
        ("3/2", "each", "ft", "1.5 each per ft"),
        ("22/7", "lb", "sq ft", "22/7 lb per sq ft"),
    ],
)
def test_a_rate_known_by_number_alone_gets_words(per_unit: str, of: str, per: str, words: str) -> None:
    assert format_rate(Fraction(per_unit), of, per) == words


@given(
    st.fractions(min_value=Fraction(1, 10_000), max_value=10_000, max_denominator=10_000),
    st.sampled_from([("gal", "sq ft"), ("hour", "sq ft"), ("each", "ft"), ("ft", "ft"), ("each", "each")]),
)
def test_the_words_of_a_rate_read_back_exactly(per_unit: Fraction, units: tuple[str, str]) -> None:
    assert parse_rate(format_rate(per_unit, *units), *units).per_unit == per_unit


@pytest.mark.parametrize(
    ("quantity", "unit", "shown", "metric"),
    [
        (Fraction(1280, 9), "sq ft", "142.22 sq ft", "13.21 m\N{SUPERSCRIPT TWO}"),
        (Fraction("142.2"), "sq ft", "142.2 sq ft", "13.21 m\N{SUPERSCRIPT TWO}"),
        (Fraction(48), "ft", "48 ft", "14.63 m"),
        (Fraction(2), "cu ft", "2 cu ft", "0.06 m\N{SUPERSCRIPT THREE}"),
        (Fraction(231), "cu in", "231 cu in", "3.79 L"),
        (Fraction(1), "hour", "1 hour", "1 hour"),
        (Fraction(5, 2), "hour", "2.5 hours", "2.5 hours"),
        (Fraction(123_456), "each", "123,456 each", "123,456 each"),
        (Fraction(1, 1000), "gal", "under 0.01 gal", "under 0.01 gal"),
        (Fraction("0.005"), "lb", "0.01 lb", "0.01 lb"),
        (Fraction("-2.5"), "lb", "-2.5 lb", "-2.5 lb"),
        (Fraction(0), "ft", "0 ft", "0 m"),
    ],
)
def test_a_quantity_is_shown_with_its_unit(quantity: Fraction, unit: str, shown: str, metric: str) -> None:
    assert format_quantity(quantity, unit) == shown
    assert format_quantity(quantity, unit, metric=True) == metric


def test_threads_that_convert_at_once_share_one_registry(monkeypatch: pytest.MonkeyPatch) -> None:
    """A server answers its first requests side by side; units of two registries can't be mixed."""
    made: list[object] = []

    def counted(**settings: object) -> object:
        made.append(settings)
        return registry(**settings)

    registry = pint.UnitRegistry
    monkeypatch.setattr(pint, "UnitRegistry", counted)
    units._registry.cache_clear()
    units._factor.cache_clear()
    pairs = [("sq ft", "m2"), ("ft", "m"), ("gal", "qt"), ("cu ft", "L")]
    together = threading.Barrier(len(pairs))

    def at_once(pair: tuple[str, str]) -> Fraction:
        together.wait()
        return convert(Fraction(1), *pair)

    with ThreadPoolExecutor(len(pairs)) as threads:
        factors = list(threads.map(at_once, pairs))
    assert len(made) == 1
    assert factors[:3] == [Fraction("0.09290304"), Fraction("0.3048"), Fraction(4)]
