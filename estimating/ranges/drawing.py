"""The range of hours as a drawing: a line of hours with a mark each at what is priced, even chance, 4 of 5.

From the even chance to four times out of five is hatched. It can be read in black and white; a text says the
same.
"""

from collections.abc import Sequence
from decimal import Decimal
from xml.etree import ElementTree as ET

WIDTH, EDGE, ROW, BAND = 360, 12, 18, 14
GRAPHITE, SECOND = "#22272a", "#565e63"


def range_svg(marks: Sequence[tuple[str, Decimal]]) -> str:
    """Return the drawing of these marks, label and hours each; the last two are the ends of the hatching."""
    axis = len(marks) * ROW + BAND
    svg = ET.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "viewBox": f"0 0 {WIDTH} {axis + 6}",
            "role": "img",
            "aria-labelledby": "range-title range-words",
            "font-size": "12",
        },
    )
    ET.SubElement(svg, "title", {"id": "range-title"}).text = "Hours that it may take"
    said = "; ".join(f"{label}: {hours.normalize():f} h" for label, hours in marks)
    ET.SubElement(svg, "desc", {"id": "range-words"}).text = said
    places = _places([hours for _, hours in marks])
    for x in range(places[-2] + 2, places[-1], 4):
        _line(svg, (x, axis - BAND + 2), (x, axis - 2), "plan-hatch")
    _line(svg, (EDGE, axis), (WIDTH - EDGE, axis), "plan-wall")
    for number, ((label, hours), x) in enumerate(zip(marks, places, strict=True)):
        y = (number + 1) * ROW - 5
        _line(svg, (x, y + 3), (x, axis), "plan-wall")
        is_right = x > WIDTH / 2
        text = ET.SubElement(
            svg,
            "text",
            {
                "x": f"{x - 5 if is_right else x + 5}",
                "y": f"{y}",
                "text-anchor": "end" if is_right else "start",
                "fill": GRAPHITE,
                "class": "plan-dim",
            },
        )
        text.text = f"{label}, {hours.normalize():f} h"
    return ET.tostring(svg, encoding="unicode")


def _places(hours: Sequence[Decimal]) -> list[int]:
    """Return where the marks stand, the least hours at the left edge and the most at the right one."""
    least, most = min(hours), max(hours)
    wide = WIDTH - 2 * EDGE
    return [EDGE + int((each - least) / (most - least) * wide) if most > least else EDGE for each in hours]


def _line(svg: ET.Element, start: tuple[int, int], end: tuple[int, int], name: str) -> None:
    ends = {"x1": f"{start[0]}", "y1": f"{start[1]}", "x2": f"{end[0]}", "y2": f"{end[1]}"}
    stroke, width = (SECOND, "1") if name == "plan-hatch" else (GRAPHITE, "2")
    ET.SubElement(svg, "line", {**ends, "stroke": stroke, "stroke-width": width, "class": name})
