"""Drawings of boards and tile on a surface, to scale: SVG for the pages and for the cut sheet.

The pages' content policy allows no style attributes, so looks are presentation attributes, which a style
sheet may override by class. Drawing coordinates are floats, y downwards; every length that is written comes
from whole nanometers.
"""

from collections.abc import Iterable, Iterator, Sequence
from math import hypot
from xml.etree import ElementTree as ET

from catalog.measures.lengths import format_length
from estimating.boards.description import layout_in_words, size_in_words, tiles_in_words
from estimating.boards.start_lines import StartLines, start_lines
from estimating.boards.surfaces import box
from estimating.boards.tile import TileLayout
from estimating.rooms.labels import XY, text_width
from estimating.rooms.scale import is_inside
from estimating.sheet_layout.layout import Layout, Piece
from estimating.sheet_layout.regions import Point, Ring
from estimating.sheet_layout.surface import Surface

GRAPHITE, SECOND, CHALK, SHEET = "#22272a", "#565e63", "#1d5a9e", "#ffffff"
PAGE_WIDTH, PAPER_WIDTH = 400.0, 560.0  # of a drawing; texts keep their size, so more of them fit on paper
TALLEST = {PAGE_WIDTH: 460.0, PAPER_WIDTH: 350.0}  # height of the surface on it
MARGIN = 34.0
TEXT, SMALL = 11.0, 9.5
LINE_HEIGHT = TEXT + 2
DIMENSION_OFF = 14.0  # from the surface to its dimension lines


def layout_svg(
    layout: Layout,
    name: str,
    metric: bool = False,
    *,
    fasteners: bool = False,
    ident: str = "boards",
    wide: float = PAGE_WIDTH,
) -> str:
    """Return a layout as one SVG element: pieces numbered in laying order, with sizes where there is room.

    Pieces from an offcut are hatched, the other way where it fell out of a notched piece; areas that aren't
    covered cross-hatched, and the corner to start from is marked. Studs or joists are dashed, joints that
    fall between them drawn thick. `ident` begins every id, so that several drawings can stand on one page.
    """
    drawing = _Drawing(layout.surface, wide, ident, metric)
    for piece in layout.pieces:
        drawing.piece(piece)
    drawing.framing(layout)
    if fasteners:
        drawing.crosses(spot for piece in layout.pieces for spot in piece.fasteners)
    for piece in layout.pieces:
        drawing.label(piece, plate=fasteners or piece.from_offcut or layout.surface.framing is not None)
    drawing.start(layout)
    return drawing.svg(f"Boards on {name}", layout_in_words(layout, name, metric))


def in_black(svg: str) -> str:
    """Return a drawing in black on white, for a printer without colors and a wall without much light."""
    for color in (GRAPHITE, SECOND, CHALK):
        svg = svg.replace(color, "#000000")
    return svg


def tile_svg(
    layout: TileLayout, name: str, metric: bool = False, *, ident: str = "tile", wide: float = PAGE_WIDTH
) -> str:
    """Return tile as one SVG element: whole tiles plain, cut tiles hatched, and the lines to start from."""
    drawing = _Drawing(layout.surface, wide, ident, metric)
    whole: list[Ring] = []
    cut: list[Ring] = []
    for piece in layout.pieces:
        outlines = piece.rings or (box(piece.x_nm, piece.y_nm, piece.width_nm, piece.height_nm),)
        (whole if piece.whole else cut).extend(outlines)
    drawing.shapes(whole, "board-piece", "none")
    drawing.shapes(cut, "board-piece board-cut", drawing.hatch("offcut"))
    if lines := start_lines(layout):
        drawing.start_lines(lines)
    return drawing.svg(f"Tile on {name}", tiles_in_words(layout, name, metric))


class _Drawing:
    """One drawing in the making: a surface to scale and the elements drawn on it so far."""

    def __init__(self, surface: Surface, wide: float, ident: str, metric: bool) -> None:
        self.surface, self.wide, self.ident, self.metric = surface, wide, ident, metric
        xs, ys = zip(*surface.ring, strict=True)
        self.left, self.low, self.right, self.high = min(xs), min(ys), max(xs), max(ys)
        self.scale = min(
            (wide - 2 * MARGIN) / (self.right - self.left), TALLEST[wide] / (self.high - self.low)
        )
        self.offset = (wide - (self.right - self.left) * self.scale) / 2
        self.root = ET.Element("g")
        free = " ".join(self._ring(map(self.at, ring)) for ring in surface.holes)
        if free:
            self._add("path", "board-free", d=free, fill=self.hatch("free"), stroke=GRAPHITE, width=0.8)

    def at(self, point: Point) -> XY:
        """Return where a point of the surface stands on the drawing."""
        return self.offset + (point[0] - self.left) * self.scale, (self.high - point[1]) * self.scale

    def at_laid(self, point: Point) -> XY:
        """Return where a point of the layout, which may be turned, stands on the drawing."""
        return self.at(self.surface.on_plan(point))

    def hatch(self, kind: str) -> str:
        return f"url(#{self.ident}-{kind})"

    def shapes(self, rings: Iterable[Ring], name: str, fill: str) -> None:
        path = " ".join(self._ring(map(self.at_laid, ring)) for ring in rings)
        if path:
            self._add("path", name, d=path, fill=fill, stroke=GRAPHITE, width=0.8)

    def piece(self, piece: Piece) -> None:
        path = " ".join(self._ring(map(self.at_laid, ring)) for ring in piece.rings)
        name, fill = "board-piece", "none"
        if piece.from_offcut:
            name, fill = "board-piece board-offcut", self.hatch("fallen" if piece.fallen else "offcut")
        self._add("path", name, d=path, fill=fill, stroke=GRAPHITE, width=0.9).set("fill-rule", "evenodd")

    def framing(self, layout: Layout) -> None:
        """Draw the middles of studs or joists, and the joints that none of them carries where one should."""
        lines = self.surface.framing or self.surface.clear_of
        if lines is None:
            return
        upright = lines.along == "y"
        start, end = (self.left, self.right) if upright else (self.low, self.high)
        first = start + (lines.at_nm - start) % lines.spacing_nm
        ends = (
            ((at, self.low), (at, self.high)) if upright else ((self.left, at), (self.right, at))
            for at in range(first, end + 1, lines.spacing_nm)
        )
        drawn = ((self.at(near), self.at(far)) for near, far in ends)
        path = "".join(f"M{x:.1f} {y:.1f}L{end_x:.1f} {end_y:.1f}" for (x, y), (end_x, end_y) in drawn)
        if path:
            look = {"fill": "none", "stroke": SECOND, "stroke-dasharray": "7 3"}
            self._add("path", "board-stud", d=path, width=0.6, **look)
        path = ""
        for joint in layout.joints:
            if joint.off_framing:
                (x, y), (right, top) = (
                    self.at_laid((joint.x_nm + east, joint.y_nm + north))
                    for east, north in ((0, 0), (joint.width_nm, joint.height_nm))
                )
                path += f"M{x:.1f} {y:.1f}L{right:.1f} {top:.1f}"
        if path:
            self._add("path", "board-off-stud", d=path, fill="none", stroke=GRAPHITE, width=3)

    def crosses(self, spots: Iterable[Point]) -> None:
        """Draw a small cross where each fastener goes."""
        path = " ".join(
            f"M{x - 1.2:.1f} {y:.1f}h2.4M{x:.1f} {y - 1.2:.1f}v2.4" for x, y in map(self.at_laid, spots)
        )
        self._add("path", "board-fastener", d=path, fill="none", stroke=GRAPHITE, width=0.6)

    def label(self, piece: Piece, *, plate: bool) -> None:
        """Write the piece's number and its size, or "whole", in the fullest way that there is room for."""
        rings = [[self.at_laid(point) for point in ring] for ring in piece.rings]
        number = f"{piece.number}"
        size = "whole" if piece.whole and not piece.notched else size_in_words(piece, self.metric)
        one_line = f"{number}: {size}"
        stacked = (number, *size.replace(" ×", " ×\n").split("\n "))
        candidates: tuple[tuple[tuple[str, ...], int], ...] = (
            ((number, size), 0),
            (stacked, 0),
            ((number, size), -90),
            ((one_line,), 0),
            ((one_line,), -90),
            (stacked, -90),
            ((number,), 0),
        )
        for lines, angle in candidates:
            width = max(text_width(number, TEXT), *(text_width(line, SMALL) for line in lines))
            height = LINE_HEIGHT * len(lines)
            if spot := _room_for(rings, *((height, width) if angle else (width, height))):
                self._words(spot, lines, angle, width, plate=plate)
                return
        xs, ys = zip(*rings[0], strict=True)
        self._words(((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2), (number,), 0, 8, plate=False)

    def start(self, layout: Layout) -> None:
        """Draw a bracket at the corner to start from, with an arrow along the courses."""
        given = layout.given
        east, north = given.corner[1] == "e", given.corner[0] == "n"
        xs, ys = zip(*(point for ring in layout.pieces[0].rings for point in ring), strict=True)
        corner = (max(xs) if east else min(xs), max(ys) if north else min(ys))
        across, up = self._step(corner, -1 if east else 1, 0), self._step(corner, 0, -1 if north else 1)
        along, aside = (across, up) if given.courses_along == "x" else (up, across)
        x, y = self.at_laid(corner)
        x, y = x - 5 * (across[0] + up[0]), y - 5 * (across[1] + up[1])
        tip = x + 46 * along[0], y + 46 * along[1]
        path = f"M{x + 14 * aside[0]:.1f} {y + 14 * aside[1]:.1f}L{x:.1f} {y:.1f}L{tip[0]:.1f} {tip[1]:.1f}"
        for side in (-3.5, 3.5):
            wing = (end - 6 * ahead + side * off for end, ahead, off in zip(tip, along, aside, strict=True))
            path += "M{:.1f} {:.1f}L{:.1f} {:.1f}".format(*tip, *wing)
        self._add("path", "plan-chosen", d=path, fill="none", stroke=CHALK, width=2.2)

    def start_lines(self, lines: StartLines) -> None:
        """Draw the two lines to snap, at the end of each how far it is from the edge at its left or below."""
        x, y = self.at(lines.at)
        left, top = self.at((self.left, self.high))
        right, bottom = self.at((self.right, self.low))
        path = (
            f"M{x:.1f} {top - 8:.1f}L{x:.1f} {bottom + 8:.1f}M{left - 8:.1f} {y:.1f}L{right + 8:.1f} {y:.1f}"
        )
        look = {"stroke": CHALK, "stroke-dasharray": "9 3 2 3"}
        self._add("path", "plan-chosen", d=path, fill="none", width=1.6, **look)
        across = format_length(lines.from_left_nm, self.metric)
        up = format_length(lines.up_nm, self.metric)
        for spot, text, angle in (((x, top - 16), across, 0), ((right + 16, y), up, -90)):
            self._words(spot, (text,), angle, text_width(text, TEXT), plate=True)

    def _step(self, start: Point, east: int, north: int) -> XY:
        """Return a step of one drawing unit from a point of the layout, along its x or its y axis."""
        far = 1 << 40
        end = (start[0] + far * east, start[1] + far * north)
        (ax, ay), (bx, by) = self.at_laid(start), self.at_laid(end)
        length = hypot(bx - ax, by - ay)
        return (bx - ax) / length, (by - ay) / length

    def svg(self, title: str, description: str) -> str:
        """Return the whole drawing with its outline, dimensions, title and description."""
        for ring in (self.surface.ring, *self.surface.holes):
            points = " ".join(f"{x:.1f},{y:.1f}" for x, y in map(self.at, ring))
            self._add("polygon", "plan-wall", points=points, fill="none", stroke=GRAPHITE, width=2.2)
        self._dimensions()
        height = (self.high - self.low) * self.scale + 2 * MARGIN
        svg = ET.Element(
            "svg",
            {
                "xmlns": "http://www.w3.org/2000/svg",
                "class": "plan-drawing",
                "viewBox": f"0 {-MARGIN:.1f} {self.wide:.1f} {height:.1f}",
                "role": "img",
                "aria-labelledby": f"{self.ident}-title {self.ident}-desc",
                "font-family": "Inter",
            },
        )
        ET.SubElement(svg, "title", {"id": f"{self.ident}-title"}).text = title
        ET.SubElement(svg, "desc", {"id": f"{self.ident}-desc"}).text = description
        hatches = (("offcut", "M0 0L8 8", 8), ("fallen", "M8 0L0 8", 8), ("free", "M0 0L5 5M5 0L0 5", 5))
        svg.extend(self._pattern(*hatch) for hatch in hatches)
        svg.append(self.root)
        return ET.tostring(svg, encoding="unicode")

    def _pattern(self, kind: str, path: str, size: int) -> ET.Element:
        pattern = ET.Element(
            "pattern",
            {
                "id": f"{self.ident}-{kind}",
                "width": f"{size}",
                "height": f"{size}",
                "patternUnits": "userSpaceOnUse",
            },
        )
        look = {"class": "plan-hatch", "d": path, "stroke": SECOND, "stroke-width": "0.5", "fill": "none"}
        ET.SubElement(pattern, "path", look)
        return pattern

    def _dimensions(self) -> None:
        """Draw the width below the surface and the height at its left, each with ticks at its ends."""
        (left, bottom), (right, top) = self.at((self.left, self.low)), self.at((self.right, self.high))
        across = format_length(self.right - self.left, self.metric)
        upright = format_length(self.high - self.low, self.metric)
        for (x1, y1), (x2, y2), text, angle in (
            ((left, bottom + DIMENSION_OFF), (right, bottom + DIMENSION_OFF), across, 0),
            ((left - DIMENSION_OFF, bottom), (left - DIMENSION_OFF, top), upright, -90),
        ):
            ends = {"x1": f"{x1:.1f}", "y1": f"{y1:.1f}", "x2": f"{x2:.1f}", "y2": f"{y2:.1f}"}
            self._add("line", "plan-dimline", 0.6, **ends, stroke=SECOND)
            for x, y in ((x1, y1), (x2, y2)):
                self._add(
                    "path", "plan-tick", d=f"M{x - 3.5:.1f} {y + 3.5:.1f}l7 -7", stroke=SECOND, width=0.9
                )
            self._words(((x1 + x2) / 2, (y1 + y2) / 2), (text,), angle, text_width(text, TEXT), plate=True)

    def _words(self, spot: XY, lines: Sequence[str], angle: int, width: float, *, plate: bool) -> None:
        """Write lines of text centered on a spot, a number first and bold; a `plate` hides hatching below."""
        x, y = spot
        group = ET.SubElement(self.root, "g", {"class": "board-label"})
        if angle:
            group.set("transform", f"rotate({angle} {x:.1f} {y:.1f})")
        height = LINE_HEIGHT * len(lines)
        if plate:
            look = {
                "x": f"{x - width / 2 - 2:.1f}",
                "y": f"{y - height / 2:.1f}",
                "width": f"{width + 4:.1f}",
                "height": f"{height:.1f}",
            }
            ET.SubElement(group, "rect", {"class": "plan-plate", **look, "fill": SHEET})
        for index, text in enumerate(lines):
            baseline = y - height / 2 + LINE_HEIGHT * (index + 1) - 3.5
            size, weight = (TEXT, "700") if not index and len(text) < 4 else (SMALL, "400")
            look = {"x": f"{x:.1f}", "y": f"{baseline:.1f}", "font-size": f"{size:g}", "font-weight": weight}
            element = ET.SubElement(
                group, "text", {"class": "plan-dim", "text-anchor": "middle", "fill": GRAPHITE, **look}
            )
            element.text = text

    @staticmethod
    def _ring(spots: Iterable[XY]) -> str:
        return "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in spots) + "Z"

    def _add(self, tag: str, name: str, width: float, **look: str) -> ET.Element:
        line = {"stroke-width": f"{width:g}", "stroke-linejoin": "miter"}
        return ET.SubElement(self.root, tag, {"class": name, **look, **line})


def _room_for(rings: Sequence[Sequence[XY]], width: float, height: float) -> XY | None:
    """Return where in a shape a box of this size fits, nearest to the middle; None where it doesn't."""
    xs, ys = zip(*rings[0], strict=True)
    left, top, wide, high = min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys)
    if width > wide - 3 or height > high - 3:
        return None
    sides = [side for ring in rings for side in zip(ring, (*ring[1:], ring[0]), strict=True)]
    for spot in _spots(left, top, wide, high):
        corners = [
            (spot[0] + side * width / 2, spot[1] + up * height / 2)
            for side in (-1, 0, 1)
            for up in (-1, 0, 1)
        ]
        if all(is_inside(corner, sides) for corner in corners):
            return spot
    return None


def _spots(left: float, top: float, wide: float, high: float) -> Iterator[XY]:
    """Yield the points of a 12 by 12 grid in a box, from its middle outwards."""
    steps = sorted(range(1, 12), key=lambda step: abs(step - 6))
    for row in steps:
        for column in steps:
            yield left + wide * column / 12, top + high * row / 12
