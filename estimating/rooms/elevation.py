"""A wall of a room seen from inside, to scale as SVG: its openings, cabinets, counter and what is overhead.

Looks are presentation attributes that a style sheet may override by class, as in the plan. A wall is drawn
as he sees it who faces it: its start at the left where the walls run clockwise. What runs into a corner from
the wall beside it is drawn cut through, hatched. Coordinates are floats, y downwards; every length that is
written comes from whole nanometers.
"""

from collections.abc import Sequence
from fractions import Fraction
from xml.etree import ElementTree as ET

from catalog.measures.lengths import NM_PER_INCH, format_length
from estimating.cabinets.units import ONE_DOOR_NM, PlacedUnit, width_in_words
from estimating.rooms.cabinet_runs import (
    Cabinets,
    Run,
    cabinets_of,
    openings_on,
    run_in_words,
    run_place_first,
)
from estimating.rooms.ceiling import ceiling_over
from estimating.rooms.labels import XY, text_width
from estimating.rooms.outline import wall_letter
from estimating.rooms.plan import COUNTER_NM, HUNG_BOTTOM_NM, RoomPlan
from estimating.rooms.stud_screws import screwed_units, studs_in, studs_in_words

GRAPHITE, SECOND, SHEET = "#22272a", "#565e63", "#ffffff"
WIDE, HIGH = 312.0, 260.0  # the wall at most
LEFT, RIGHT, UNDER, PAD = 52.0, 14.0, 26.0, 8.0
TEXT, SMALL = 12.0, 10.0
TICK = 3.0
TOE_NM = 4 * NM_PER_INCH  # height of the toe kick (common practice)
DRAWER_NM = 6 * NM_PER_INCH  # height of a drawer front over doors (common practice)
# How high appliances stand that are no part of a counter (common practice).
HEIGHTS_NM = {
    "range": 36 * NM_PER_INCH,
    "refrigerator": 70 * NM_PER_INCH,
    "freezer": 70 * NM_PER_INCH,
    "washer": 39 * NM_PER_INCH,
    "dryer": 39 * NM_PER_INCH,
}
HOOD_NM = 10 * NM_PER_INCH


def walls_to_draw(plan: RoomPlan) -> tuple[int, ...]:
    """Return the walls that cabinets stand at or hang on; none where there are none."""
    return tuple(
        sorted({run.wall for run in cabinets_of(plan).runs if run.wall is not None and not run.stands_free})
    )


def elevation_svg(
    plan: RoomPlan, wall: int, metric: bool = False, ident: str = "wall", larger: float = 1.0
) -> str:
    """Return a wall as one SVG element with a title and a description. The plan must have no faults."""
    return ET.tostring(_Elevation(plan, wall, metric, ident, larger).svg(), encoding="unicode")


def elevation_in_words(plan: RoomPlan, wall: int, metric: bool = False) -> str:
    """Return what the drawing shows, for readers who can't see it."""
    cabinets, length = cabinets_of(plan), cabinets_of(plan).shape.lengths_nm[wall]
    parts = [f"Wall {wall_letter(wall)}, {format_length(length, metric)} long."]
    for _, opening, begin in openings_on(plan, wall):
        sizes = (begin, opening.width_nm, opening.height_nm, opening.sill_nm)
        at, wide, high, sill = (format_length(size, metric) for size in sizes)
        above = f", {sill} above the floor" if opening.sill_nm else ""
        parts.append(f"{opening.name}, {at} from the start: {wide} wide, {high} high{above}.")
    for run in cabinets.runs:
        if run.wall == wall and not run.stands_free:
            at = format_length(run.begin_nm, metric)
            parts.append(f"{run_place_first(run)}, {at} from the start: {run_in_words(run, metric)}.")
    return " ".join([*parts, *studs_in_words(plan, wall, metric)])


class _Elevation:
    """One wall in the making."""

    def __init__(self, plan: RoomPlan, wall: int, metric: bool, ident: str, larger: float) -> None:
        self.plan, self.wall, self.metric, self.ident = plan, wall, metric, ident
        self.text, self.small = TEXT * larger, SMALL * larger
        self.left, self.under = LEFT * larger, UNDER * larger
        self.cabinets: Cabinets = cabinets_of(plan)
        self.length_nm = self.cabinets.shape.lengths_nm[wall]
        self.ceiling = ceiling_over(plan)
        self.tops = self.ceiling.tops[wall]
        heights = [height for run in self.tops for height in (run.begin_height_nm, run.end_height_nm)]
        self.high_nm = int(max(heights + [Fraction(self._over_soffit(number)) for number in self._soffits()]))
        longest_nm = max(self.cabinets.shape.lengths_nm[other] for other in {wall, *walls_to_draw(plan)})
        self.scale = min(WIDE / longest_nm, HIGH / self.high_nm)  # the room's walls stand beside each other
        self.wide = max(LEFT + WIDE + RIGHT, self.left + longest_nm * self.scale + RIGHT)
        self.flipped = self.cabinets.shape.signed_double_area_nm2 > 0
        self.root = ET.Element("g")
        self.heights: set[int] = set()

    def svg(self) -> ET.Element:
        self.aside = (self.wide - self.left - RIGHT - self.length_nm * self.scale) / 2
        svg = ET.Element(
            "svg",
            {
                "xmlns": "http://www.w3.org/2000/svg",
                "class": "plan-drawing",
                "viewBox": f"0 0 {self.wide:.1f} {self._y(0) + self.under + PAD:.1f}",
                "role": "img",
                "aria-labelledby": f"{self.ident}-title {self.ident}-desc",
                "font-family": "Inter",
            },
        )
        title = f"{self.plan.name}, wall {wall_letter(self.wall)}, as it looks"
        ET.SubElement(svg, "title", {"id": f"{self.ident}-title"}).text = title
        description = ET.SubElement(svg, "desc", {"id": f"{self.ident}-desc"})
        description.text = elevation_in_words(self.plan, self.wall, self.metric)
        svg.append(self._patterns())
        self._studs()
        self._backsplash()
        self._openings()
        self._beside()
        for run in self._own_runs():
            self._run(run)
        self._screws()
        self._soffit_boxes()
        self._outline()
        self._length()
        self._height_ticks()
        svg.extend(self.root)
        return svg

    def _x(self, along_nm: float) -> float:
        along = self.length_nm - along_nm if self.flipped else along_nm
        return self.left + self.aside + along * self.scale

    def _y(self, height_nm: float) -> float:
        return PAD + (self.high_nm - height_nm) * self.scale

    def _own_runs(self) -> list[Run]:
        """Return the runs of this wall, tall and base ones before those over them."""
        own = [run for run in self.cabinets.runs if run.wall == self.wall and not run.stands_free]
        return sorted(own, key=lambda run: run.layer == "hung")

    def _soffits(self) -> list[int]:
        return [number for number, soffit in enumerate(self.plan.soffits) if soffit.wall == self.wall]

    def _over_soffit(self, number: int) -> int:
        return int(self.ceiling.undersides_nm[number]) + self.plan.soffits[number].drop_nm

    def _backsplash(self) -> None:
        """Mark the zone between the counter and what hangs over it; up to the usual underside elsewhere."""
        hung = [run for run in self._own_runs() if run.layer == "hung"]
        base = [run for run in self._own_runs() if run.layer == "base"] or [
            run for run in self.cabinets.runs if run.layer == "base"
        ]
        for wall, begin, end in self.cabinets.backsplash:
            if wall != self.wall:
                continue
            low = max((run.counter_top_nm for run in base), default=0)
            high = min((run.item.under_nm for run in hung), default=HUNG_BOTTOM_NM)
            if high > low:
                self._rect(begin, end, low, high, "plan-splash", fill=f"url(#{self.ident}-tile)", line=0)

    def _studs(self) -> None:
        for at in studs_in(self.plan, self.wall):
            y = self._y(self.high_nm), self._y(0)
            line = self._stroke((self._x(at), y[0]), (self._x(at), y[1]), "plan-stud", SECOND, 0.5)
            line.set("stroke-dasharray", "7 3")

    def _screws(self) -> None:
        """Draw a small cross where a cabinet is screwed to a stud, through the rails at its back."""
        for fixed in screwed_units(self.plan, self.wall):
            for x in map(self._x, fixed.studs):
                for y in map(self._y, fixed.heights):
                    self._stroke((x - 2.4, y - 2.4), (x + 2.4, y + 2.4), "plan-screw", GRAPHITE, 1.1)
                    self._stroke((x - 2.4, y + 2.4), (x + 2.4, y - 2.4), "plan-screw", GRAPHITE, 1.1)

    def _openings(self) -> None:
        for _, opening, begin in openings_on(self.plan, self.wall):
            end, top = begin + opening.width_nm, opening.sill_nm + opening.height_nm
            self._rect(begin, end, opening.sill_nm, top, "plan-plate plan-opened", line=1.2)
            inset = 3 / self.scale
            if opening.kind in ("window", "door"):
                low = opening.sill_nm + (inset if opening.sill_nm else 0)
                self._rect(begin + inset, end - inset, low, top - inset, "plan-inner", line=0.7)
            if opening.kind == "window":
                middle = (begin + end) / 2
                self._line(middle, opening.sill_nm + inset, middle, top - inset)
            sizes = (opening.width_nm, opening.height_nm)
            size = " x ".join(width_in_words(each, self.metric) for each in sizes)
            kind = "opening" if opening.kind == "cased" else opening.kind
            self._words([kind, size], begin, end, opening.sill_nm, top)

    def _beside(self) -> None:
        """Draw what runs into the corners from the walls beside this one, cut through."""
        count = len(self.plan.legs)
        shape = self.cabinets.shape
        for run in self.cabinets.runs:
            if run.stands_free or run.wall is None or run.wall == self.wall or not run.solid:
                continue
            depth = run.item.depth_nm
            before, after = (self.wall - 1) % count, (self.wall + 1) % count
            reach = 26 * NM_PER_INCH  # past the space that it leaves to the run across the corner
            ends_here = run.wall == before and shape.corner(before) > 0
            begins_here = run.wall == after and shape.corner(self.wall) > 0
            if ends_here and run.solid[-1][1] >= shape.lengths_nm[before] - reach:
                self._section(run, 0, depth)
            if begins_here and run.solid[0][0] <= reach:
                self._section(run, self.length_nm - depth, self.length_nm)

    def _section(self, run: Run, begin: int, end: int) -> None:
        low, high = run.item.under_nm, run.item.under_nm + run.item.tall_nm
        self._rect(begin, end, low, high, "plan-footprint", fill=f"url(#{self.ident}-hatch)", line=0.7)
        if run.layer == "base":
            self._rect(begin, end, high, high + COUNTER_NM, "plan-plate plan-opened", line=0.8)

    def _run(self, run: Run) -> None:
        low, high = run.item.under_nm, run.item.under_nm + run.item.tall_nm
        for placed in run.units:
            self._unit(run, placed, low, high)
        for begin, end in run.counters:
            begin, end = max(begin, 0), min(end, self.length_nm)
            self._rect(begin, end, high, high + COUNTER_NM, "plan-plate plan-opened", line=1.2)
        if run.counters:
            self.heights.add(high + COUNTER_NM)
        elif run.layer != "base":
            self.heights |= {low, high} - {0}

    def _unit(self, run: Run, placed: PlacedUnit, low: int, high: int) -> None:
        unit, begin, end = placed.unit, run.begin_nm + placed.begin_nm, run.begin_nm + placed.end_nm
        if unit.kind in ("space", "open"):
            return
        if unit.kind in HEIGHTS_NM:
            high = min(max(HEIGHTS_NM[unit.kind], high if run.layer == "tall" else 0), self.high_nm)
        if unit.kind == "hood":
            low = high - HOOD_NM
        self._rect(begin, end, low, high, "plan-plate plan-opened", line=1.0)
        if unit.kind in ("filler", "panel"):
            hatch = f"url(#{self.ident}-hatch)"
            self._rect(begin, end, low, high, "plan-footprint", fill=hatch, line=0.5)
        if (unit.traits.cabinet or unit.kind in ("filler", "panel")) and run.layer != "hung":
            self._line(begin, low + TOE_NM, end, low + TOE_NM)
        if unit.traits.cabinet:
            self._fronts(run, unit.kind, begin, end, low + (0 if run.layer == "hung" else TOE_NM), high)
        words = [] if unit.kind == "cabinet" else [unit.traits.words[0]]
        if unit.kind == "filler" and end - begin < 9 * NM_PER_INCH:
            words = []
        self._words([*words, width_in_words(unit.width_nm, self.metric)], begin, end, low, high)

    def _fronts(self, run: Run, kind: str, begin: int, end: int, low: int, high: int) -> None:
        """Draw the lines between doors and drawers."""
        top = high
        if kind == "drawers":
            for part in (1, 2):
                height = low + (high - low) * part // 3
                self._line(begin, height, end, height)
            return
        if run.layer == "base" and kind != "corner":
            top = high - DRAWER_NM
            self._line(begin, top, end, top)
        if end - begin > ONE_DOOR_NM and kind != "corner":
            self._line((begin + end) / 2, low, (begin + end) / 2, top)

    def _soffit_boxes(self) -> None:
        for number in self._soffits():
            begin, end = self.ceiling.reach_nm(self.plan.soffits[number])
            low = int(self.ceiling.undersides_nm[number])
            hatch = f"url(#{self.ident}-hatch)"
            self._rect(begin, end, low, self._over_soffit(number), "plan-plate plan-opened", line=1.0)
            self._rect(begin, end, low, self._over_soffit(number), "plan-footprint", fill=hatch, line=1.0)

    def _outline(self) -> None:
        """Draw the floor, the ends of the wall and its top."""
        points = [(self._x(0), self._y(0))]
        for run in self.tops:
            points.append((self._x(float(run.begin_nm)), self._y(float(run.begin_height_nm))))
            points.append((self._x(float(run.end_nm)), self._y(float(run.end_height_nm))))
        points += [(self._x(self.length_nm), self._y(0)), points[0]]
        look = {"fill": "none", "stroke": GRAPHITE, "stroke-width": "2.2", "stroke-linejoin": "round"}
        ET.SubElement(self.root, "polyline", {"class": "plan-wall", "points": _points(points), **look})

    def _length(self) -> None:
        """Write the wall's length under the floor, on its line."""
        y = self._y(0) + self.under * 0.55
        text = f"{wall_letter(self.wall)} {format_length(self.length_nm, self.metric)}"
        ends = sorted((self._x(0), self._x(self.length_nm)))
        middle, gap = sum(ends) / 2, text_width(text, self.text) / 2 + 4
        for begin, end in ((ends[0], middle - gap), (middle + gap, ends[1])):
            if end > begin:
                self._stroke((begin, y), (end, y), "plan-dimline", SECOND, 0.6)
        for at in ends:
            self._stroke((at - TICK, y + TICK), (at + TICK, y - TICK), "plan-tick", SECOND, 0.9)
        self._write(text, (middle, y), self.text, GRAPHITE, "plan-dim")

    def _height_ticks(self) -> None:
        """Write the heights above the floor at the left, the ceiling's and those of the runs."""
        x = self.left + self.aside - 9
        near = self.tops[-1].end_height_nm if self.flipped else self.tops[0].begin_height_nm
        top = max(int(near), self.high_nm) if self._soffits() else int(near)
        self._stroke((x, self._y(0)), (x, self._y(top)), "plan-dimline", SECOND, 0.6)
        written: list[float] = []
        for height in [top, *sorted(self.heights)]:
            y = self._y(height)
            self._stroke((x - TICK, y + TICK), (x + TICK, y - TICK), "plan-tick", SECOND, 0.9)
            if all(abs(other - y) >= self.small * 1.05 for other in written):
                text = format_length(height, self.metric)
                self._write(text, (x - 6, y), self.small, SECOND, "plan-name", "end")
                written.append(y)
        y = self._y(0)
        self._stroke((x - TICK, y + TICK), (x + TICK, y - TICK), "plan-tick", SECOND, 0.9)

    def _words(self, lines: Sequence[str], begin: float, end: float, low: float, high: float) -> None:
        """Write lines in a box: across or else upright, smaller where that is needed, or the last alone."""
        wide, tall = abs(end - begin) * self.scale - 3, (high - low) * self.scale - 3
        middle = (self._x(begin) + self._x(end)) / 2, (self._y(low) + self._y(high)) / 2
        whole, joined = list(lines), [" ".join(lines)]
        ways = [(said, part, up) for part in (1.0, 0.85) for up in (False, True) for said in (whole, joined)]
        ways += [(whole, 0.72, True), (whole[-1:], 1.0, False), (whole[-1:], 0.85, True)]
        for said, part, up in ways:
            size = self.small * part
            widest = max(text_width(line, size) for line in said)
            room, deep = (tall, wide) if up else (wide, tall)
            if widest <= room and size * 1.25 * len(said) <= deep + 2:
                self._lines(said, middle, widest, size, up)
                return

    def _lines(self, lines: Sequence[str], middle: XY, widest: float, letters: float, upright: bool) -> None:
        step = letters * 1.25
        high = step * len(lines)
        size = (high, widest + 2) if upright else (widest + 2, high)
        x, y = middle[0] - size[0] / 2, middle[1] - size[1] / 2
        plate = {"x": f"{x:.1f}", "y": f"{y:.1f}", "width": f"{size[0]:.1f}", "height": f"{size[1]:.1f}"}
        ET.SubElement(self.root, "rect", {"class": "plan-plate", "fill": SHEET, **plate})
        for number, line in enumerate(lines):
            off = (number - (len(lines) - 1) / 2) * step
            spot = (middle[0] + off, middle[1]) if upright else (middle[0], middle[1] + off)
            self._write(line, spot, letters, GRAPHITE, "plan-dim", upright=upright)

    def _write(
        self,
        text: str,
        spot: XY,
        size: float,
        color: str,
        name: str,
        anchor: str = "middle",
        upright: bool = False,
    ) -> None:
        x, y = spot
        element = ET.SubElement(
            self.root,
            "text",
            {
                "class": name,
                "x": f"{x:.1f}",
                "y": f"{y + 0.36 * size:.1f}",
                "text-anchor": anchor,
                "font-size": f"{size:g}",
                "fill": color,
            },
        )
        if upright:
            element.set("transform", f"rotate(-90 {x:.1f} {y:.1f})")
        element.text = text

    def _rect(
        self, begin: float, end: float, low: float, high: float, name: str, *, line: float, fill: str = ""
    ) -> None:
        left, right = sorted((self._x(begin), self._x(end)))
        top, bottom = self._y(high), self._y(low)
        box = {
            "x": f"{left:.1f}",
            "y": f"{top:.1f}",
            "width": f"{right - left:.1f}",
            "height": f"{max(bottom - top, 0):.1f}",
        }
        plain = "none" if name == "plan-inner" else SHEET
        look = {
            "fill": fill or plain,
            "stroke": GRAPHITE if line > 0.9 else SECOND,
            "stroke-width": f"{line:g}",
        }
        if not line:
            look = {"fill": fill}
        ET.SubElement(self.root, "rect", {"class": name, **box, **look})

    def _line(self, x1: float, y1: float, x2: float, y2: float) -> None:
        self._stroke((self._x(x1), self._y(y1)), (self._x(x2), self._y(y2)), "plan-dimline", SECOND, 0.6)

    def _stroke(self, start: XY, stop: XY, name: str, color: str, width: float) -> ET.Element:
        ends = {
            f"{axis}{end}": f"{at:.1f}"
            for end, spot in ((1, start), (2, stop))
            for axis, at in zip("xy", spot, strict=True)
        }
        return ET.SubElement(
            self.root, "line", {"class": name, "stroke": color, "stroke-width": f"{width:g}", **ends}
        )

    def _patterns(self) -> ET.Element:
        defs = ET.Element("defs")
        strokes = {
            "hatch": (6, 6, "M-1 1L1 -1M0 6L6 0M5 7L7 5"),
            "tile": (12, 8, "M0 0H12M0 4H12M0 0V4M6 4V8"),
        }
        for name, (width, height, path) in strokes.items():
            size = {"width": f"{width}", "height": f"{height}", "patternUnits": "userSpaceOnUse"}
            pattern = ET.SubElement(defs, "pattern", {"id": f"{self.ident}-{name}", **size})
            look = {"class": "plan-hatch", "d": path, "stroke": SECOND, "stroke-width": "0.4", "fill": "none"}
            ET.SubElement(pattern, "path", look)
        return defs


def _points(points: Sequence[XY]) -> str:
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
