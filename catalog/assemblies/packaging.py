"""From a required quantity to whole packages at the least cost, exact.

Order of preference: least cost, then least left over, then fewest packages, then more of the larger
size, which makes the answer unique.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from math import gcd, lcm

_MOST_STATES = 250_000  # about a second of work; what shops sell takes some dozens


class UnusableOffers(ValueError):
    """The packages can't cover what is required; the message says why in a plain sentence."""


@dataclass(frozen=True)
class Offer:
    """A package on sale. Raises UnusableOffers for a size of zero or less, or a price below zero."""

    key: str
    size: Fraction  # units of the material in one package
    price: Decimal  # of one package

    def __post_init__(self) -> None:
        if self.size <= 0:
            raise UnusableOffers("A package must hold something: give a size above zero.")
        if self.price < 0:
            raise UnusableOffers("The price of a package can't be below zero.")


@dataclass(frozen=True)
class Purchase:
    """The packages bought to cover what is required. Quantities are in the unit of the material."""

    required: Fraction  # before stock is taken off
    counts: tuple[tuple[Offer, int], ...]  # largest size first; none is zero
    cost: Decimal
    bought: Fraction
    left_over: Fraction  # of what is bought, when the requirement less stock is used
    package_count: int


def cover(required: Fraction, offers: Sequence[Offer], stock: Fraction = Fraction(0)) -> Purchase:
    """Return the cheapest whole packages that cover what is required, less stock.

    Pass the sum over all rooms and coats, so that it is rounded up to whole packages once. Raises
    UnusableOffers where there is no offer, where a quantity is negative, or where sizes and prices are so
    alike and the quantity so large that the exact answer would take too long.
    """
    return _cover(Fraction(required), tuple(offers), Fraction(stock))


@dataclass(frozen=True)
class _Size:
    """An offer in whole numbers: size in common parts of all sizes, price in common parts of a dollar."""

    size: int
    price: int
    offer: Offer


# Packages taken so far, by the total that they hold: their cost, their number, and the number of each size
# negated, so that the least tuple is the best.
_State = tuple[int, int, tuple[int, ...]]


@lru_cache(maxsize=4096)
def _cover(required: Fraction, offers: tuple[Offer, ...], stock: Fraction) -> Purchase:
    if not offers:
        raise UnusableOffers("There is no package to buy this in: add one with its size and price.")
    if required < 0 or stock < 0:
        raise UnusableOffers("What is required and what is in stock can't be below zero.")
    short = max(Fraction(0), required - stock)
    sizes, part = _in_whole_numbers(offers)
    counts = _least(-(-short // part), sizes) if short else {}
    chosen = tuple((size.offer, counts[size]) for size in sizes if counts.get(size))
    bought = sum((offer.size * count for offer, count in chosen), Fraction(0))
    return Purchase(
        required=required,
        counts=chosen,
        cost=sum((offer.price * count for offer, count in chosen), Decimal("0.00")),
        bought=bought,
        left_over=bought - short,
        package_count=sum(count for _, count in chosen),
    )


def _in_whole_numbers(offers: tuple[Offer, ...]) -> tuple[list[_Size], Fraction]:
    """Return the cheapest offer of each size (the earlier of equals), largest first, in whole numbers.

    With them comes the part of a unit that their sizes count in.
    """
    best: dict[Fraction, Offer] = {}
    for offer in offers:
        if offer.size not in best or offer.price < best[offer.size].price:
            best[offer.size] = offer
    scale = lcm(*(size.denominator for size in best))
    part = Fraction(gcd(*(int(size * scale) for size in best)), scale)
    prices = {size: Fraction(offer.price) for size, offer in best.items()}
    dollar = lcm(*(price.denominator for price in prices.values()))
    return [
        _Size(int(size / part), int(prices[size] * dollar), best[size]) for size in sorted(best, reverse=True)
    ], part


def _least(demand: int, sizes: list[_Size]) -> Mapping[_Size, int]:
    """Return the counts of the best cover of a demand above zero; demand and sizes are in whole parts.

    The staple is the size that is cheapest per unit (ties: the largest). Every useful number of packages of
    the other sizes is tried, and the rest is filled with staples. Three exact bounds keep the numbers to try
    few. First, a cover that loses a package and still covers was not the best. Second, `staple.size / gcd`
    packages of another size hold a whole number of staples, which cost no more and are fewer. Third, no unit
    costs less than in the staple: a partial cover is dropped when even at that price it would end dearer than
    staples alone.
    """
    staple = min(sizes, key=lambda size: (Fraction(size.price, size.size), -size.size))
    most = staple.size * staple.price * -(-demand // staple.size)
    states: dict[int, _State] = {0: (0, 0, ())}
    for other in (size for size in sizes if size is not staple):
        grown: dict[int, _State] = {}
        for start, (cost, count, counts) in states.items():
            for number in range(staple.size // gcd(staple.size, other.size)):
                total, spent = start + number * other.size, cost + number * other.price
                missing = max(0, demand - total)
                if staple.size * spent + staple.price * missing > most:
                    break
                state = (spent, count + number, (*counts, -number))
                if total not in grown or state < grown[total]:
                    grown[total] = state
                if not missing:
                    break
            if len(grown) > _MOST_STATES:
                raise UnusableOffers(
                    "These packages are too alike in price and too odd in size to find the cheapest mix of: "
                    "leave one out."
                )
        states = grown
    return _finish(demand, states, sizes, staple)


def _finish(
    demand: int, states: Mapping[int, _State], sizes: list[_Size], staple: _Size
) -> Mapping[_Size, int]:
    """Fill each state up to the demand with staples, and return the counts of the best cover."""
    position = sizes.index(staple)

    def filled(total: int) -> tuple[int, int, int, tuple[int, ...]]:
        cost, count, counts = states[total]
        fill = -(-max(0, demand - total) // staple.size)
        return (
            cost + fill * staple.price,
            total + fill * staple.size,
            count + fill,
            (*counts[:position], -fill, *counts[position:]),
        )

    *_, negated = min(filled(total) for total in states)
    return {size: -number for size, number in zip(sizes, negated, strict=True)}
