"""A check of a layout that knows nothing of how it was found: it looks at pieces, joints and sheets only.

The surface is cut into a grid along every edge there is, and each cell asked what lies in it.
"""

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Iterator, Sequence
from itertools import combinations, pairwise, product

import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from catalog.measures.lengths import NM_PER_INCH
from estimating.sheet_layout.layout import Joint, Layout, Piece
from estimating.sheet_layout.regions import Ring

Rectangle = tuple[int, int, int, int]  # left, low, right, high


def validate(layout: Layout) -> tuple[str, ...]:
    """What is wrong with a layout, a sentence each; nothing where it is as it should be.

    Whether pieces lie on the surface is checked of rectilinear surfaces only. Joints nearer than the offset
    are no fault where the layout says how many there are.
    """
    faults = [*_surface_faults(layout)] if layout.surface.rectilinear else []
    faults += [*_joint_faults(layout), *_fastener_faults(layout), *_framing_faults(layout)]
    return (*faults, *_sheet_faults(layout))


def _surface_faults(layout: Layout) -> Iterator[str]:
    rules, surface = layout.rules, layout.surface
    margin = rules.perimeter_gap_nm
    rings = [surface.ring, *surface.holes]
    pieces = [ring for piece in layout.pieces for ring in piece.rings]
    xs, ys = (_steps([point[axis] for ring in rings for point in ring], margin,
                     [point[axis] for ring in pieces for point in ring],
                     [end for joint in layout.joints for end in _ends(joint, axis)])
              for axis in (0, 1))  # fmt: skip
    inside = [[_contains(rings[0], x, y) and not any(_contains(hole, x, y) for hole in rings[1:])
               for x in _middles(xs)] for y in _middles(ys)]  # fmt: skip
    usable = _usable(xs, ys, inside, margin)
    beyond = _sums([[not cell for cell in row] for row in usable])
    taken = [[0] * (len(xs) - 1) for _ in ys[1:]]
    for piece in layout.pieces:
        _mark(taken, xs, ys, piece)
    joint_cells = [[False] * (len(xs) - 1) for _ in ys[1:]]
    for joint in layout.joints:
        for row, column in _cells(xs, ys, *_ends(joint, 0), *_ends(joint, 1)):
            joint_cells[row][column] = True
    sizes = dict.fromkeys(("usable", "board", "gaps", "joints"), 0)
    for row, column in product(range(len(ys) - 1), range(len(xs) - 1)):
        low, high, left, right = ys[row], ys[row + 1], xs[column], xs[column + 1]
        free, pieces_here, joint_here = usable[row][column], taken[row][column], joint_cells[row][column]
        size = (high - low) * (right - left)
        sizes["usable"] += size * free
        sizes["board"] += size * bool(pieces_here)
        sizes["gaps"] += size * (free and not pieces_here)
        sizes["joints"] += size * joint_here
        if pieces_here > 1:
            yield f"Pieces overlap at {left}, {low}."
        if pieces_here and not free:
            yield f"A piece reaches beyond the surface at {left}, {low}."
        if joint_here and (pieces_here or not free):
            yield f"A joint isn't a gap at {left}, {low}."
        if free and not pieces_here and not joint_here:
            gap = rules.gap_nm
            upright = right - left <= gap and _sum(beyond, xs, ys, left - gap, right + gap, low, high)
            level = high - low <= gap and _sum(beyond, xs, ys, left, right, low - gap, high + gap)
            if not upright and not level:  # no edge of the surface falls into a gap here
                yield f"The surface is left bare at {left}, {low}."
    if (sizes["usable"], sizes["board"], sizes["gaps"]) != (
        layout.usable_nm2,
        layout.board_nm2,
        layout.gap_nm2,
    ):
        yield "The areas of surface, boards and gaps aren't what the layout says."
    if sizes["joints"] != layout.joint_nm * rules.gap_nm:
        yield "The joints aren't as long as the layout says."


def _usable(
    xs: Sequence[int], ys: Sequence[int], inside: Sequence[Sequence[bool]], margin: int
) -> list[list[bool]]:
    """The cells that nothing outside the surface comes nearer to than the margin."""
    outside = _sums([[not cell for cell in row] for row in inside])
    return [
        [
            inside[row][column]
            and margin <= min(left - xs[0], xs[-1] - right, low - ys[0], ys[-1] - high)
            and not _sum(outside, xs, ys, left - margin, right + margin, low - margin, high + margin)
            for column, (left, right) in enumerate(pairwise(xs))
        ]
        for row, (low, high) in enumerate(pairwise(ys))
    ]


def _joint_faults(layout: Layout) -> Iterator[str]:
    """Joints of neighboring courses that come too near, if not as many as the layout says."""
    along = 0 if layout.given.courses_along == "x" else 1
    gap, least = layout.rules.gap_nm, layout.rules.min_offset_nm
    starting = defaultdict(list)
    joints = [joint for joint in layout.joints if joint.across]
    for joint in joints:
        starting[_ends(joint, 1 - along)[0]].append(_ends(joint, along)[0])
    close = sum(
        abs(_ends(joint, along)[0] - other) < least
        for joint in joints
        for other in starting[_ends(joint, 1 - along)[1] + gap]
    )
    if close != layout.close_joints:
        yield f"{close} joints are nearer than the offset, not {layout.close_joints}."
    for piece, other in combinations(layout.pieces, 2):
        apart = max(
            max(piece.x_nm, other.x_nm) - min(piece.x_nm + piece.width_nm, other.x_nm + other.width_nm),
            max(piece.y_nm, other.y_nm) - min(piece.y_nm + piece.height_nm, other.y_nm + other.height_nm),
        )
        if apart < gap and not piece.notched and not other.notched:
            yield f"Pieces {piece.number} and {other.number} are nearer than the gap."


def _framing_faults(layout: Layout) -> Iterator[str]:
    """Joints along the studs, none of whose middles they come within 3/8 in of, that aren't said to be so."""
    if layout.surface.framing is None:
        return
    at, spacing, along = layout.surface.framing
    axis = 0 if along == "y" else 1
    for joint in layout.joints:
        left, right = _ends(joint, axis)
        runs_along_studs = joint.across == (layout.given.courses_along != along)
        studs = (
            at + spacing * number for number in range((left - at) // spacing, (right - at) // spacing + 2)
        )
        off = runs_along_studs and not any(
            abs(left + right - 2 * stud) <= NM_PER_INCH * 3 // 4 for stud in studs
        )
        if off != joint.off_framing:
            yield f"Whether the joint at {left} is on a stud isn't as the layout says."


def _fastener_faults(layout: Layout) -> Iterator[str]:
    edge, spacing = layout.rules.edge_nm, layout.rules.fastener_spacing_nm
    for piece in layout.pieces:
        sides = ((piece.x_nm, piece.width_nm), (piece.y_nm, piece.height_nm))
        for axis, (start, size) in enumerate(sides):
            places = sorted({point[axis] for point in piece.fasteners})
            if size > 2 * edge and any(
                not start + edge - 1 <= place <= start + size - edge + 1 for place in places
            ):
                yield f"A fastener of piece {piece.number} is too near the edge."
            framing = layout.surface.framing
            fastened = framing and axis == (0 if framing.along == "y" else 1)
            apart = max(spacing, framing.spacing_nm + 2 * edge) if framing and fastened else spacing
            if not framing and (layout.given.courses_along == "x") == (axis == 0):
                apart = max(layout.rules.framing_nm, spacing) if layout.rules.framing_nm else spacing
            if any(after - place > apart + 1 for place, after in pairwise(places)) and not piece.notched:
                yield f"Fasteners of piece {piece.number} are too far apart."
        if not piece.notched and len(piece.fasteners) != len(set(piece.fasteners)):
            yield f"Fasteners of piece {piece.number} fall together."
        if not all(_contains(piece.rings[0], x, y, edges=True) for x, y in piece.fasteners):
            yield f"A fastener of piece {piece.number} is outside it."


def _sheet_faults(layout: Layout) -> Iterator[str]:
    length, width = layout.sheet.length_nm, layout.sheet.width_nm
    length, width = max(length, width), min(length, width)
    sheets: dict[int, list[Piece]] = defaultdict(list)
    for piece in layout.pieces:
        sheets[piece.sheet].append(piece)
    if sorted(sheets) != list(range(1, len(sheets) + 1)):
        yield "Sheets aren't counted one by one."
    for number, pieces in sheets.items():
        boxes = [_on_sheet(layout, piece) for piece in pieces]
        if any(box[0] < 0 or box[1] < 0 or box[2] > length or box[3] > width for box in boxes):
            yield f"A piece reaches beyond sheet {number}."
        if not _separable(boxes, layout.rules.kerf_nm):
            yield f"The pieces of sheet {number} can't be cut apart by straight cuts."
        if [piece.number for piece in pieces if not piece.from_offcut] != [pieces[0].number]:
            yield f"Sheet {number} is started other than once."
        if not layout.rules.may_turn and any(piece.turned for piece in pieces):
            yield f"A piece of sheet {number} is turned."


def validate_shared(layouts: Sequence[Layout]) -> tuple[str, ...]:
    """What is wrong with the sheets that surfaces share, which come in the order of hanging.

    Pieces are drawn on their sheets as what they are, notches and all. One that lies in the box of another
    was cut from what fell out of that: it has to be hung later, and to lie wholly in what fell out.
    """
    sheets: dict[int, list[tuple[str, Piece, Polygon, Rectangle]]] = defaultdict(list)
    faults: list[str] = []
    for at, layout in enumerate(layouts):
        sheet = layout.sheet
        long, short = max(sheet.length_nm, sheet.width_nm), min(sheet.length_nm, sheet.width_nm)
        for piece in layout.pieces:
            name, shape, here = f"{at}/{piece.number}", _shape_on_sheet(layout, piece), sheets[piece.sheet]
            (left, low, right, high) = rectangle = _on_sheet(layout, piece)
            if shape.bounds != rectangle:
                faults.append(f"{name} isn't where its box is.")
            if left < 0 or low < 0 or right > long or high > short:
                faults.append(f"{name} reaches beyond its sheet.")
            if piece.from_offcut != bool(here):
                faults.append(f"Whether {name} begins its sheet isn't as it says.")
            for other, _, earlier, around in here:
                if shape.intersection(earlier).area or shape.distance(earlier) < layout.rules.kerf_nm - 1:
                    faults.append(f"{name} and {other} overlap, or have no kerf between them.")
                if _lies_in(around, rectangle):
                    faults.append(f"{other} fell out of {name}, which is hung later.")
            here.append((name, piece, shape, rectangle))
    for number, cut in sheets.items():
        for group in _cut_from_one(cut):
            if not _separable(group, layouts[0].rules.kerf_nm):
                faults.append(f"The pieces of sheet {number} can't be cut apart by straight cuts.")
    if sorted(sheets) != list(range(1, len(sheets) + 1)):
        faults.append("Sheets aren't counted one by one.")
    return tuple(faults)


def hosts_on_sheets(layouts: Sequence[Layout]) -> dict[tuple[int, int], tuple[int, int]]:
    """The pieces that fell out of others, each by its surface and number, with the one they fell out of."""
    placed = [
        (at, piece.number, piece.sheet, _on_sheet(layout, piece))
        for at, layout in enumerate(layouts)
        for piece in layout.pieces
    ]
    found = {}
    for at, number, sheet, rectangle in placed:
        round_it = [
            ((around[2] - around[0]) * (around[3] - around[1]), (other_at, other))
            for other_at, other, other_sheet, around in placed
            if other_sheet == sheet and (other_at, other) != (at, number) and _lies_in(rectangle, around)
        ]
        if round_it:
            found[at, number] = min(round_it)[1]
    return found


def _cut_from_one(cut: Sequence[tuple[str, Piece, Polygon, Rectangle]]) -> Iterator[list[Rectangle]]:
    """The boxes that are cut from one rectangle: from the sheet itself, or from a hole in a piece."""
    boxes: dict[tuple[int, int], list[Rectangle]] = defaultdict(list)
    for *_, rectangle in cut:
        holes = []
        for name, (_, _, shape, around) in enumerate(cut):
            if around == rectangle or not _lies_in(rectangle, around):
                continue
            for hole, missing in enumerate(_polygons(shapely.box(*around).difference(shape))):
                if missing.covers(shapely.box(*rectangle)):
                    holes.append((missing.area, (name, hole)))
        boxes[min(holes)[1] if holes else (-1, -1)].append(rectangle)
    yield from boxes.values()


def _polygons(shape: BaseGeometry) -> list[BaseGeometry]:
    return list(getattr(shape, "geoms", [shape]))


def _lies_in(inner: Rectangle, outer: Rectangle) -> bool:
    return outer[0] <= inner[0] and outer[1] <= inner[1] and inner[2] <= outer[2] and inner[3] <= outer[3]


def _shape_on_sheet(layout: Layout, piece: Piece) -> Polygon:
    """The piece as it is drawn on its sheet: never turned over, as its face is the sheet's."""

    def placed(x: int, y: int) -> tuple[int, int]:
        x, y, over = x - piece.x_nm, y - piece.y_nm, piece.height_nm
        if layout.given.courses_along == "y":  # a quarter clockwise
            x, y, over = y, piece.width_nm - x, piece.width_nm
        if piece.turned:  # a quarter counterclockwise
            x, y = over - y, x
        return piece.sheet_x_nm + x, piece.sheet_y_nm + y

    outer, *inner = ([placed(*point) for point in ring] for ring in piece.rings)
    return Polygon(outer, inner)


def _on_sheet(layout: Layout, piece: Piece) -> Rectangle:
    along, over = piece.width_nm, piece.height_nm
    if (layout.given.courses_along == "y") != piece.turned:
        along, over = over, along
    return piece.sheet_x_nm, piece.sheet_y_nm, piece.sheet_x_nm + along, piece.sheet_y_nm + over


def _separable(boxes: Sequence[Rectangle], kerf: int) -> bool:
    """Whether straight cuts from edge to edge, each as wide as the kerf, part all the boxes."""
    if len(boxes) <= 1:
        return True
    for axis in (0, 1):
        ordered = sorted(boxes, key=lambda box: box[axis])
        reach = ordered[0][axis + 2]
        for at, box in enumerate(ordered[1:], start=1):
            if box[axis] >= reach + kerf:
                return _separable(ordered[:at], kerf) and _separable(ordered[at:], kerf)
            reach = max(reach, box[axis + 2])
    return False


def _ends(joint: Joint, axis: int) -> tuple[int, int]:
    if axis == 0:
        return joint.x_nm, joint.x_nm + joint.width_nm
    return joint.y_nm, joint.y_nm + joint.height_nm


def _steps(outline: Sequence[int], margin: int, *others: Sequence[int]) -> list[int]:
    around = {place + side for place in outline for side in (-margin, 0, margin)}
    return sorted(around.union(*others))


def _middles(steps: Sequence[int]) -> list[int]:
    """The middle of each step, doubled coordinates being spared: cells are wider than a nanometer."""
    return [(low + high) // 2 for low, high in pairwise(steps)]


def _contains(ring: Ring, x: int, y: int, edges: bool = False) -> bool:
    """Whether a point lies inside a rectilinear ring, by the upright edges to the right of it."""
    crossings = 0
    for (ax, ay), (bx, by) in pairwise((*ring, ring[0])):
        if edges and min(ax, bx) <= x <= max(ax, bx) and min(ay, by) <= y <= max(ay, by):
            return True
        crossings += ax == bx > x and min(ay, by) <= y < max(ay, by)
    return crossings % 2 == 1


def _mark(taken: list[list[int]], xs: Sequence[int], ys: Sequence[int], piece: Piece) -> None:
    left, low = piece.x_nm, piece.y_nm
    for row, column in _cells(xs, ys, left, left + piece.width_nm, low, low + piece.height_nm):
        x, y = (xs[column] + xs[column + 1]) // 2, (ys[row] + ys[row + 1]) // 2
        taken[row][column] += sum(_contains(ring, x, y) for ring in piece.rings) % 2


def _cells(
    xs: Sequence[int], ys: Sequence[int], left: int, right: int, low: int, high: int
) -> Iterator[tuple[int, int]]:
    rows = range(bisect_left(ys, low), bisect_left(ys, high))
    return product(rows, range(bisect_left(xs, left), bisect_left(xs, right)))


def _sums(cells: Sequence[Sequence[bool]]) -> list[list[int]]:
    """Running sums, so that what lies in a rectangle of cells takes four of them."""
    sums = [[0] * (len(cells[0]) + 1)]
    for row in cells:
        line = [0]
        for above, here, cell in zip(sums[-1], sums[-1][1:], row, strict=False):
            line.append(line[-1] + here - above + cell)
        sums.append(line)
    return sums


def _sum(
    sums: Sequence[Sequence[int]],
    xs: Sequence[int],
    ys: Sequence[int],
    left: int,
    right: int,
    low: int,
    high: int,
) -> int:
    """How many of the cells that a rectangle reaches into are counted."""
    a, b = max(0, bisect_right(xs, left) - 1), min(len(xs) - 1, bisect_left(xs, right))
    c, d = max(0, bisect_right(ys, low) - 1), min(len(ys) - 1, bisect_left(ys, high))
    return sums[d][b] - sums[c][b] - sums[d][a] + sums[c][a]
