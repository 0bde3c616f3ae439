"""The range of a draft's hours on the Price page: what they leave, what drives them, how to keep a margin."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

from django.utils.safestring import mark_safe

from catalog.measures.units import format_decimal, format_percent
from catalog.money.amounts import format_price
from estimating.estimates.draft import Draft
from estimating.ranges.drawing import range_svg
from estimating.ranges.margin import Outcome, contingency_that_keeps, cost_at, outcome, subtotal_with
from estimating.ranges.spread import HoursRange, Spread, hours_range
from estimating.ranges.work import has_usual_spread, spread_of

DRIVERS = 3


@dataclass(frozen=True)
class End:
    """A way the job may end: a label, and the same in words that show the arithmetic."""

    label: str
    outcome: Outcome
    margin: str
    words: str


@dataclass(frozen=True)
class Driver:
    """A work item that drives the range: its hours in words, and its part of the uncertainty."""

    title: str
    hours: str
    share: str


@dataclass(frozen=True)
class KeptMargin:
    """The contingency that keeps a margin four times out of five; None where there is none up to 100 %.

    `price` is that before tax which it makes.
    """

    keep: Decimal
    contingency: Decimal | None
    price: Decimal


@dataclass(frozen=True)
class RangePage:
    """The range in words and figures.

    `chance` says how likely the hours as priced are enough; `usual` counts the work items whose best and
    worst hours are the usual ones, as nothing better is known.
    """

    ends: tuple[End, ...]
    chance: str
    drivers: tuple[Driver, ...]
    usual: int
    svg: str


def range_page(draft: Draft, together_percent: Decimal) -> RangePage | None:
    """Return what the page shows of the range; None where there are no hours."""
    if not draft.priced.hours:
        return None
    spreads, found = _range(draft, together_percent)
    ends = (
        _end("As priced", draft, draft.priced.hours),
        _end("Even chance", draft, tenths(found.even_chance)),
        _end("Four times out of five", draft, tenths(found.four_of_five)),
    )
    return RangePage(
        ends,
        _chance_in_words(found.chance_within(float(draft.priced.hours))),
        tuple(_drivers(draft, spreads, found)),
        sum(has_usual_spread(item) for item in draft.take_off.items_in_sum),
        _drawn(ends),
    )


def _drawn(ends: Sequence[End]) -> str:
    labels = ("As priced", "Even chance", "4 times out of 5")
    marks = [(label, end.outcome.hours) for label, end in zip(labels, ends, strict=True)]
    return mark_safe(range_svg(marks))  # made by us; ElementTree escapes texts


def kept_margin(draft: Draft, together_percent: Decimal, keep: Decimal) -> KeptMargin:
    """Return the contingency by which so many percent of the price are kept four times out of five."""
    _, found = _range(draft, together_percent)
    cost = cost_at(draft.priced, tenths(found.four_of_five), draft.policy.labor_rate)
    minimum = draft.policy.minimum_charge
    contingency = contingency_that_keeps(draft.priced, minimum, cost, Fraction(keep) / 100)
    price = subtotal_with(draft.priced, minimum, contingency or Decimal(0))
    return KeptMargin(keep, contingency, price)


def _range(draft: Draft, together_percent: Decimal) -> tuple[list[Spread], HoursRange]:
    """Return the spreads of the work in the sum, and the range of all; trips are taken as certain."""
    spreads = [spread_of(item) for item in draft.take_off.items_in_sum]
    trips = float(draft.priced.trips.hours)
    return spreads, hours_range([*spreads, Spread(trips, trips, trips)], float(together_percent) / 100)


def tenths(hours: float) -> Decimal:
    """Return hours to a tenth: what is shown is what the money is worked out from."""
    return Decimal(hours).quantize(Decimal("0.1"), ROUND_HALF_UP)


def _end(label: str, draft: Draft, hours: Decimal) -> End:
    ends = outcome(draft.priced, hours, draft.policy.labor_rate)
    more = hours - draft.priced.hours
    words = "The hours that the price counts."
    if more:
        which, amount = (
            ("more", ends.cost - draft.priced.cost) if more > 0 else ("less", draft.priced.cost - ends.cost)
        )
        rate = format_price(draft.policy.labor_rate)
        words = f"{plain(abs(more))} h {which} than priced, at {rate} = {format_price(amount)}"
    return End(label, ends, format_percent(ends.margin), words)


def _drivers(draft: Draft, spreads: Sequence[Spread], found: HoursRange) -> list[Driver]:
    """Return the work items that bring the most of the uncertainty, the first first."""
    parts = sorted(
        zip(found.shares, draft.take_off.items_in_sum, spreads, strict=False), key=lambda part: -part[0]
    )
    return [
        Driver(
            item.work.title,
            f"{plain(tenths(spread.best))} h at best, {plain(tenths(spread.likely))} likely,"
            f" {plain(tenths(spread.worst))} at worst",
            f"{share:.0%}",
        )
        for share, item, spread in parts[:DRIVERS]
        if share
    ]


def _chance_in_words(chance: float) -> str:
    times = round(chance * 10)
    if times in (0, 10):
        return "hardly ever" if times == 0 else "nearly always"
    return f"about {times} time{'' if times == 1 else 's'} out of 10"


def plain(hours: Decimal) -> str:
    """Return hours without trailing zeros."""
    return format_decimal(Fraction(hours))
