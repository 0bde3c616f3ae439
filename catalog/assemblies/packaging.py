"""From a requirement to whole packages at the least cost, exact.

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
    """These packages can't cover the requirement; the message says why in a plain sentence."""


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
    """What is bought for a requirement. Quantities are in the unit of the material."""

    required: Fraction  # before stock is taken off
    counts: tuple[tuple[Offer, int], ...]  # largest size first; none is zero
    cost: Decimal
    bought: Fraction
    left_over: Fraction  # of what is bought, when the requirement less stock is used
    package_count: int


def cover(required: Fraction, offers: Sequence[Offer], stock: Fraction = Fraction(0)) -> Purchase:
    """Cover what is required, less stock, by whole packages.

    Round up once: pass the sum over all rooms and coats, not each apart. Raises UnusableOffers where
    there is no offer, where a quantity is negative, or where sizes and prices are so alike and the
    requirement so large that the exact answer would take too long.
    """
    return _cover(Fraction(required), tuple(offers), Fraction(stock))


@dataclass(frozen=True)
class _Size:
    """An offer in whole numbers: size in common parts of all sizes, price in common parts of a dollar."""

    size: int
    price: int
    offer: Offer


@lru_cache(maxsize=4096)
def _cover(required: Fraction, offers: tuple[Offer, ...], stock: Fraction) -> Purchase:
    if not offers:
        raise UnusableOffers("There is no package to buy this in: add one with its size and price.")
    if required < 0 or stock < 0:
        raise UnusableOffers("What is required and what is in stock can't be below zero.")
    short = max(Fraction(0), required - stock)
    sizes, part = _in_whole_numbers(offers)
    counts = _least(-(-short // part), sizes) if short else {}
    chosen = tuple((each.offer, counts[each]) for each in sizes if counts.get(each))
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
    """The cheapest offer of each size (the earlier of equals), largest first; and the part they count in."""
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
    """Counts of the best cover of a demand above zero, both in whole parts.

    Fill with the size that is cheapest per unit (ties: the largest) after trying every useful number of
    the others. Three exact bounds keep those few. A cover that loses a package and still covers was not
    the best. `staple.size / gcd` packages of another size hold a whole number of staples, which cost no
    more and are fewer. And no unit costs less than in the staple, so that a part of a cover which even
    at that price ends above staples alone is dropped.
    """
    staple = min(sizes, key=lambda each: (Fraction(each.price, each.size), -each.size))
    most = staple.size * staple.price * -(-demand // staple.size)
    # Total of the others so far: (cost, count, counts of each negated), the least tuple being the best.
    states: dict[int, tuple[int, int, tuple[int, ...]]] = {0: (0, 0, ())}
    others = [each for each in sizes if each is not staple]
    for other in others:
        grown: dict[int, tuple[int, int, tuple[int, ...]]] = {}
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
    demand: int, states: Mapping[int, tuple[int, int, tuple[int, ...]]], sizes: list[_Size], staple: _Size
) -> Mapping[_Size, int]:
    """Fill each state with staples; of the covers that makes, the counts of the best."""
    place = sizes.index(staple)

    def filled(total: int) -> tuple[int, int, int, tuple[int, ...]]:
        cost, count, counts = states[total]
        fill = -(-max(0, demand - total) // staple.size)
        return (
            cost + fill * staple.price,
            total + fill * staple.size,
            count + fill,
            (*counts[:place], -fill, *counts[place:]),
        )

    *_, negated = min(filled(total) for total in states)
    return {each: -number for each, number in zip(sizes, negated, strict=True)}
