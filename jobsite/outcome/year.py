"""The year: what it brought against the year that the hourly rate comes from, and what quotes became.

What is billed, less what was bought, is there to pay for the year: overhead first, then the own pay with its
burden, and what is left is profit.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from statistics import median

from catalog.money.amounts import round_cents
from catalog.money.hourly_rate import Year

NOTHING = Decimal("0.00")
NO_HOURS = Fraction(0)
# Sizes of jobs, in dollars with tax, by which the signed share is told (a judgement of ours).
SIZES = (
    (Decimal(2_500), "Under $2,500"),
    (Decimal(10_000), "$2,500 to $10,000"),
    (Decimal(25_000), "$10,000 to $25,000"),
)
LARGEST = "Over $25,000"


@dataclass(frozen=True)
class Earned:
    """A part of the year: what it must bring, and what it brought so far."""

    label: str
    wanted: Decimal
    earned: Decimal


@dataclass(frozen=True)
class Hours:
    """Hours that clients pay for, those that nobody pays for, and what was planned for the whole year."""

    billable: Fraction
    unpaid: Fraction
    planned: Fraction
    planned_so_far: Fraction


def share_of_year(today: date, year: int) -> Fraction:
    """Return how much of a year is gone at the end of a day: 1 of one that is over, 0 of one to come."""
    first, after = date(year, 1, 1), date(year + 1, 1, 1)
    gone = min(max((today - first).days + 1, 0), (after - first).days)
    return Fraction(gone, (after - first).days)


def earned_parts(year: Year, billed: Decimal, bought: Decimal) -> tuple[Earned, ...]:
    """Return overhead, pay and profit, each as wanted in the year and as earned by what was billed."""
    left = billed - bought
    wanted_cost = year.own_pay + year.burden + year.overhead
    profit = round_cents(Fraction(wanted_cost) * year.profit.share)
    parts = []
    for label, wanted in (
        ("Overhead", year.overhead),
        ("Your own pay and its burden", year.own_pay + year.burden),
    ):
        earned = min(max(left, NOTHING), wanted)
        parts.append(Earned(label, wanted, earned))
        left -= earned
    parts.append(Earned("Profit", profit, left))
    return tuple(parts)


@dataclass(frozen=True)
class Quote:
    """The quote of a job: its last total, when it was asked for and first made, and what became of it.

    `hours` are those kept on the job for measuring and quoting; none where he keeps none.
    """

    total: Decimal
    asked_on: date
    made_on: date
    is_signed: bool
    is_declined: bool
    hours: Fraction = NO_HOURS


@dataclass(frozen=True)
class SizeShare:
    """Quotes of jobs of a size, and how many of them were signed."""

    label: str
    made: int
    signed: int


@dataclass(frozen=True)
class Quotes:
    """What quotes of a year became; `usual_days` is the median from asking to the first paper.

    `hours` are those that quoting took in all, for the `timed` quotes that have any; `usual_hours` is their
    median.
    """

    made: int
    signed: int
    declined: int
    usual_days: int | None
    longest_days: int | None
    by_size: tuple[SizeShare, ...]
    hours: Fraction = NO_HOURS
    timed: int = 0
    usual_hours: Fraction | None = None

    @property
    def waiting(self) -> int:
        return self.made - self.signed - self.declined


def quotes_of(quotes: Iterable[Quote]) -> Quotes:
    """Return what quotes became."""
    made = list(quotes)
    days = [max((quote.made_on - quote.asked_on).days, 0) for quote in made]
    hours = [quote.hours for quote in made if quote.hours]
    return Quotes(
        len(made),
        sum(quote.is_signed for quote in made),
        sum(quote.is_declined and not quote.is_signed for quote in made),
        round(median(days)) if days else None,
        max(days, default=None),
        _by_size(made),
        sum(hours, NO_HOURS),
        len(hours),
        median(hours) if hours else None,
    )


def _by_size(quotes: Sequence[Quote]) -> tuple[SizeShare, ...]:
    found = []
    for label in (*(label for _, label in SIZES), LARGEST):
        of_size = [quote for quote in quotes if _size(quote.total) == label]
        if of_size:
            found.append(SizeShare(label, len(of_size), sum(quote.is_signed for quote in of_size)))
    return tuple(found)


def _size(total: Decimal) -> str:
    return next((label for most, label in SIZES if total < most), LARGEST)
