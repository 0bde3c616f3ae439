import subprocess
import sys
import threading
from concurrent.futures import ThreadPoolExecutor
from fractions import Fraction
from typing import Any

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.measures import units
from catalog.measures.units import (
    UNITS,
    UnfitUnits,
    UnknownUnit,
    canonical_unit,
    convert,
    format_quantity,
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
    code = "import sys, catalog.measures.units; print('pint' in sys.modules)"
    answer = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert answer.stdout.strip() == "False"


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

    def counted(**settings: Any) -> object:
        made.append(settings)
        return registry(**settings)

    registry = pint.UnitRegistry
    monkeypatch.setattr(pint, "UnitRegistry", counted)
    units._registry.cache_clear()
    units.conversion_factor.cache_clear()
    pairs = [("sq ft", "m2"), ("ft", "m"), ("gal", "qt"), ("cu ft", "L")]
    together = threading.Barrier(len(pairs))

    def at_once(pair: tuple[str, str]) -> Fraction:
        together.wait()
        return convert(Fraction(1), *pair)

    with ThreadPoolExecutor(len(pairs)) as threads:
        factors = list(threads.map(at_once, pairs))
    assert len(made) == 1
    assert factors[:3] == [Fraction("0.09290304"), Fraction("0.3048"), Fraction(4)]
