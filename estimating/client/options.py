"""What an issued estimate comes to with the options that its client takes, from frozen facts alone."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from catalog.money.amounts import round_cents


class OptionLocked(ValueError):
    """An option that isn't there, or whose last day to decide is past; the message says so plainly."""


@dataclass(frozen=True)
class Option:
    """An option of an issued estimate. `place` is where it stands on the paper, from 0."""

    place: int
    title: str
    price: Decimal
    taxable: Decimal
    decide_by: date | None
    locked: bool


@dataclass(frozen=True)
class OpenChoice:
    """An allowance of an issued estimate: what the client has still to choose, and by when. After its day
    it is locked: the choice can be made by a signed change alone, which says that it came late."""

    name: str
    decide_by: date | None
    locked: bool


@dataclass(frozen=True)
class Sums:
    """What the client pays: before tax, tax, total, and the options inside them."""

    taken: tuple[Option, ...]
    subtotal: Decimal
    tax: Decimal
    total: Decimal

    @property
    def as_record(self) -> dict[str, Any]:
        """Plain text that a record can keep."""
        return {
            "options": [
                {"place": each.place + 1, "title": each.title, "price": f"{each.price:.2f}"}
                for each in self.taken
            ],
            "before_tax": f"{self.subtotal:.2f}",
            "tax": f"{self.tax:.2f}",
            "total": f"{self.total:.2f}",
        }


def options_of(snapshot: Mapping[str, Any], basis: Mapping[str, Any], today: date) -> tuple[Option, ...]:
    """The options as the paper shows them; one is locked once its day to decide is past."""
    rows = zip(snapshot.get("options", ()), basis.get("options", ()), strict=True)
    options = []
    for place, (shown, kept) in enumerate(rows):
        decide_by = date.fromisoformat(shown["decide_by"]) if shown["decide_by"] else None
        options.append(
            Option(
                place=place,
                title=shown["title"],
                price=Decimal(shown["price"]),
                taxable=Decimal(kept["taxable"]),
                decide_by=decide_by,
                locked=decide_by is not None and decide_by < today,
            )
        )
    return tuple(options)


def choices_of(snapshot: Mapping[str, Any], today: date) -> tuple[OpenChoice, ...]:
    """The allowances as the paper shows them; one is locked once its day to choose is past."""
    rows = [
        (each["name"], date.fromisoformat(each["decide_by"]) if each["decide_by"] else None)
        for each in snapshot.get("allowances", ())
    ]
    return tuple(OpenChoice(name, day, day is not None and day < today) for name, day in rows)


def sums_with(basis: Mapping[str, Any], options: Collection[Option], places: Collection[int]) -> Sums:
    """The sums with the options at these places. Tax is worked out once on the base with them in it and
    rounded half-up to the cent, as it is without them. Raises OptionLocked."""
    by_place = {each.place: each for each in options}
    if not set(places) <= set(by_place):
        raise OptionLocked("One of the options ticked isn't on this paper. Read the page again.")
    taken = tuple(by_place[place] for place in sorted(places))
    if late := [each for each in taken if each.locked]:
        raise OptionLocked(f"The day to decide on “{late[0].title}” is past. Untick it, or ask about it.")
    subtotal = Decimal(basis["subtotal"]) + sum((each.price for each in taken), Decimal(0))
    base = _tax_base(basis, taken)
    tax = round_cents(base * Fraction(basis["policy"]["tax_rate"]))
    return Sums(taken, subtotal, tax, subtotal + tax)


def _tax_base(basis: Mapping[str, Any], taken: Collection[Option]) -> Fraction:
    """The `tax_base` kept with the paper is zero where the client is charged no tax."""
    added = {"materials": [each.taxable for each in taken], "everything": [each.price for each in taken]}
    parts = added.get(basis["policy"]["tax_policy"])
    if parts is None:
        return Fraction(0)
    return Fraction(Decimal(basis["tax_base"])) + sum(map(Fraction, parts), Fraction(0))
