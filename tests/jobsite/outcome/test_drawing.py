"""Bars of what was planned and what it is."""

from fractions import Fraction
from xml.etree import ElementTree as ET

from jobsite.outcome.drawing import Bar, bars_svg

SVG = "{http://www.w3.org/2000/svg}"


def test_the_drawing_says_in_words_what_it_shows_and_keeps_the_figures_in_proportion() -> None:
    taping = Bar("Taping & sanding", "9 h of 6", Fraction(6), Fraction(9))
    bars = [taping, Bar("Floor", "3 h", Fraction(3), Fraction(3))]
    svg = ET.fromstring(bars_svg("hours", "Hours by phase", bars))
    assert svg.findtext(f"{SVG}desc") == "Taping & sanding: 9 h of 6; Floor: 3 h"
    assert [rect.get("width") for rect in svg.iter(f"{SVG}rect")] == ["234", "117"]


def test_what_is_nothing_draws_nothing() -> None:
    svg = ET.fromstring(bars_svg("x", "Nothing", [Bar("Profit", "$0.00", Fraction(0), Fraction(0))]))
    assert [rect.get("width") for rect in svg.iter(f"{SVG}rect")] == ["0"]
