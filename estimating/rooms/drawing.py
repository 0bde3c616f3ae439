"""A room's plan to scale as SVG, for the pages.

The pages' content policy allows no style attributes, so looks are presentation attributes, which a style
sheet may override by class. Drawing coordinates are floats; every length that is written comes from whole
nanometers. Where a position on the wall wasn't measured, openings are spread evenly, and footprints follow
one another from the wall's start.

What is overhead is drawn dashed: soffits and wall cabinets as boxes, bends and steps of the ceiling as lines
across the room, with an arrow up every slope and the heights that were measured.
"""

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import hypot
from xml.etree import ElementTree as ET

from catalog.measures.lengths import format_length
from estimating.rooms.ceiling import Ceiling, ceiling_over
from estimating.rooms.description import plan_in_words
from estimating.rooms.faults import plan_faults
from estimating.rooms.labels import XY, Label, Shape, overlap, readable, text_width
from estimating.rooms.outline import TooFewWalls, leg_faults, wall_letter
from estimating.rooms.plan import Opening, RoomPlan, Soffit, room_outline, spot_ring
from estimating.rooms.scale import WIDTH, DrawnWall, to_scale, widest_spot

GRAPHITE, SECOND, CHALK, CEDAR, SHEET = "#22272a", "#565e63", "#1d5a9e", "#8f431f", "#ffffff"
TEXT, SMALL = 12.0, 10.0
DIMENSION_OFF = 15.0  # from a wall to its dimension line
TICK = 3.5
BOX_OFF = 5.5  # from a wall to the middle of a box on it, which its face hides


def plan_svg(
    plan: RoomPlan,
    metric: bool = False,
    highlight: frozenset[int] = frozenset(),
    ident: str = "plan",
    larger: float = 1.0,
) -> str:
    """Return the plan as one SVG element with a title and a description that says the same in words.

    `highlight` holds the indexes of chosen walls; `ident` begins every id, so that several plans can stand on
    one page; `larger` sets the letters larger, for a drawing that is shown small. Walls that don't close are
    drawn as measured, with a dashed gap and its length. Raises PlanError where a wall can't be drawn: no
    walls at all, no length, or a turn straight back.
    """
    if not plan.legs:
        raise TooFewWalls("A room needs at least three walls.", "walls")
    for fault in leg_faults(plan.legs):
        raise fault
    return ET.tostring(_Drawing(plan, metric, highlight, ident, larger).svg(), encoding="unicode")


class _Drawing:
    """One plan in the making: the walls to scale, the elements so far, and what labels must not cover."""

    def __init__(
        self, plan: RoomPlan, metric: bool, highlight: frozenset[int], ident: str, larger: float
    ) -> None:
        self.larger = larger
        self.text, self.small, self.dimension_off = TEXT * larger, SMALL * larger, DIMENSION_OFF * larger
        self.plan, self.metric, self.highlight, self.ident = plan, metric, highlight, ident
        self.shape = room_outline(plan)
        self.scale, self.walls = to_scale(self.shape)
        self.root = ET.Element("g")
        self.obstacles: list[Shape] = [(wall.start, wall.end) for wall in self.walls]
        self.extent: list[XY] = [point for wall in self.walls for point in (wall.start, wall.end)]

    def svg(self) -> ET.Element:
        """Draw everything and return the whole."""
        if self.plan.heights and not any(plan_faults(self.plan)):
            self._bends(ceiling_over(self.plan))
        self._soffit_boxes()
        self._fixed()
        self._soffit_names()
        for wall in self.walls:
            self._wall(wall)
        self._labels()
        self._heights()
        self._electrical()
        self._photos()
        if not self.shape.closed:
            self._gap()
        left, top, width, height = self._view()
        svg = ET.Element(
            "svg",
            {
                "xmlns": "http://www.w3.org/2000/svg",
                "class": "plan-drawing",
                "viewBox": f"{left:.1f} {top:.1f} {width:.1f} {height:.1f}",
                "role": "img",
                "aria-labelledby": f"{self.ident}-title {self.ident}-desc",
                "font-family": "Inter",
            },
        )
        ET.SubElement(svg, "title", {"id": f"{self.ident}-title"}).text = f"Plan of {self.plan.name}"
        description = ET.SubElement(svg, "desc", {"id": f"{self.ident}-desc"})
        description.text = plan_in_words(self.plan, self.metric)
        svg.append(_hatch(self.ident))
        svg.extend(self.root)
        return svg

    def _fixed(self) -> None:
        """Draw footprints along the walls; those that stand free, and columns, in a row."""
        # length from the start of each wall, of what hangs on it apart from what stands there
        occupied: dict[tuple[int, bool], float] = {}
        free: list[tuple[str, float, float, str]] = [
            ("", column.width_nm * self.scale, column.depth_nm * self.scale, f"columns {number}")
            for number, column in enumerate(self.plan.columns)
        ]
        for number, footprint in enumerate(self.plan.footprints):
            item = f"footprints {number}"
            length, depth = footprint.length_nm * self.scale, footprint.depth_nm * self.scale
            if footprint.spot is not None:
                if 0 <= footprint.spot.wall < len(self.walls):
                    ring = [self._spot(point) for point in spot_ring(self.shape, footprint)]
                    angle = readable(self.walls[footprint.spot.wall].along)
                    self._box(ring, footprint.name, angle, item)
            elif footprint.wall is None:
                free.append((footprint.name, length, depth, item))
            elif 0 <= footprint.wall < len(self.walls):
                wall, row = self.walls[footprint.wall], (footprint.wall, footprint.layer == "hung")
                begin = occupied.get(row, 0.0)
                if footprint.offset_nm is not None:
                    begin = footprint.offset_nm * self.scale
                occupied[row] = begin + length
                if footprint.kind == "hung":
                    self._overhead(wall.box(begin, length, depth), item)
                else:
                    self._box(wall.box(begin, length, depth), footprint.name, readable(wall.along), item)
        if free:
            self._row(free)

    def _row(self, boxes: Sequence[tuple[str, float, float, str]]) -> None:
        """Draw free-standing boxes, whose position isn't measured, in a row at the room's widest spot."""
        x, y = widest_spot([wall.start for wall in self.walls])
        gap = 8.0
        x -= (sum(length for _, length, *_ in boxes) + gap * (len(boxes) - 1)) / 2
        for name, length, depth, item in boxes:
            corners = ((x, y - depth / 2), (x + length, y - depth / 2))
            self._box((*corners, (x + length, y + depth / 2), (x, y + depth / 2)), name, 0.0, item)
            x += length + gap

    def _spot(self, point: tuple[float, float]) -> XY:
        """Return where a point of the plan is drawn."""
        return point[0] * self.scale, -point[1] * self.scale

    def _soffits(self) -> Iterator[tuple[int, Soffit, DrawnWall, Shape]]:
        """Yield the soffits that can be drawn, each with its number, wall and corners."""
        for number, soffit in enumerate(self.plan.soffits):
            if soffit.wall is not None and 0 <= soffit.wall < len(self.walls):
                wall = self.walls[soffit.wall]
                sizes = (soffit.offset_nm or 0, soffit.length_nm, soffit.depth_nm)
                begin, length, depth = (size * self.scale for size in sizes)
                yield number, soffit, wall, wall.box(begin, length, depth)

    def _soffit_boxes(self) -> None:
        for number, _, _, corners in self._soffits():
            self._overhead(corners, f"soffits {number}")

    def _overhead(self, corners: Shape, item: str) -> None:
        """Draw something over the floor dashed: a soffit, wall cabinets."""
        points = _points(corners)
        box = self._add("polygon", "plan-swing", width=1.0, points=points, fill="none", stroke=SECOND)
        box.set("stroke-dasharray", "5 3")
        box.set("data-item", item)
        self.extent += corners

    def _soffit_names(self) -> None:
        """Write the names of soffits, in the box or off it, where they cover nothing."""
        for _, soffit, wall, corners in self._soffits():
            depth = soffit.depth_nm * self.scale
            middle = ((soffit.offset_nm or 0) + soffit.length_nm / 2) * self.scale
            beyond = [depth + step * self.larger for step in (8.0, 20.0, 32.0, 44.0)]
            for into in (depth / 2, *beyond):
                text = soffit.name if into < depth else f"{soffit.name}, dashed"
                width = text_width(text, self.small)
                label = Label(wall.at(middle, into), readable(wall.along), width, self.small + 2)
                if (into > depth or depth > label.height) and label.is_free(self.obstacles):
                    self._text(label, text, self.small, SECOND, "plan-name")
                    self.obstacles.append(label.corners())
                    break
            self.obstacles.append((corners[3], corners[2]))

    def _bends(self, ceiling: Ceiling) -> None:
        """Draw the lines across the room where the ceiling bends or steps, and an arrow up every slope."""
        for seam in ceiling.seams:
            if seam.source.kind == "bend":
                ends = [self._spot((float(x), float(y))) for x, y in (seam.start, seam.end)]
                line = self._line(ends[0], ends[1], "plan-dimline", SECOND, 0.9)
                line.set("stroke-dasharray", "7 3 1.5 3")
        for span, (*_, low, high) in enumerate(ceiling.profile.spans):
            rings = ceiling.rings_of(span)
            if low == high or not rings:
                continue
            x, y = widest_spot([self._spot(point) for point in max(rings, key=len)])
            dx, dy = ceiling.profile.toward
            size = hypot(dx, dy) * (1 if high > low else -1)
            reach = 12.0 * self.larger
            self._arrow((x, y), (dx / size * reach, -dy / size * reach))

    def _arrow(self, middle: XY, reach: XY) -> None:
        """Draw an arrow whose tip is this far from its middle."""
        (x, y), (dx, dy) = middle, reach
        tip, tail = (x + dx, y + dy), (x - dx, y - dy)
        self._line(tail, tip, "plan-dimline", SECOND, 1.0)
        for side in (-1, 1):
            barb = (tip[0] - dx * 0.5 + side * dy * 0.3, tip[1] - dy * 0.5 - side * dx * 0.3)
            self._line(barb, tip, "plan-dimline", SECOND, 1.0)
        self.obstacles.append((tail, tip))

    def _heights(self) -> None:
        """Write the heights of the ceiling where they were measured, beside their wall; a step's together."""
        at: dict[tuple[int, int], list[str]] = {}
        for point in self.plan.heights:
            if 0 <= point.wall < len(self.walls):
                said = format_length(point.height_nm, self.metric)
                at.setdefault((point.wall, point.along_nm), []).append(said)
        for (number, along_nm), heights in at.items():
            wall, text = self.walls[number], " / ".join(heights) + " high"
            spot = wall.at(along_nm * self.scale)
            self._add("circle", "plan-name", fill=SECOND, cx=f"{spot[0]:.1f}", cy=f"{spot[1]:.1f}", r="2.4")
            spots = self._beside_place(wall, along_nm * self.scale, text_width(text, self.small))
            label = next((spot for spot in spots if spot.is_free(self.obstacles)), None)
            if label is not None:
                self._add("polygon", "plan-plate", points=_points(label.corners(0.5)), fill=SHEET)
                self._text(label, text, self.small, SECOND, "plan-name")
                self.obstacles.append(label.corners())

    def _beside_place(self, wall: DrawnWall, along: float, width: float) -> Iterator[Label]:
        """Yield where a label may stand beside a place on a wall, the best first: along it, square to it."""
        height, near = self.small + 2, 11.0 * self.larger
        angle, across = readable(wall.along), readable((-wall.along[1], wall.along[0]))
        least, most = width / 2 + 6, wall.length - width / 2 - 6
        middle = min(max(along, least), max(most, wall.length / 2))
        yield Label(wall.at(middle, near), angle, width, height)
        for aside in (0.0, height, -height, 2 * height, -2 * height):
            if height / 2 < along + aside < wall.length - height / 2:
                yield Label(wall.at(along + aside, 6 + width / 2), across, width, height)
        for into in (2.0, 3.0, 4.0):
            yield Label(wall.at(middle, into * near), angle, width, height)

    def _box(self, corners: Shape, name: str, angle: float, item: str) -> None:
        """Draw a hatched box, with its name where there is room for it."""
        self.obstacles.append(corners)
        self.extent += corners
        points = _points(corners)
        hatch = f"url(#{self.ident}-hatch)"
        box = self._add("polygon", "plan-footprint", points=points, fill=hatch, stroke=SECOND, width=0.8)
        box.set("data-item", item)
        middle = (sum(x for x, _ in corners) / 4, sum(y for _, y in corners) / 4)
        sides = [hypot(bx - ax, by - ay) for (ax, ay), (bx, by) in zip(corners, corners[1:], strict=False)]
        label = Label(middle, angle, text_width(name, self.small), self.small + 2)
        if name and label.width < sides[0] - 4 and label.height < sides[1] - 2:
            self._add("polygon", "plan-plate", points=_points(label.corners(1.0)), fill=SHEET)
            self._text(label, name, self.small, SECOND, "plan-name")

    def _wall(self, wall: DrawnWall) -> None:
        """Draw a wall with its openings."""
        chosen = wall.index in self.highlight
        reached = 0.0
        for number, opening, begin, end in self._openings(wall):
            self._stretch(wall, reached, begin, chosen)
            reached = end
            item = {"data-item": f"openings {number}"}
            group = ET.SubElement(self.root, "g", {"class": f"plan-opening plan-{opening.kind}", **item})
            self._opening(group, wall, opening, begin, end)
        self._stretch(wall, reached, wall.length, chosen)

    def _stretch(self, wall: DrawnWall, begin: float, end: float, chosen: bool) -> None:
        if end > begin:
            line = self._line(
                wall.at(begin),
                wall.at(end),
                "plan-wall plan-chosen" if chosen else "plan-wall",
                CHALK if chosen else GRAPHITE,
                4.0 if chosen else 2.2,
            )
            line.set("data-item", f"walls {wall.index}")

    def _openings(self, wall: DrawnWall) -> Iterator[tuple[int, Opening, float, float]]:
        """Yield the openings of a wall, each with its number and where it begins and ends, in that order."""
        on_wall = [each for each in enumerate(self.plan.openings) if each[1].wall == wall.index]
        unplaced = [opening.width_nm * self.scale for _, opening in on_wall if opening.offset_nm is None]
        gap = (wall.length - sum(unplaced)) / (len(unplaced) + 1)
        placed, reached = [], 0.0
        for number, opening in on_wall:
            width = opening.width_nm * self.scale
            if opening.offset_nm is None:
                begin = reached + gap
                reached = begin + width
            else:
                begin = opening.offset_nm * self.scale
            placed.append((number, opening, begin, begin + width))
        yield from sorted(placed, key=lambda opening: opening[2])

    def _opening(
        self, group: ET.Element, wall: DrawnWall, opening: Opening, begin: float, end: float
    ) -> None:
        jamb = 3.0
        for at in (begin, end):
            self._line(wall.at(at, -jamb), wall.at(at, jamb), "plan-jamb", GRAPHITE, 1.0, group)
        if opening.kind == "window":
            glass = (wall.at(begin, -2.2), wall.at(end, -2.2), wall.at(end, 2.2), wall.at(begin, 2.2))
            self._add("polygon", "plan-plate", group, points=_points(glass), fill=SHEET)
            for into in (-2.2, 2.2):
                self._line(wall.at(begin, into), wall.at(end, into), "plan-glass", GRAPHITE, 0.8, group)
        elif opening.kind == "niche":
            depth = -max(opening.recess_nm * self.scale, 4.0)
            corners = [wall.at(begin), wall.at(begin, depth), wall.at(end, depth), wall.at(end)]
            for near, far in pairwise(corners):
                self._line(near, far, "plan-wall", GRAPHITE, 1.4, group)
            self.obstacles.append(corners)
            self.extent += corners
        elif opening.kind == "door":
            radius = end - begin
            tip, shut = wall.at(begin, radius), wall.at(end)
            self.extent.append(tip)
            self.obstacles.append((wall.at(begin), tip, wall.at(begin + radius * 0.7, radius * 0.7), shut))
            self._line(wall.at(begin), tip, "plan-leaf", GRAPHITE, 1.0, group)
            sweep = 0 if wall.side > 0 else 1
            path = f"M{_xy(tip)}A{radius:.1f} {radius:.1f} 0 0 {sweep} {_xy(shut)}"
            self._add("path", "plan-swing", group, d=path, fill="none", stroke=SECOND, width=0.7)

    def _electrical(self) -> None:
        """Draw outlets and switches on the face of their walls, and lights on the ceiling."""
        for number, place in enumerate(self.plan.electrical):
            if not 0 <= place.wall < len(self.walls):
                continue
            into = place.away_nm * self.scale if place.on_ceiling else BOX_OFF
            x, y = self.walls[place.wall].at(place.along_nm * self.scale, into)
            item = {"class": "plan-electrical", "data-item": f"electrical {number}"}
            group = ET.SubElement(self.root, "g", item)
            circle = {"cx": f"{x:.1f}", "cy": f"{y:.1f}", "r": "4.5", "fill": SHEET, "stroke": CHALK}
            self._add("circle", "plan-box", group, width=1.0, **circle)
            strokes = {
                "outlet": ((-1.5, -2.4, -1.5, 2.4), (1.5, -2.4, 1.5, 2.4)),
                "switch": ((-2.4, 2.4, 2.4, -2.4),),
            }.get(place.kind, ((-3.2, -3.2, 3.2, 3.2), (-3.2, 3.2, 3.2, -3.2)))
            for x1, y1, x2, y2 in strokes:
                self._line((x + x1, y + y1), (x + x2, y + y2), "plan-box", CHALK, 1.0, group)

    def _photos(self) -> None:
        """Draw the number of each photo at its spot; of a whole wall, in the middle before it."""
        radius = 7.5 * self.larger
        for place in self.plan.photos:
            if not 0 <= place.wall < len(self.walls):
                continue
            wall = self.walls[place.wall]
            along = wall.length / 2 if place.along_nm is None else place.along_nm * self.scale
            center = wall.at(along, max(place.away_nm * self.scale, radius + 3))
            x, y = (f"{at:.1f}" for at in center)
            self._add("circle", "plan-photo", fill=CEDAR, cx=x, cy=y, r=f"{radius:g}")
            number = Label(center, 0.0, 2 * radius, self.small)
            self._text(number, f"{place.number}", self.small, SHEET, "plan-photo-number")

    def _labels(self) -> None:
        """Write the letter and length of every wall, the longest first, each where it covers nothing."""
        lines = {wall.index: line for wall in self.walls if (line := self._dimension_line(wall))}
        for wall in sorted(self.walls, key=lambda wall: -wall.length):
            others = [line for index, line in lines.items() if index != wall.index]
            label, text = self._label(wall, [*self.obstacles, *others], wall.index in lines)
            self.obstacles.append(label.corners())
            self.extent += label.corners(2.0)
            self._wall_text(label, wall.index, text)
            if wall.index in lines:
                self._dimension(wall, label)

    def _length_text(self, wall: DrawnWall) -> str:
        return format_length(self.shape.lengths_nm[wall.index], self.metric)

    def _dimension_line(self, wall: DrawnWall) -> Shape | None:
        """Return the line for the wall's length; None where it is too short or would cross a wall."""
        width = text_width(f"{wall_letter(wall.index)} {self._length_text(wall)}", self.text)
        line = wall.at(0, -self.dimension_off), wall.at(wall.length, -self.dimension_off)
        crossed = any(overlap(line, (other.start, other.end)) for other in self.walls if other is not wall)
        return None if crossed or width > wall.length - 20 else line

    def _label(self, wall: DrawnWall, obstacles: Sequence[Shape], has_line: bool) -> tuple[Label, str]:
        """Return a label and the length that it shows.

        The first that is free: letter and length near the wall, the letter alone near it, both further off.
        """
        length, letter = self._length_text(wall), wall_letter(wall.index)
        full, alone = text_width(f"{letter} {length}", self.text), text_width(letter, self.text)
        candidates = [(label, length) for label in _near(wall, full, has_line, self.larger)]
        candidates += [(label, "") for label in _near(wall, alone, has_line, self.larger)]
        candidates += [(label, length) for label in _further(wall, full, self.larger)]
        free = (candidate for candidate in candidates if candidate[0].is_free(obstacles))
        return next(free, candidates[-1])

    def _wall_text(self, label: Label, index: int, length: str) -> None:
        chosen = index in self.highlight
        look = (CHALK, "plan-dim plan-chosen") if chosen else (GRAPHITE, "plan-dim")
        element = self._text(label, "", self.text, *look)
        letter = ET.SubElement(element, "tspan", {"class": "plan-letter", "font-weight": "700"})
        letter.text = wall_letter(index)
        letter.tail = f" {length}" if length else ""

    def _dimension(self, wall: DrawnWall, label: Label) -> None:
        """Draw a wall's dimension line with its ticks, broken where its label stands on it."""
        middle = wall.at(wall.length / 2, -self.dimension_off)
        gap = (
            label.width / 2 + 3 if hypot(label.center[0] - middle[0], label.center[1] - middle[1]) < 1 else 0
        )
        for begin, end in ((0.0, wall.length / 2 - gap), (wall.length / 2 + gap, wall.length)):
            self._line(
                wall.at(begin, -self.dimension_off),
                wall.at(end, -self.dimension_off),
                "plan-dimline",
                SECOND,
                0.6,
            )
        for end in (0.0, wall.length):
            slash = (
                wall.at(end - TICK, -self.dimension_off - TICK),
                wall.at(end + TICK, TICK - self.dimension_off),
            )
            self._line(*slash, "plan-tick", SECOND, 0.9)
            self.extent += slash

    def _gap(self) -> None:
        """Draw the gap between the end of walls that don't close and their start, with its length."""
        start, end = self.walls[0].start, self.walls[-1].end
        gap = self._line(end, start, "plan-gap", CEDAR, 1.4)
        gap.set("stroke-dasharray", "4 3")
        for point in (start, end):
            cx, cy = f"{point[0]:.1f}", f"{point[1]:.1f}"
            self._add("circle", "plan-gap", fill=SHEET, stroke=CEDAR, width=1.2, cx=cx, cy=cy, r="3")
        misclosure = self.shape.misclosure
        distance = misclosure.distance_in_words(self.metric)
        text = f"Open: ends {distance} {misclosure.direction} of the start"
        xs, ys = zip(*self.extent, strict=True)
        width = text_width(text, self.text)
        label = Label(((min(xs) + max(xs)) / 2, max(ys) + self.text + 4), 0.0, width, self.text)
        self.extent += label.corners()
        self._text(label, text, self.text, CEDAR, "plan-gap-text")

    def _view(self) -> tuple[float, float, float, float]:
        """Return left, top, width and height of the drawing, at least WIDTH wide, to keep texts one size."""
        xs, ys = zip(*self.extent, strict=True)
        pad = 6.0
        width, height = max(WIDTH, max(xs) - min(xs) + 2 * pad), max(ys) - min(ys) + 2 * pad
        return (min(xs) + max(xs) - width) / 2, min(ys) - pad, width, height

    def _text(self, label: Label, text: str, size: float, color: str, name: str) -> ET.Element:
        x, y = label.center
        element = ET.SubElement(
            self.root,
            "text",
            {
                "class": name,
                "x": f"{x:.1f}",
                "y": f"{y + 0.36 * size:.1f}",
                "text-anchor": "middle",
                "font-size": f"{size:g}",
                "fill": color,
            },
        )
        if label.angle:
            element.set("transform", f"rotate({label.angle:.2f} {x:.1f} {y:.1f})")
        element.text = text
        return element

    def _line(
        self, start: XY, end: XY, name: str, color: str, width: float, group: ET.Element | None = None
    ) -> ET.Element:
        (x1, y1), (x2, y2) = start, end
        return self._add(
            "line",
            name,
            group,
            stroke=color,
            width=width,
            x1=f"{x1:.1f}",
            y1=f"{y1:.1f}",
            x2=f"{x2:.1f}",
            y2=f"{y2:.1f}",
        )

    def _add(
        self, tag: str, name: str, group: ET.Element | None = None, width: float | None = None, **look: str
    ) -> ET.Element:
        parent = self.root if group is None else group
        element = ET.SubElement(parent, tag, {"class": name, **look})
        if width is not None:
            element.set("stroke-width", f"{width:g}")
            element.set("stroke-linecap", "round")
        return element


def _near(wall: DrawnWall, width: float, has_line: bool, larger: float) -> Iterator[Label]:
    """Yield where a label of this width may stand beside its wall, the best first."""
    middle, angle = wall.length / 2, readable(wall.along)
    if has_line:
        yield Label(wall.at(middle, -DIMENSION_OFF * larger), angle, width, TEXT * larger)
    for into in (-11.0 * larger, 11.0 * larger):
        yield Label(wall.at(middle, into), angle, width, TEXT * larger)
    across = readable((-wall.along[1], wall.along[0]))
    for into in (-6 - width / 2, 6 + width / 2):
        yield Label(wall.at(middle, into), across, width, TEXT * larger)


def _further(wall: DrawnWall, width: float, larger: float) -> Iterator[Label]:
    """Yield where a label of this width may stand further from its wall, the nearest first."""
    angle = readable(wall.along)
    for into in (-28.0, 28.0, -42.0, 42.0, -56.0, 56.0):
        yield Label(wall.at(wall.length / 2, into * larger), angle, width, TEXT * larger)


def _hatch(ident: str) -> ET.Element:
    defs = ET.Element("defs")
    pattern = ET.SubElement(
        defs,
        "pattern",
        {"id": f"{ident}-hatch", "width": "6", "height": "6", "patternUnits": "userSpaceOnUse"},
    )
    look = {"class": "plan-hatch", "d": "M-1 1L1 -1M0 6L6 0M5 7L7 5", "stroke": SECOND, "stroke-width": "0.5"}
    ET.SubElement(pattern, "path", look)
    return defs


def _xy(point: XY) -> str:
    return f"{point[0]:.1f} {point[1]:.1f}"


def _points(corners: Shape) -> str:
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in corners)
