"""The cash line of a plan as SVG: up when money comes in, down when it goes out.

It is hatched where the firm's own money is in the job. It can be read without color: the plan is a full
line, another split of it a dashed one.
"""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from xml.etree import ElementTree as ET

from catalog.money.amounts import format_price
from estimating.plain_text import day_in_words
from invoicing.cash_flow.balance import CashPoint
from invoicing.cash_flow.forecast import CashForecast
from invoicing.milestones.plan import NO_MONEY

WIDTH, HEIGHT = 360, 240
LEFT, RIGHT, TOP, BOTTOM = 4, 356, 26, 206
GRAPHITE, SECOND, CHALK, CEDAR = "#22272a", "#565e63", "#1d5a9e", "#8f431f"


def cash_svg(plan: CashForecast, other: CashForecast | None = None) -> str:
    """Return the drawing of a plan and of another split of it, with a title and a description in words."""
    return ET.tostring(_Drawing(plan, other).svg(), encoding="unicode")


def cash_in_words(plan: CashForecast) -> str:
    """Return for how many days the firm is the client's bank, and the most of its own money in the job."""
    if not plan.lowest:
        return "The client's money always covers what you pay out."
    days = plan.days_as_bank
    return (
        f"On {days} day{'' if days == 1 else 's'} you are the client's bank; at most "
        f"{format_price(-plan.lowest)} of your own money is in the job."
    )


class _Drawing:
    """The scales of the drawing, shared by both lines, and its parts."""

    def __init__(self, plan: CashForecast, other: CashForecast | None) -> None:
        self.plan, self.other = plan, other
        forecasts = [plan, other] if other else [plan]
        self.first = min(forecast.days[0].movement.on for forecast in forecasts)
        self.days = max((max(forecast.until for forecast in forecasts) - self.first).days, 1)
        sums = [NO_MONEY, *(point.cash for forecast in forecasts for point in forecast.days)]
        self.low, self.high = min(sums), max(sums)

    def svg(self) -> ET.Element:
        svg = ET.Element(
            "svg",
            {
                "xmlns": "http://www.w3.org/2000/svg",
                "viewBox": f"0 0 {WIDTH} {HEIGHT}",
                "role": "img",
                "aria-labelledby": "cash-title cash-words",
                "font-size": "11",
            },
        )
        ET.SubElement(svg, "title", {"id": "cash-title"}).text = "Cash flow"
        ET.SubElement(svg, "desc", {"id": "cash-words"}).text = cash_in_words(self.plan)
        self._hatching(svg)
        zero = self._y(NO_MONEY)
        _line(svg, LEFT, zero, RIGHT, zero, "plan-tick", SECOND)
        if self.other:
            self._steps(svg, self.other.days, "cash-other", CEDAR, "5 4")
        self._steps(svg, self.plan.days, "cash-line", CHALK)
        self._labels(svg)
        return svg

    def _hatching(self, svg: ET.Element) -> None:
        """Draw upright lines from zero down to the cash, over the days that end below zero."""
        points = self.plan.days
        ends = [*(point.movement.on for point in points[1:]), self.plan.until]
        for point, end in zip(points, ends, strict=True):
            if point.cash >= 0 or end == point.movement.on:
                continue
            start, stop = self._x(point.movement.on), self._x(end)
            for x in range(start + 2, stop, 4):
                _line(svg, x, self._y(NO_MONEY), x, self._y(point.cash), "plan-hatch", SECOND, "0.7")

    def _steps(
        self, svg: ET.Element, points: Sequence[CashPoint], name: str, color: str, dashes: str = ""
    ) -> None:
        """Draw a line that steps at the end of each day."""
        path = [f"M{self._x(points[0].movement.on)} {self._y(NO_MONEY)}"]
        for point in points:
            path += [f"H{self._x(point.movement.on)}", f"V{self._y(point.cash)}"]
        path.append(f"H{RIGHT}")
        ET.SubElement(
            svg,
            "path",
            {
                "d": " ".join(path),
                "fill": "none",
                "stroke": color,
                "stroke-width": "2",
                "class": name,
                **({"stroke-dasharray": dashes} if dashes else {}),
            },
        )

    def _labels(self, svg: ET.Element) -> None:
        most = max([NO_MONEY, *(point.cash for point in self.plan.days)])
        _text(svg, LEFT, 14, f"Most: {format_price(most)}")
        _text(svg, LEFT, HEIGHT - 20, f"Least: {format_price(self.plan.lowest)}")
        _text(svg, LEFT, HEIGHT - 5, day_in_words(self.first))
        _text(svg, RIGHT, HEIGHT - 5, day_in_words(max(self.plan.until, self.first)), "end")

    def _x(self, day: date) -> int:
        return LEFT + (RIGHT - LEFT) * (day - self.first).days // self.days

    def _y(self, cash: Decimal) -> int:
        span = self.high - self.low or Decimal(1)
        return TOP + int((BOTTOM - TOP) * (self.high - cash) / span)


def _line(
    svg: ET.Element, x: int, y: int, to_x: int, to_y: int, name: str, color: str, width: str = "1"
) -> None:
    ET.SubElement(
        svg,
        "line",
        {
            "x1": f"{x}",
            "y1": f"{y}",
            "x2": f"{to_x}",
            "y2": f"{to_y}",
            "stroke": color,
            "stroke-width": width,
            "class": name,
        },
    )


def _text(svg: ET.Element, x: int, y: int, text: str, anchor: str = "start") -> None:
    label = ET.SubElement(
        svg,
        "text",
        {"x": f"{x}", "y": f"{y}", "text-anchor": anchor, "fill": GRAPHITE, "class": "plan-dim"},
    )
    label.text = text
