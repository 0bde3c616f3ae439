"""A walk round the walls of a room: where the corners are, whether it closes, which walls cross.

Plan coordinates are whole nanometers from the start of the first wall, x to the east and y to the
north; the first wall runs east, so a right turn leads south. No floats: sines and cosines are decimals
of 50 digits, and a corner stands at the nearest nanometer (exactly, where every heading is a multiple
of 90 degrees).
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal, localcontext
from functools import lru_cache
from itertools import accumulate, pairwise
from math import isqrt

from catalog.measures.units import NM_PER_INCH, NM_PER_METER, format_length

Point = tuple[int, int]

RIGHT = Decimal(90)
LEFT = Decimal(-90)

# Lengths read off a tape can't close a walk with oblique walls exactly, so such a walk may end this far
# from its start (the smallest mark that lengths are shown to). A walk of right angles has no such excuse.
OBLIQUE_ALLOWANCE_NM = NM_PER_INCH // 16

_PI = Decimal("3.14159265358979323846264338327950288419716939937510582097494")
_COMPASS = ("east", "north-east", "north", "north-west", "west", "south-west", "south", "south-east")
_TAN_22_5 = (414_213_562, 1_000_000_000)  # tan 22.5 deg = sqrt(2) - 1, where two compass words meet


class PlanError(ValueError):
    """A plan that cannot be; the message is a plain sentence and `field` names what it is about."""

    def __init__(self, message: str, field: str) -> None:
        super().__init__(message)
        self.field = field


class TooFewWalls(PlanError):
    """Fewer walls than enclose a floor."""


class BadLength(PlanError):
    """A length, width or height that is zero or less."""


class BadTurn(PlanError):
    """A turn that leads straight back along the wall, or further round than that."""


class DoesNotClose(PlanError):
    """The last wall doesn't end where the first began; `closing` says by how much."""

    def __init__(self, closing: "Closing", metric: bool = False) -> None:
        super().__init__(
            f"The walls don't close: {closing.in_words(metric)}."
            " Check the lengths and turns, or balance the difference over the walls.",
            "walls",
        )
        self.closing = closing


class CrossingWalls(PlanError):
    """Two walls that cross or touch away from a common corner; `walls` are their 0-based indexes."""

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
class Closing:
    """Where a walk ends, seen from its start, as a surveyor states it: distance, direction, ratio."""

    east_nm: int
    north_nm: int
    walked_nm: int

    @property
    def distance_nm(self) -> int:
        """Distance from the start to the end, to the nearest nanometer."""
        return _hypotenuse(self.east_nm, self.north_nm)

    @property
    def direction(self) -> str:
        """Nearest of eight compass words, the first wall running east; "" where there is no distance."""
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
        """Closing error to length walked, "1 in 480" (rounded half up)."""
        if not self.distance_nm:
            return "no error"
        return f"1 in {_nearest(self.walked_nm, self.distance_nm):,}"

    def distance_in_words(self, metric: bool = False) -> str:
        """The distance as a tape shows it; what a tape can't show is said to be less than its least mark."""
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
    """The corners of a walk, in its own order: wall i leads from vertex i to the next.

    `turns` has the turn after every wall, the last one worked out from the others, within (-180, 180].
    `closed` is False for a walk that doesn't close: its last wall then ends at `end`, not at the start.
    `lengths_nm` are the lengths walked; in a balanced walk, those between the balanced corners to the
    nearest nanometer.
    """

    vertices: tuple[Point, ...]
    lengths_nm: tuple[int, ...]
    turns: tuple[Decimal, ...]
    closing: Closing
    closed: bool

    @property
    def end(self) -> Point:
        """Where the last wall ends."""
        x, y = self.vertices[0]
        return (x, y) if self.closed else (x + self.closing.east_nm, y + self.closing.north_nm)

    @property
    def segments(self) -> tuple[tuple[Point, Point], ...]:
        """Start and end of each wall."""
        return tuple(pairwise((*self.vertices, self.end)))

    @property
    def signed_double_area_nm2(self) -> int:
        """Twice the area by the shoelace rule: below zero where the walk is clockwise."""
        ring = (*self.vertices, self.vertices[0])
        return sum(ax * by - bx * ay for (ax, ay), (bx, by) in pairwise(ring))

    def corner(self, wall: int) -> int:
        """The corner after a wall: 1 inside, -1 outside, 0 where the wall runs straight on."""
        turn = self.turns[wall]
        if turn == 0:
            return 0
        clockwise = self.signed_double_area_nm2 < 0
        return 1 if (turn > 0) == clockwise else -1


def wall_letter(wall: int) -> str:
    """A for the first wall, Z for the 26th, then AA."""
    letters = ""
    number = wall + 1
    while number:
        number, letter = divmod(number - 1, 26)
        letters = chr(ord("A") + letter) + letters
    return letters


def walk(legs: Sequence[Leg], balanced: bool = False) -> Outline:
    """Walk the legs from (0, 0), the first to the east.

    `balanced` spreads the closing error over the corners by the compass rule (Bowditch): each corner
    moves by the error times the share of the length walked up to it, to the nearest nanometer, and the
    walk closes exactly. The same is done unasked to an oblique walk within OBLIQUE_ALLOWANCE_NM, whose
    lengths stay as typed.
    """
    return _walk(tuple(legs), balanced)


# A take-off asks for the same room a dozen times.
@lru_cache(maxsize=256)
def _walk(legs: tuple[Leg, ...], balanced: bool) -> Outline:
    headings = list(accumulate((leg.turn for leg in legs[:-1]), initial=Decimal(0)))
    points = list(accumulate(map(_step, legs, headings), _add, initial=(0, 0)))
    east, north = points.pop()
    lengths = tuple(leg.length_nm for leg in legs)
    closing = Closing(east, north, sum(lengths))
    allowance = 0 if all(heading % 90 == 0 for heading in headings) else OBLIQUE_ALLOWANCE_NM
    closed = balanced or closing.distance_nm <= allowance
    vertices = _balance(points, lengths, closing) if closed else tuple(points)
    if balanced and closing.distance_nm:
        ring = pairwise((*vertices, vertices[0]))
        lengths = tuple(_hypotenuse(bx - ax, by - ay) for (ax, ay), (bx, by) in ring)
    turns = tuple(leg.turn for leg in legs[:-1]) + (_normal(-headings[-1]),)
    return Outline(vertices, lengths, turns, closing, closed)


def wall_faults(legs: Sequence[Leg], balanced: bool = False, metric: bool = False) -> Iterator[PlanError]:
    """What is wrong with the walls; nothing where they enclose a floor."""
    if len(legs) < 3:
        yield TooFewWalls("A room needs at least three walls.", "walls")
        return
    lone = list(leg_faults(legs))
    yield from lone
    if lone:
        return
    outline = walk(legs, balanced)
    if not outline.closed:
        yield DoesNotClose(outline.closing, metric)
        return
    crossing = next(_crossings(outline), None)
    if crossing:
        yield CrossingWalls(*crossing)


def leg_faults(legs: Sequence[Leg]) -> Iterator[PlanError]:
    """What keeps single walls from being walked at all."""
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
    quarters, rest = divmod(heading % 360, 90)
    with localcontext(prec=50):
        sine, cosine = _sine_cosine(rest * _PI / 180)
        along = int((leg.length_nm * cosine).to_integral_value(ROUND_HALF_UP))
        aside = int((leg.length_nm * sine).to_integral_value(ROUND_HALF_UP))
    return ((along, -aside), (-aside, -along), (-along, aside), (aside, along))[int(quarters) % 4]


def _sine_cosine(angle: Decimal) -> tuple[Decimal, Decimal]:
    """Sine and cosine of an angle in radians of a quarter turn at most, by their power series."""
    sums = [Decimal(1), Decimal(0)]  # cosine, sine
    term, power = Decimal(1), 0
    while abs(term) > Decimal("1e-45"):
        power += 1
        term = term * angle / power
        sums[power % 2] += term if power % 4 < 2 else -term
    return sums[1], sums[0]


def _balance(points: Sequence[Point], lengths: Sequence[int], closing: Closing) -> tuple[Point, ...]:
    walked = accumulate(lengths[:-1], initial=0)
    return tuple(
        (
            x - _nearest(closing.east_nm * so_far, closing.walked_nm),
            y - _nearest(closing.north_nm * so_far, closing.walked_nm),
        )
        for (x, y), so_far in zip(points, walked, strict=True)
    )


def _add(a: Point, b: Point) -> Point:
    return a[0] + b[0], a[1] + b[1]


def _normal(turn: Decimal) -> Decimal:
    rest = turn % 360  # has the sign of `turn`
    if rest > 180:
        return rest - 360
    return rest + 360 if rest <= -180 else rest


def _nearest(numerator: int, denominator: int) -> int:
    return (2 * numerator + denominator) // (2 * denominator)


def _hypotenuse(a: int, b: int) -> int:
    return (isqrt(4 * (a * a + b * b)) + 1) // 2


def _side(a: Point, b: Point, c: Point) -> int:
    cross = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
    return (cross > 0) - (cross < 0)


def _within(a: Point, b: Point, c: Point) -> bool:
    """Whether c, known to be in line with a and b, lies between them."""
    return min(a[0], b[0]) <= c[0] <= max(a[0], b[0]) and min(a[1], b[1]) <= c[1] <= max(a[1], b[1])


def _touch(a: Point, b: Point, c: Point, d: Point) -> bool:
    sides = _side(a, b, c), _side(a, b, d), _side(c, d, a), _side(c, d, b)
    if sides[0] != sides[1] and sides[2] != sides[3]:
        return True
    ends = (a, b, c), (a, b, d), (c, d, a), (c, d, b)
    return any(side == 0 and _within(*three) for side, three in zip(sides, ends, strict=True))
