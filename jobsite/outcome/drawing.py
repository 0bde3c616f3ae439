"""Two figures beside each other as bars: what was planned, an outline; what it is, hatched.

It can be read in black and white; a text says the same.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from xml.etree import ElementTree as ET

WIDTH, ROW, BAR = 360, 44, 14
GRAPHITE, SECOND, CEDAR = "#22272a", "#565e63", "#8f431f"


@dataclass(frozen=True)
class Bar:
    """A row of the drawing: its label, the figures in words, and both figures in one unit."""

    label: str
    words: str
    planned: Fraction
    actual: Fraction


def bars_svg(ident: str, title: str, bars: Sequence[Bar]) -> str:
    """Return the drawing. `ident` tells its title from those of other drawings on the page."""
    svg = ET.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "viewBox": f"0 0 {WIDTH} {len(bars) * ROW + 6}",
            "role": "img",
            "aria-labelledby": f"{ident}-title {ident}-words",
            "font-size": "12",
        },
    )
    ET.SubElement(svg, "title", {"id": f"{ident}-title"}).text = title
    said = "; ".join(f"{bar.label}: {bar.words}" for bar in bars)
    ET.SubElement(svg, "desc", {"id": f"{ident}-words"}).text = said
    most = max([abs(figure) for bar in bars for figure in (bar.planned, bar.actual)], default=Fraction(1))
    for number, bar in enumerate(bars):
        _bar(svg, bar, number * ROW, most or Fraction(1))
    return ET.tostring(svg, encoding="unicode")


def _bar(svg: ET.Element, bar: Bar, top: int, most: Fraction) -> None:
    _text(svg, 4, top + 15, bar.label, "start")
    _text(svg, WIDTH - 4, top + 15, bar.words, "end")
    planned, actual = (int(abs(figure) / most * (WIDTH - 8)) for figure in (bar.planned, bar.actual))
    y = top + 22
    for x in range(6, 4 + actual, 4):
        _line(svg, x, y + 2, x, y + BAR - 2, "plan-gap" if bar.actual < 0 else "plan-hatch")
    over = bar.actual > bar.planned >= 0
    _line(svg, 4 + actual, y, 4 + actual, y + BAR, "plan-gap" if over or bar.actual < 0 else "plan-wall")
    outline = {"x": "4", "y": f"{y}", "width": f"{planned}", "height": f"{BAR}", "fill": "none"}
    ET.SubElement(svg, "rect", {**outline, "stroke": GRAPHITE, "class": "plan-wall"})


def _line(svg: ET.Element, x: int, y: int, to_x: int, to_y: int, name: str) -> None:
    color = CEDAR if name == "plan-gap" else SECOND if name == "plan-hatch" else GRAPHITE
    ends = {"x1": f"{x}", "y1": f"{y}", "x2": f"{to_x}", "y2": f"{to_y}"}
    width = "1" if name == "plan-hatch" else "2"
    ET.SubElement(svg, "line", {**ends, "stroke": color, "stroke-width": width, "class": name})


def _text(svg: ET.Element, x: int, y: int, text: str, anchor: str) -> None:
    label = ET.SubElement(
        svg, "text", {"x": f"{x}", "y": f"{y}", "text-anchor": anchor, "fill": GRAPHITE, "class": "plan-dim"}
    )
    label.text = text
