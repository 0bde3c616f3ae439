"""Where the money of an estimate goes: a bar for each phase, drawn as SVG.

The pages' content policy allows no style attributes, so looks are presentation attributes.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any
from xml.etree import ElementTree as ET

from catalog.money.amounts import format_price
from estimating.snapshots.work_table import phase_sums, phases_of_rows

WIDTH, HEIGHT, STEP = 200.0, 10.0, 7.0
GRAPHITE = "#22272a"


@dataclass(frozen=True)
class PhaseBar:
    """A phase with its price and its bar; `note` says what of it the client still chooses."""

    heading: str
    price: str
    svg: str
    note: str = ""


def phase_bars(snapshot: Mapping[str, Any]) -> list[PhaseBar]:
    """Return a bar for each phase; none where the paper shows fewer than two phases."""
    sums = phase_sums(snapshot)
    largest = max((price for _, price in sums), default=Decimal())
    if len(sums) < 2 or largest <= 0:
        return []
    whole, notes = sum(price for _, price in sums), _still_chosen(snapshot)
    color = snapshot["firm"].get("color") or GRAPHITE
    return [
        PhaseBar(heading, f"{price:.2f}", _bar(price, largest, whole or price, color), notes.get(heading, ""))
        for heading, price in sums
    ]


def _still_chosen(snapshot: Mapping[str, Any]) -> dict[str, str]:
    """Return what of each phase is for choices that are open, where the paper prices lines."""
    if snapshot["detail"] != "line":
        return {}
    open_sums: dict[str, Decimal] = {}
    prices = {f"Allowance: {allowance['name']}" for allowance in snapshot["allowances"]}
    for row, heading in zip(snapshot["prices"], phases_of_rows(snapshot), strict=True):
        if row["label"] in prices:
            open_sums[heading] = open_sums.get(heading, Decimal()) + Decimal(row["price"])
    return {
        heading: f"with {format_price(amount)} for what you still choose"
        for heading, amount in open_sums.items()
    }


def _bar(price: Decimal, largest: Decimal, whole: Decimal, color: str) -> str:
    """Draw a bar hatched as on a drawing, its share of the whole said in words."""
    width = max(1.5, float(max(price, Decimal()) / largest) * (WIDTH - 1))
    svg = ET.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "class": "bar",
            "viewBox": f"0 0 {WIDTH:g} {HEIGHT:g}",
            "role": "img",
        },
    )
    ET.SubElement(svg, "title").text = f"{round(price * 100 / whole)} % of the work"
    ET.SubElement(svg, "path", {"d": " ".join(_hatches(width)), "stroke": color, "stroke-width": "1"})
    frame = {"x": "0.5", "y": "0.5", "width": f"{width:.1f}", "height": f"{HEIGHT - 1:g}"}
    ET.SubElement(svg, "rect", {**frame, "fill": "none", "stroke": color, "stroke-width": "1"})
    return ET.tostring(svg, encoding="unicode")


def _hatches(width: float) -> Iterator[str]:
    """Yield lines that slant to the right, cut off where the bar begins and ends."""
    top, bottom = 0.5, HEIGHT - 0.5
    start = STEP - (bottom - top)
    while start < width:
        low, high = max(start, 0.0), min(start + bottom - top, width)
        yield f"M{low + 0.5:.1f} {bottom - (low - start):.1f}L{high + 0.5:.1f} {bottom - (high - start):.1f}"
        start += STEP
