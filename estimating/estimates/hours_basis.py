"""What the hours of a draft rest on: published figures, the firm's own numbers, or guesses. Pure."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

from catalog.assemblies.specs import OperationSpec
from catalog.starter.published_hours import (
    NOTHING_BESIDE,
    RestsOn,
    published_hours,
    rests_on,
    set_up_rests_on,
)
from estimating.takeoff.work import ItemQuantities

TYPED = "Hours typed on the work"


@dataclass(frozen=True)
class HoursRow:
    """Hours of one piece of labor in the job, and how its rate was made; `code` is empty for typed hours."""

    name: str
    code: str
    hours: Decimal
    made: str


@dataclass(frozen=True)
class HoursPart:
    """All hours that rest on one thing, with their share of the whole in percent."""

    on: RestsOn
    hours: Decimal
    percent: int
    rows: tuple[HoursRow, ...]

    @property
    def label(self) -> str:
        return _LABELS[self.on]


_LABELS = {
    RestsOn.PUBLISHED: "Published figures",
    RestsOn.OWN: "Your own numbers",
    RestsOn.GUESSED: "Guesses",
}


def hours_parts(items: Iterable[ItemQuantities]) -> tuple[HoursPart, ...]:
    """Return the hours of work items by what they rest on: published, own, guessed. Trips aren't in them."""
    hours: dict[RestsOn, dict[tuple[str, str, str], Fraction]] = {on: defaultdict(Fraction) for on in RestsOn}
    for item in items:
        for on, key, amount in _hours_of(item):
            hours[on][key] += amount
    whole = sum((sum(rows.values(), Fraction(0)) for rows in hours.values()), Fraction(0))
    return tuple(_part(on, rows, whole) for on, rows in hours.items())


def _hours_of(item: ItemQuantities) -> Iterator[tuple[RestsOn, tuple[str, str, str], Fraction]]:
    for requirement in item.requirements:
        operation = requirement.use
        if isinstance(operation, OperationSpec):
            made = published_hours().get(operation.code, NOTHING_BESIDE).made
            on, set_up = rests_on(operation), requirement.calculation.set_up
            if on is RestsOn.OWN:
                made = operation.source
            set_up_on = set_up_rests_on(operation)
            driven = requirement.quantity if set_up_on is on else requirement.quantity - set_up
            yield on, (operation.name, operation.code, made), driven
            if set_up_on is not on:
                name = f"{operation.name}: set-up"
                yield set_up_on, (name, operation.code, "A guess: no source tells a set-up."), set_up
    yield RestsOn.OWN, (TYPED, "", ""), item.work.extra_hours


def _part(on: RestsOn, rows: dict[tuple[str, str, str], Fraction], whole: Fraction) -> HoursPart:
    longest_first = sorted((row for row in rows.items() if row[1]), key=lambda row: (-row[1], row[0]))
    total = sum(rows.values(), Fraction(0))
    return HoursPart(
        on,
        _hundredths(total),
        int((total * 100 / whole + Fraction(1, 2)) // 1) if whole else 0,
        tuple(HoursRow(name, code, _hundredths(hours), made) for (name, code, made), hours in longest_first),
    )


def _hundredths(hours: Fraction) -> Decimal:
    return (Decimal(hours.numerator) / hours.denominator).quantize(Decimal("0.01"), ROUND_HALF_UP)
