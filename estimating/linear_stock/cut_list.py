"""Trim and other stock that is sold in sticks: the cut list, and why it differs from length alone."""

from collections import Counter, defaultdict
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from math import gcd, lcm

from catalog.assemblies.packaging import Purchase
from catalog.measures.lengths import NM_PER_FOOT, format_length
from catalog.measures.units import format_quantity
from estimating.linear_stock.cutting_plan import Cheapest, cheapest
from estimating.linear_stock.lower_bound import Cutting
from estimating.linear_stock.pieces import USUAL, CannotCut, Piece, StickRules, in_parts

MOST_PIECES = 1000


@dataclass(frozen=True)
class Stick:
    """A stick on sale; `price` is of one."""

    key: str
    length_nm: int
    price: Decimal


@dataclass(frozen=True)
class CutStick:
    """One stick and what is cut from it, in cutting order."""

    stick: Stick
    pieces: tuple[Piece, ...]
    offcut_nm: int

    def in_words(self, metric: bool = False) -> str:
        """Return one line of the list, such as "8': Back door, left leg, 6' 10-1/4"; offcut 1' 1-5/8"."""
        cut = "; ".join(piece.in_words(metric) for piece in self.pieces)
        rest = f"offcut {format_length(self.offcut_nm, metric)}" if self.offcut_nm else "no offcut"
        return f"{format_length(self.stick.length_nm, metric)}: {cut}; {rest}"


@dataclass(frozen=True)
class CutList:
    """Sticks with their pieces. `proven`: no other cut list costs less, or as much with fewer sticks.

    `least_cost` is a cost that none can go below, the cut list's own where it is proven.
    """

    sticks: tuple[CutStick, ...]
    kerf_nm: int
    cost: Decimal
    least_cost: Decimal
    proven: bool

    @property
    def count(self) -> int:
        return len(self.sticks)

    @property
    def pieces(self) -> tuple[Piece, ...]:
        return tuple(piece for stick in self.sticks for piece in stick.pieces)

    @property
    def pieces_nm(self) -> int:
        return sum(piece.length_nm for piece in self.pieces)

    @property
    def offcuts_nm(self) -> int:
        return sum(stick.offcut_nm for stick in self.sticks)


@lru_cache(maxsize=1024)
def cut(pieces: tuple[Piece, ...], sticks: tuple[Stick, ...], rules: StickRules = USUAL) -> CutList:
    """Return the cut list of least cost; of those that cost the same, one of the fewest sticks.

    A kerf is lost at every cut. Pieces longer than any stick are joined where they may be. Raises
    CannotCut where there is no stick, a piece that no stick yields, or more pieces than can be worked out.
    """
    if not sticks:
        raise CannotCut("There is no stick to cut from: add one with its length and price.")
    if any(stick.length_nm <= 0 or stick.price < 0 for stick in sticks):
        raise CannotCut("A stick needs a length above zero and a price that isn't below zero.")
    longest_nm = max(stick.length_nm for stick in sticks)
    parts: list[Piece] = []
    for piece in pieces:
        if piece.length_nm <= 0:
            raise CannotCut(f"{piece.where} needs a length above zero.")
        if piece.length_nm > MOST_PIECES * longest_nm:
            raise CannotCut(f"{piece.where} takes more than {MOST_PIECES:,} sticks: check its length.")
        parts += in_parts(piece, longest_nm, rules)
        if len(parts) > MOST_PIECES:
            raise CannotCut(f"There are more than {MOST_PIECES:,} pieces, too many for a cut list.")
    useful = _useful(sticks)
    cutting, money = _in_whole_numbers(parts, useful, rules.kerf_nm)
    return _written(parts, useful, _cheapest(cutting), money, rules.kerf_nm)


def differ(cuts: CutList, by_length: Purchase) -> bool:
    """Tell whether the cut list takes other sticks than length alone would."""
    return _bought(cuts) != Counter({offer.size: number for offer, number in by_length.counts})


def why(cuts: CutList, by_length: Purchase, metric: bool = False) -> str:
    """Return why the cut list buys what it does, beside the sticks that length alone, in feet, asks for."""
    plain, count = by_length.package_count, cuts.count
    asked = f"{format_quantity(by_length.required, 'ft', metric)} is {sticks_in_words(plain)} by length"
    if not differ(cuts, by_length):
        words = f"{asked} and by cut list alike"
    elif count > plain:
        words = f"{asked} and {count} by cut list, because {_too_short(cuts, metric)}"
    else:
        words = (
            f"{asked} and {count} by cut list, because the pieces come to"
            f" {format_length(cuts.pieces_nm, metric)} as they are cut, and these sticks yield them for less"
        )
    unsure = "" if cuts.proven else " There may be a cheaper way: the search for it was cut short."
    return f"{words}.{unsure}"


@lru_cache(maxsize=1024)
def _cheapest(cutting: Cutting) -> Cheapest:
    return cheapest(cutting)


def _useful(sticks: tuple[Stick, ...]) -> list[Stick]:
    """Return the sticks worth buying, shortest first: none that costs as much as a longer one."""
    useful: list[Stick] = []
    for stick in sorted(sticks, key=lambda stick: -stick.length_nm):
        if not useful or stick.price < useful[-1].price:
            if useful and useful[-1].length_nm == stick.length_nm:
                useful.pop()
            useful.append(stick)
    return useful[::-1]


@dataclass(frozen=True)
class _Money:
    """How costs are counted: `parts` to a dollar, each split so finely that a stick can be told as one."""

    parts: int
    fineness: int

    def dollars(self, cost: int) -> Decimal:
        whole = Fraction(cost // self.fineness, self.parts)
        return Decimal(whole.numerator) / Decimal(whole.denominator)


def _in_whole_numbers(parts: list[Piece], sticks: list[Stick], kerf_nm: int) -> tuple[Cutting, _Money]:
    widths = Counter(piece.length_nm + kerf_nm for piece in parts)
    rooms = [stick.length_nm + kerf_nm for stick in sticks]
    unit = gcd(*widths, *rooms)
    prices = [Fraction(stick.price) for stick in sticks]
    money = _Money(lcm(*(price.denominator for price in prices)), len(parts) + 1)
    kinds = sorted(widths, reverse=True)
    return Cutting(
        tuple(width // unit for width in kinds),
        tuple(widths[width] for width in kinds),
        tuple(room // unit for room in rooms),
        tuple(int(price * money.parts) * money.fineness + 1 for price in prices),
    ), money


def _written(
    parts: list[Piece], sticks: list[Stick], found: Cheapest, money: _Money, kerf_nm: int
) -> CutList:
    """Return the sticks with their pieces, long sticks and long pieces first."""
    waiting: dict[int, list[Piece]] = defaultdict(list)
    for piece in reversed(parts):
        waiting[piece.length_nm].append(piece)
    lengths = sorted(waiting, reverse=True)
    written = []
    for planned in sorted(found.cuts, key=lambda planned: (-planned.stick, planned.pattern)):
        pieces = [waiting[lengths[kind]].pop() for kind, number in planned.pattern for _ in range(number)]
        stick = sticks[planned.stick]
        used = sum(piece.length_nm for piece in pieces) + kerf_nm * len(pieces)
        written.append(CutStick(stick, tuple(pieces), max(0, stick.length_nm - used)))
    counted = sum(
        int(Fraction(cut_stick.stick.price) * money.parts) * money.fineness + 1 for cut_stick in written
    )
    return CutList(
        tuple(written),
        kerf_nm,
        sum((cut_stick.stick.price for cut_stick in written), Decimal("0.00")),
        money.dollars(found.bound),
        found.bound == counted,
    )


def _bought(cuts: CutList) -> Counter[Fraction]:
    """Count the sticks of each length in feet."""
    return Counter(Fraction(cut_stick.stick.length_nm, NM_PER_FOOT) for cut_stick in cuts.sticks)


def _too_short(cuts: CutList, metric: bool) -> str:
    longest_nm = max(cut_stick.stick.length_nm for cut_stick in cuts.sticks)
    lengths = [piece.length_nm for piece in cuts.pieces]
    long = sum(2 * length + cuts.kerf_nm > longest_nm for length in lengths)
    offcut_nm = max(cut_stick.offcut_nm for cut_stick in cuts.sticks)
    reasons = []
    if long > 1:
        some = f"all {long} pieces" if long == len(lengths) else f"{long} of the {len(lengths)} pieces"
        reasons.append(f"{some} are longer than half a stick, so that no two of them come out of one")
    if offcut_nm:
        rest = f"{format_length(offcut_nm, metric)} at the longest"
        if offcut_nm < min(lengths):
            rest = "too short for any other piece"
        reasons.append(f"the offcuts, {format_length(cuts.offcuts_nm, metric)} in all, are {rest}")
    return ", and ".join(reasons or ["a cut list loses a kerf at every cut"])


def sticks_in_words(number: int) -> str:
    """Return the count of sticks in words, such as "1 stick" or "8 sticks"."""
    return "1 stick" if number == 1 else f"{number} sticks"
