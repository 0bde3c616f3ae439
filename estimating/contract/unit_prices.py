"""Unit prices: prices that were signed outside the contract sum, of hidden conditions and of options.

A change charges exactly these prices, of a condition up to its limit, of an option until its last day.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from estimating.contract.lines import SignedBasis
from estimating.plain_text import day_in_words
from estimating.pricing.hidden_conditions import UNITS, in_units
from estimating.takeoff.work import NO_MONEY

FOUND, OPTION = "found", "option"
ONE = Decimal(1)


@dataclass(frozen=True)
class UnitPrice:
    """The signed price of one `unit`, in whole cents before tax; `taxable` of it is taxable material.

    `document` and `key` name it in a basis; `document_name` is such as "Estimate 1001". `least` is the
    quantity charged at the least each time, `most` the limit, `used` the quantity in signed changes.
    An option is one thing, taken whole; `hours` and `cost` are what its price is made of.
    """

    kind: str
    document: int
    key: str
    title: str
    document_name: str
    unit: str
    price: Decimal
    taxable: Decimal
    most: Decimal
    used: Decimal = Decimal(0)
    least: Decimal = Decimal(0)
    by_receipt: bool = False
    decide_by: date | None = None
    hours: Decimal = NO_MONEY
    cost: Decimal = NO_MONEY

    @property
    def place(self) -> tuple[int, str]:
        """Where it is: the document and the key in its basis."""
        return self.document, self.key

    @property
    def left(self) -> Decimal:
        return self.most - self.used

    @property
    def per(self) -> str:
        """The unit as it follows a price, such as "a sq ft"; empty for an option, which is taken whole."""
        return UNITS[self.unit] if self.kind == FOUND else ""

    def counted(self, quantity: Decimal) -> Decimal:
        """Return the quantity that is charged for this much of it: at least the one that was signed."""
        return max(quantity, self.least)

    def why_not(self, quantity: Decimal, today: date, waiting: Decimal = Decimal(0)) -> str:
        """Return why a change can't use this much of it, in a plain sentence; empty where it can.

        `waiting` is the quantity in unsigned changes.
        """
        if self.kind == OPTION:
            return self._why_no_option(today, waiting)
        if self.counted(quantity) <= self.left - waiting:
            return ""
        limit = f"The limit that was signed for {self.title} is {in_units(self.most, self.unit)}"
        if self.used:
            limit += f", and {in_units(self.used, self.unit)} of it is in signed changes"
        if waiting:
            limit += f", and {in_units(waiting, self.unit)} waits for a signature"
        rest = max(self.left - waiting, Decimal(0))
        return (
            f"{limit}: take at most {in_units(rest, self.unit)} here. "
            "What is beyond it has no signed price: talk first, then add it as a lump sum or as time "
            "and material."
        )

    def _why_no_option(self, today: date, waiting: Decimal) -> str:
        if self.used:
            return f"{self.title} was taken already."
        if waiting:
            return f"{self.title} is on a change that waits for a signature."
        if self.decide_by and self.decide_by < today:
            return (
                f"The day to decide on {self.title}, {day_in_words(self.decide_by)}, is past, so its signed "
                "price is locked. Add the work at a price of today instead."
            )
        return ""


def unit_prices(signed: Iterable[SignedBasis]) -> tuple[UnitPrice, ...]:
    """Return the prices outside the sums of a job's signed documents, in the order of the documents."""
    signed = list(signed)
    used = quantities_used(entry.basis for entry in _without_taken_out(signed))
    return tuple(
        price for entry in signed for price in (*_condition_prices(entry, used), *_option_prices(entry, used))
    )


def quantities_used(bases: Iterable[Mapping[str, Any]]) -> dict[tuple[int, str], Decimal]:
    """Return how much of each unit price the lines of changes use, by document and key."""
    used: dict[tuple[int, str], Decimal] = {}
    for basis in bases:
        for line in basis["lines"]:
            if line.get("by_key"):
                place = (line["by_document"], line["by_key"])
                used[place] = used.get(place, Decimal(0)) + Decimal(line["quantity"])
    return used


def _without_taken_out(signed: Sequence[SignedBasis]) -> Iterator[SignedBasis]:
    """Yield the documents without the lines that a later one took out again."""
    gone = {
        (line["refers_document"], line["refers_key"])
        for entry in signed
        for line in entry.basis["lines"]
        if line["kind"] == "taken_out"
    }
    for entry in signed:
        lines = [line for line in entry.basis["lines"] if (entry.document, line["key"]) not in gone]
        yield SignedBasis(entry.document, entry.name, {"lines": lines})


def _condition_prices(signed: SignedBasis, used: Mapping[tuple[int, str], Decimal]) -> Iterator[UnitPrice]:
    for condition in signed.basis.get("if_found", ()):
        yield UnitPrice(
            kind=FOUND,
            document=signed.document,
            key=condition["key"],
            title=condition["title"],
            document_name=signed.name,
            unit=condition["unit"],
            price=Decimal(condition["price"]),
            taxable=Decimal(condition["taxable"]),
            most=Decimal(condition["most"]),
            used=used.get((signed.document, condition["key"]), Decimal(0)),
            least=Decimal(condition.get("least", "0")),
            by_receipt=condition["by_receipt"],
        )


def _option_prices(signed: SignedBasis, used: Mapping[tuple[int, str], Decimal]) -> Iterator[UnitPrice]:
    for position, option in enumerate(signed.basis.get("options", ())):
        chosen = ONE if position in signed.options_chosen else Decimal(0)
        decide_by = option.get("decide_by")
        yield UnitPrice(
            kind=OPTION,
            document=signed.document,
            key=option["key"],
            title=option["title"],
            document_name=signed.name,
            unit="each",
            price=Decimal(option["price"]),
            taxable=Decimal(option["taxable"]),
            most=ONE,
            used=chosen + used.get((signed.document, option["key"]), Decimal(0)),
            decide_by=date.fromisoformat(decide_by) if decide_by else None,
            hours=Decimal(option["hours"]),
            cost=Decimal(option["cost"]),
        )
