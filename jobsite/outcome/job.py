"""What a job made: price, cost and margin as it was sold and as it was, and where it missed."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from catalog.money.amounts import format_price, round_cents
from estimating.takeoff.work import ZERO
from jobsite.hours.progress import JobHours, tenths
from jobsite.receipts.costs import Bought

MOST_MISSES = 5
LEAST_MISS = Fraction(1, 2)  # hours; less is noise


@dataclass(frozen=True)
class Result:
    """A price and what it took: hours at what an hour costs the firm, and what was bought."""

    price: Decimal
    hours: Fraction
    labor: Decimal
    bought: Decimal

    @property
    def cost(self) -> Decimal:
        return self.labor + self.bought

    @property
    def profit(self) -> Decimal:
        """What is left of the price after the cost."""
        return self.price - self.cost

    @property
    def margin(self) -> Fraction:
        """What is left, as a share of the price."""
        return Fraction(self.profit) / Fraction(self.price) if self.price else ZERO

    @property
    def for_an_hour(self) -> Decimal | None:
        """What each hour brought, once what was bought is paid; None without hours."""
        if not self.hours:
            return None
        return round_cents(Fraction(self.price - self.bought) / self.hours)


@dataclass(frozen=True)
class Miss:
    """Work that took more or fewer hours than priced; `difference` is above zero where it took more."""

    title: str
    priced: Fraction
    taken: Fraction
    cost: Decimal  # what the difference costs the firm

    @property
    def difference(self) -> Fraction:
        return self.taken - self.priced

    def in_words(self) -> str:
        """Return the miss: "9.3 h of 6.9, 2.4 more: $168.00"."""
        more = "more" if self.difference > 0 else "fewer"
        return (
            f"{tenths(self.taken)} h of {tenths(self.priced)}, "
            f"{tenths(abs(self.difference))} {more}: {format_price(abs(self.cost))}"
        )


@dataclass(frozen=True)
class JobOutcome:
    """A job as the estimate was sold, as all signed work was priced, and as it was or will be.

    `extra_hours` are those on nothing that was signed, and `extra_price` what they would have been billed at.
    """

    sold: Result
    signed: Result
    was: Result
    over: tuple[Miss, ...]
    under: tuple[Miss, ...]
    extra_hours: Fraction
    extra_price: Decimal


def job_outcome(
    sold: Result,
    signed: Result,
    hours: JobHours,
    bought: Bought,
    labor_rate: Decimal,
    hour_price: Decimal,
    extra_hours: Fraction,
) -> JobOutcome:
    """Return what a job made, or will make as it stands."""
    was = Result(
        signed.price, hours.expected, round_cents(hours.expected * Fraction(labor_rate)), bought.expected
    )
    measured = [
        (line.title, line.priced, line.taken, line.is_finished)
        for phase in hours.phases
        for line in phase.lines
    ]
    measured.append(("Supply runs and return visits", hours.priced_trips, hours.taken_trips, False))
    misses = [
        Miss(title, priced, taken, round_cents((taken - priced) * Fraction(labor_rate)))
        for title, priced, taken, is_finished in measured
        if taken and (is_finished or hours.is_closed or taken > priced)
    ]
    return JobOutcome(
        sold,
        signed,
        was,
        _largest([miss for miss in misses if miss.difference >= LEAST_MISS]),
        _largest([miss for miss in misses if -miss.difference >= LEAST_MISS]),
        extra_hours,
        round_cents(extra_hours * Fraction(hour_price)),
    )


def _largest(misses: Sequence[Miss]) -> tuple[Miss, ...]:
    return tuple(sorted(misses, key=lambda miss: -abs(miss.difference))[:MOST_MISSES])
