"""The sums of an issued estimate with the options that its client chooses, from snapshot and basis alone."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from catalog.money.amounts import round_cents
from estimating.plain_text import money

NOT_ON_DOCUMENT = "One of the options ticked isn't on this paper. Read the page again."


class OptionLocked(ValueError):
    """An option that doesn't exist, or whose last day to decide is past; the message says so plainly."""


@dataclass(frozen=True)
class Option:
    """An option of an issued estimate.

    `position` is where it stands among its options, from 0; `taxable` is the part of `price` that is taxable
    material. `locked` says that `decide_by`, its last day, is past. `parts` are the titles of its lines,
    where it was named.
    """

    position: int
    title: str
    price: Decimal
    taxable: Decimal
    decide_by: date | None
    locked: bool
    parts: tuple[str, ...] = ()


@dataclass(frozen=True)
class OpenChoice:
    """An allowance of an issued estimate: what the client has still to choose, and by when.

    After its day it is `locked`: only a signed change, which says that it came late, can make the choice.
    """

    name: str
    decide_by: date | None
    locked: bool


@dataclass(frozen=True)
class Sums:
    """What the client pays: before tax, tax, total; and the chosen options, which are inside these sums.

    `payments` are the payments with these options, each with its name and amount; empty where the paper's own
    stand.
    """

    chosen: tuple[Option, ...]
    subtotal: Decimal
    tax: Decimal
    total: Decimal
    payments: tuple[Mapping[str, str], ...] = ()

    @property
    def as_record(self) -> dict[str, Any]:
        """The sums as plain text for the record of a signature, which counts options from 1."""
        payments = {"payments": [dict(row) for row in self.payments]} if self.payments else {}
        return payments | {
            "options": [
                {"place": option.position + 1, "title": option.title, "price": money(option.price)}
                for option in self.chosen
            ],
            "before_tax": money(self.subtotal),
            "tax": money(self.tax),
            "total": money(self.total),
        }


def options_of(snapshot: Mapping[str, Any], basis: Mapping[str, Any], today: date) -> tuple[Option, ...]:
    """Return the options that a document shows; one is locked after its last day to decide."""
    rows = zip(snapshot.get("options", ()), basis.get("options", ()), strict=True)
    options = []
    for position, (shown, priced) in enumerate(rows):
        decide_by = _day(shown["decide_by"])
        options.append(
            Option(
                position=position,
                title=shown["title"],
                price=Decimal(shown["price"]),
                taxable=Decimal(priced["taxable"]),
                decide_by=decide_by,
                locked=_is_past(decide_by, today),
                parts=tuple(part["title"] for part in shown.get("parts", ())),
            )
        )
    return tuple(options)


def choices_of(snapshot: Mapping[str, Any], today: date) -> tuple[OpenChoice, ...]:
    """Return the allowances that a document shows; one is locked after its last day to choose."""
    rows = [(row["name"], _day(row["decide_by"])) for row in snapshot.get("allowances", ())]
    return tuple(OpenChoice(name, day, _is_past(day, today)) for name, day in rows)


def _day(iso: str) -> date | None:
    return date.fromisoformat(iso) if iso else None


def _is_past(day: date | None, today: date) -> bool:
    return day is not None and day < today


def unlocked(options: Collection[Option]) -> set[int]:
    """Return the positions of the options that can still be chosen."""
    return {option.position for option in options if not option.locked}


def sums_with(basis: Mapping[str, Any], options: Collection[Option], positions: Collection[int]) -> Sums:
    """Return the sums with the options at these positions.

    Tax is worked out once, on the base with the options in it, and rounded half-up to the cent, as it is
    without them. Raises OptionLocked.
    """
    by_position = {option.position: option for option in options}
    if not set(positions) <= set(by_position):
        raise OptionLocked(NOT_ON_DOCUMENT)
    chosen = tuple(by_position[position] for position in sorted(set(positions)))
    if late := [option for option in chosen if option.locked]:
        raise OptionLocked(f"The day to decide on “{late[0].title}” is past. Untick it, or ask about it.")
    subtotal = Decimal(basis["subtotal"]) + sum((option.price for option in chosen), Decimal(0))
    tax = round_cents(_tax_base(basis, chosen) * Fraction(basis["policy"]["tax_rate"]))
    return Sums(chosen, subtotal, tax, subtotal + tax)


def _tax_base(basis: Mapping[str, Any], chosen: Collection[Option]) -> Fraction:
    """Return the amount that tax is charged on; zero where the client is charged none."""
    policy = basis["policy"]["tax_policy"]
    if policy == "materials":
        added = [option.taxable for option in chosen]
    elif policy == "everything":
        added = [option.price for option in chosen]
    else:
        return Fraction(0)
    return Fraction(Decimal(basis["tax_base"])) + sum(map(Fraction, added), Fraction(0))
