"""What hours leave of a price, and which contingency keeps a margin."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import ceil

from catalog.money.amounts import round_cents
from estimating.pricing.price import PricedEstimate
from estimating.takeoff.work import NO_MONEY, ZERO

MOST_PERCENT = 100
_NOT_WORK = ("contingency", "minimum")


@dataclass(frozen=True)
class Outcome:
    """How a job ends that takes these hours: the cost, and what it leaves of the price before tax."""

    hours: Decimal
    cost: Decimal
    left: Decimal
    margin: Fraction


def outcome(priced: PricedEstimate, hours: Decimal, labor_rate: Decimal) -> Outcome:
    """Return how a priced job ends at so many hours; all else costs what it was priced at."""
    cost = cost_at(priced, hours, labor_rate)
    left = priced.subtotal - cost
    return Outcome(hours, cost, left, Fraction(left) / Fraction(priced.subtotal) if priced.subtotal else ZERO)


def cost_at(priced: PricedEstimate, hours: Decimal, labor_rate: Decimal) -> Decimal:
    """Return what the job costs at so many hours, to the cent."""
    return priced.cost + round_cents(Fraction(hours - priced.hours) * Fraction(labor_rate))


def subtotal_with(priced: PricedEstimate, minimum: Decimal, percent: Decimal) -> Decimal:
    """Return the price before tax that a contingency of so many percent would make, of what it is now."""
    if not priced.lines:
        return NO_MONEY
    contingency = round_cents(Fraction(priced.contingency_base) * Fraction(percent) / 100)
    return max(_price_of_work(priced) + contingency, minimum)


def contingency_that_keeps(
    priced: PricedEstimate, minimum: Decimal, cost: Decimal, keep: Fraction
) -> Decimal | None:
    """Return the least contingency, in hundredths of a percent, that leaves this share of the price.

    It is a share of what the contingency is one of now. `cost` is what the job will have cost. None where it
    would be above 100 %. `keep` is less than 1.
    """
    if not priced.lines:
        return None
    work, base = Fraction(_price_of_work(priced)), Fraction(priced.contingency_base)
    least = Fraction(ceil(Fraction(cost) / (1 - keep) * 100), 100)  # the least price, in whole cents
    if subtotal_with(priced, minimum, Decimal(0)) >= least:
        return Decimal("0.00")
    if not base:
        return None
    half_a_cent = Fraction(1, 200)  # which rounds up
    percent = Decimal(ceil((least - work - half_a_cent) / base * 10_000)).scaleb(-2)
    return percent if percent <= MOST_PERCENT else None


def _price_of_work(priced: PricedEstimate) -> Decimal:
    """Return the price before contingency and minimum charge."""
    return sum((line.price for line in priced.lines if line.kind not in _NOT_WORK), NO_MONEY)
