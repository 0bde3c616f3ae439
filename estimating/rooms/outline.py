"""The outline of a room from its walls: where the corners are, whether it closes, which walls cross.

The walls are traced one after another round the room: a closed traverse, in surveyors' words, of which each
wall is a leg. Plan coordinates are whole nanometers from the start of the first wall, x to the east and y to
the north; the first wall runs east, so a right turn leads south. There are no floats: sines and cosines are
decimals of 50 digits, and a corner stands at the nearest nanometer (exactly, where every heading is a
multiple of 90 degrees).
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_HALF_UP, Decimal, localcontext
from functools import lru_cache
from itertools import accumulate, groupby, pairwise
from math import isqrt

from catalog.measures.lengths import NM_PER_INCH, NM_PER_METER, format_length

Point = tuple[int, int]

RIGHT = Decimal(90)
LEFT = Decimal(-90)

# Lengths read off a tape can't close a traverse with oblique walls exactly, so it may end this far from its
# start (the smallest mark that lengths are shown to). A traverse of right angles has no such excuse.
OBLIQUE_ALLOWANCE_NM = NM_PER_INCH // 16

_PI = Decimal("3.14159265358979323846264338327950288419716939937510582097494")
_COMPASS = ("east", "north-east", "north", "north-west", "west", "south-west", "south", "south-east")
_TAN_22_5 = (414_213_562, 1_000_000_000)  # tan 22.5 deg = sqrt(2) - 1, where two compass words meet


class PlanError(ValueError):
    """A plan that can't be; the message is a plain sentence, and `field` names what it is about."""

    def __init__(self, message: str, field: str) -> None:
        super().__init__(message)
        self.field = field


class TooFewWalls(PlanError):
    """Fewer walls than enclose a floor."""


class BadLength(PlanError):
    """A length, width or height that is zero or less."""


class BadTurn(PlanError):
    """A turn of 180 degrees or more: straight back along the wall, or further round."""


class DoesNotClose(PlanError):
    """A last wall that doesn't end where the first began; `misclosure` says by how much."""

    def __init__(self, misclosure: "Misclosure", metric: bool = False) -> None:
        super().__init__(
            f"The walls don't close: {misclosure.in_words(metric)}."
            " Check the lengths and turns, or balance the difference over the walls.",
            "walls",
        )
        self.misclosure = misclosure


class CrossingWalls(PlanError):
    """Two walls that cross, or touch where they share no corner; `walls` are their 0-based indexes."""

    def __init__(self, first: int, second: int) -> None:
        super().__init__(
            f"Wall {wall_letter(first)} and wall {wall_letter(second)} cross or touch."
            " Check the lengths and the turns between them.",
            "walls",
        )
        self.walls = (first, second)


@dataclass(frozen=True)
class Leg:
    """A wall and the turn after it in degrees, right positive; the last leg's turn is ignored."""

    length_nm: int
    turn: Decimal = RIGHT


@dataclass(frozen=True)
class Misclosure:
    """The closing error of a traverse: where it ends, seen from its start.

    Stated as a surveyor does: distance, direction, and ratio to the length traced.
    """

    east_nm: int
    north_nm: int
    traced_nm: int

    @property
    def distance_nm(self) -> int:
        """The distance from the start to the end, to the nearest nanometer."""
        return _hypotenuse(self.east_nm, self.north_nm)

    @property
    def direction(self) -> str:
        """The nearest of eight compass words, the first wall running east; "" where there is no distance."""
        if not self.distance_nm:
            return ""
        east, north = abs(self.east_nm), abs(self.north_nm)
        numerator, denominator = _TAN_22_5
        if north * denominator <= east * numerator:
            point = 0
        elif east * denominator <= north * numerator:
            point = 2
        else:
            point = 1
        if self.east_nm < 0:
            point = 4 - point
        return _COMPASS[-point if self.north_nm < 0 else point]

    @property
    def ratio(self) -> str:
        """The closing error to the length traced, such as "1 in 480", rounded half up."""
        if not self.distance_nm:
            return "no error"
        return f"1 in {_nearest(self.traced_nm, self.distance_nm):,}"

    def distance_in_words(self, metric: bool = False) -> str:
        """Return the distance as a tape shows it, or "less than" the tape's smallest mark."""
        least_nm = NM_PER_METER // 1000 if metric else NM_PER_INCH // 16
        if self.distance_nm < least_nm:
            return f"less than {format_length(least_nm, metric)}"
        return format_length(self.distance_nm, metric)

    def in_words(self, metric: bool = False) -> str:
        if not self.distance_nm:
            return "the last wall ends at the start"
        return (
            f"the last wall ends {self.distance_in_words(metric)} {self.direction} of the start,"
            f" the first wall running east ({self.ratio})"
        )


@dataclass(frozen=True)
class Outline:
    """The corners of a room in the order of its walls: wall i leads from vertex i to the next.

    `turns` has the turn after every wall, the last one calculated from the others, within (-180, 180].
    `closed` is False where the last wall doesn't end at the start but at `end`. `lengths_nm` are the lengths
    as measured; in a balanced traverse, those between the balanced corners to the nearest nanometer.
    """

    vertices: tuple[Point, ...]
    lengths_nm: tuple[int, ...]
    turns: tuple[Decimal, ...]
    misclosure: Misclosure
    closed: bool

    @property
    def end(self) -> Point:
        """The point where the last wall ends."""
        x, y = self.vertices[0]
        return (x, y) if self.closed else (x + self.misclosure.east_nm, y + self.misclosure.north_nm)

    @property
    def segments(self) -> tuple[tuple[Point, Point], ...]:
        """The start and the end of each wall."""
        return tuple(pairwise((*self.vertices, self.end)))

    @property
    def signed_double_area_nm2(self) -> int:
        """Twice the area by the shoelace rule: below zero where the walls run clockwise."""
        ring = (*self.vertices, self.vertices[0])
        return sum(ax * by - bx * ay for (ax, ay), (bx, by) in pairwise(ring))

    def beside(self, wall: int, along_nm: int, into_nm: int) -> Point:
        """Return the point at these distances along a wall and into the room, to the nearest nanometer."""
        (ax, ay), (bx, by) = self.segments[wall]
        dx, dy = bx - ax, by - ay
        length = _hypotenuse(dx, dy)
        into = into_nm if self.signed_double_area_nm2 > 0 else -into_nm
        return ax + _nearest(dx * along_nm - dy * into, length), ay + _nearest(
            dy * along_nm + dx * into, length
        )

    def corner(self, wall: int) -> int:
        """Return what the corner after a wall is: 1 inside, -1 outside, 0 where the wall runs straight on."""
        turn = self.turns[wall]
        if turn == 0:
            return 0
        clockwise = self.signed_double_area_nm2 < 0
        return 1 if (turn > 0) == clockwise else -1


def wall_letter(wall: int) -> str:
    """Return the letter of a wall: A for index 0, Z for 25, then AA."""
    letters = ""
    number = wall + 1
    while number:
        number, letter = divmod(number - 1, 26)
        letters = chr(ord("A") + letter) + letters
    return letters


def trace_walls(legs: Sequence[Leg], balanced: bool = False) -> Outline:
    """Trace the legs from (0, 0), the first to the east.

    `balanced` spreads the closing error over the corners by the compass rule (Bowditch): each corner moves by
    the error times the share of the length traced up to it, to the nearest nanometer, and the outline closes
    exactly. The same is done unasked where oblique walls close within OBLIQUE_ALLOWANCE_NM; their lengths
    then stay as typed.
    """
    return _traced(tuple(legs), balanced)


# A take-off asks for the same room a dozen times.
@lru_cache(maxsize=256)
def _traced(legs: tuple[Leg, ...], balanced: bool) -> Outline:
    headings = list(accumulate((leg.turn for leg in legs[:-1]), initial=Decimal(0)))
    points = list(accumulate(map(_step, legs, headings), _add, initial=(0, 0)))
    east, north = points.pop()
    lengths = tuple(leg.length_nm for leg in legs)
    misclosure = Misclosure(east, north, sum(lengths))
    allowance = 0 if all(heading % 90 == 0 for heading in headings) else OBLIQUE_ALLOWANCE_NM
    closed = balanced or misclosure.distance_nm <= allowance
    vertices = _balance(points, lengths, misclosure) if closed else tuple(points)
    if balanced and misclosure.distance_nm:
        ring = pairwise((*vertices, vertices[0]))
        lengths = tuple(_hypotenuse(bx - ax, by - ay) for (ax, ay), (bx, by) in ring)
    turns = tuple(leg.turn for leg in legs[:-1]) + (_normal(-headings[-1]),)
    return Outline(vertices, lengths, turns, misclosure, closed)


def squared(shape: Outline) -> Outline:
    """Return the outline with its walls along or across wall A made exactly so.

    Each runs through the middle of its ends. Balancing turns such walls by a hair, and boards would then be
    laid as in a slanting room.
    """
    headings = accumulate(shape.turns[:-1], initial=Decimal(0))
    axes = [abs(heading % 180) for heading in headings]
    count, corners = len(axes), [list(corner) for corner in shape.vertices]
    begin = next((wall for wall in range(count) if axes[wall] != axes[wall - 1]), 0)
    for axis, walls in groupby(((begin + step) % count for step in range(count)), key=axes.__getitem__):
        if axis in (0, 90):
            ends = [*walls]
            ends.append((ends[-1] + 1) % count)
            side = int(axis == 0)  # a wall along x keeps its y
            middle = (shape.vertices[ends[0]][side] + shape.vertices[ends[-1]][side]) // 2
            for corner in ends:
                corners[corner][side] = middle
    return replace(shape, vertices=tuple((x, y) for x, y in corners))


def wall_faults(legs: Sequence[Leg], balanced: bool = False, metric: bool = False) -> Iterator[PlanError]:
    """Yield what is wrong with the walls; nothing where they enclose a floor."""
    if len(legs) < 3:
        yield TooFewWalls("A room needs at least three walls.", "walls")
        return
    single = list(leg_faults(legs))
    yield from single
    if single:
        return
    outline = trace_walls(legs, balanced)
    if not outline.closed:
        yield DoesNotClose(outline.misclosure, metric)
        return
    crossing = next(_crossings(outline), None)
    if crossing:
        yield CrossingWalls(*crossing)


def leg_faults(legs: Sequence[Leg]) -> Iterator[PlanError]:
    """Yield what keeps single walls from being traced at all."""
    for number, leg in enumerate(legs, start=1):
        letter = wall_letter(number - 1)
        if leg.length_nm <= 0:
            yield BadLength(f"Wall {letter} needs a length of more than zero.", f"wall {number}")
        if number < len(legs) and not (leg.turn.is_finite() and abs(leg.turn) < 180):
            yield BadTurn(
                f"The turn after wall {letter} must be less than 180 degrees, right or left.",
                f"wall {number}",
            )


def _crossings(outline: Outline) -> Iterator[tuple[int, int]]:
    """Yield the pairs of walls that cross or touch away from a common corner."""
    segments = outline.segments
    count = len(segments)
    if outline.turns[-1] == 180:
        yield 0, count - 1
    for first in range(count):
        # a wall and the next share a corner, and so do the last and the first
        for second in range(first + 2, count - (first == 0)):
            if _touch(*segments[first], *segments[second]):
                yield first, second


def _step(leg: Leg, heading: Decimal) -> Point:
    """Return how far a leg leads east and north, to the nearest nanometer."""
    quarters, rest = divmod(heading % 360, 90)
    with localcontext(prec=50):
        sine, cosine = _sine_cosine(rest * _PI / 180)
        along = int((leg.length_nm * cosine).to_integral_value(ROUND_HALF_UP))
        aside = int((leg.length_nm * sine).to_integral_value(ROUND_HALF_UP))
    return ((along, -aside), (-aside, -along), (-along, aside), (aside, along))[int(quarters) % 4]


def _sine_cosine(angle: Decimal) -> tuple[Decimal, Decimal]:
    """Return the sine and cosine of an angle in radians, at most a quarter turn, by their power series."""
    sums = [Decimal(1), Decimal(0)]  # cosine, sine
    term, power = Decimal(1), 0
    while abs(term) > Decimal("1e-45"):
        power += 1
        term = term * angle / power
        sums[power % 2] += term if power % 4 < 2 else -term
    return sums[1], sums[0]


def _balance(points: Sequence[Point], lengths: Sequence[int], misclosure: Misclosure) -> tuple[Point, ...]:
    """Return the corners with the closing error spread over them by the compass rule."""
    traced = accumulate(lengths[:-1], initial=0)
    return tuple(
        (
            x - _nearest(misclosure.east_nm * so_far, misclosure.traced_nm),
            y - _nearest(misclosure.north_nm * so_far, misclosure.traced_nm),
        )
        for (x, y), so_far in zip(points, traced, strict=True)
    )


def _add(a: Point, b: Point) -> Point:
    return a[0] + b[0], a[1] + b[1]


def _normal(turn: Decimal) -> Decimal:
    """Return a turn within (-180, 180]."""
    rest = turn % 360  # has the sign of `turn`
    if rest > 180:
        return rest - 360
    return rest + 360 if rest <= -180 else rest


def _nearest(numerator: int, denominator: int) -> int:
    """Return a quotient rounded half up."""
    return (2 * numerator + denominator) // (2 * denominator)


def _hypotenuse(a: int, b: int) -> int:
    """Return the length of a hypotenuse to the nearest whole."""
    return (isqrt(4 * (a * a + b * b)) + 1) // 2


def _side(a: Point, b: Point, c: Point) -> int:
    """Return on which side of the line from a to b the point c lies: 1 left, -1 right, 0 on it."""
    cross = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
    return (cross > 0) - (cross < 0)


def _within(a: Point, b: Point, c: Point) -> bool:
    """Return whether c, known to be in line with a and b, lies between them."""
    return min(a[0], b[0]) <= c[0] <= max(a[0], b[0]) and min(a[1], b[1]) <= c[1] <= max(a[1], b[1])


def _touch(a: Point, b: Point, c: Point, d: Point) -> bool:
    """Return whether the segments from a to b and from c to d cross or touch."""
    sides = _side(a, b, c), _side(a, b, d), _side(c, d, a), _side(c, d, b)
    if sides[0] != sides[1] and sides[2] != sides[3]:
        return True
    ends = (a, b, c), (a, b, d), (c, d, a), (c, d, b)
    return any(side == 0 and _within(*points) for side, points in zip(sides, ends, strict=True))
