"""The range of hours as a drawing."""

from decimal import Decimal
from xml.etree import ElementTree as ET

import pytest

from estimating.ranges.drawing import range_svg

SVG = "{http://www.w3.org/2000/svg}"


@pytest.mark.parametrize(
    ("hours", "places"),
    [(("10", "12", "14"), [12, 180, 348]), (("15", "12", "14"), [348, 12, 236]), (("3", "3", "3"), [12] * 3)],
)
def test_marks_stand_in_proportion_and_a_text_says_the_same(
    hours: tuple[str, ...], places: list[int]
) -> None:
    labels = ("As priced", "Even chance", "Four times out of five")
    svg = ET.fromstring(range_svg(list(zip(labels, map(Decimal, hours), strict=True))))
    marks = [line for line in svg.iter(f"{SVG}line") if line.get("class") == "plan-wall"][1:]
    assert [int(line.get("x1", "")) for line in marks] == places
    said = svg.findtext(f"{SVG}desc")
    assert said == "; ".join(f"{label}: {each} h" for label, each in zip(labels, hours, strict=True))
