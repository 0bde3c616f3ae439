"""Prices that were signed and aren't in the sum: of conditions found later, and of options not taken.

A change takes them at exactly that price, a condition up to its limit, an option until its last day.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from estimating.contract.lines import SignedPaper
from estimating.plain_text import day_in_words
from estimating.pricing.change_terms import NO_MONEY
from estimating.pricing.hidden_conditions import UNITS, in_units

FOUND, OPTION = "found", "option"
ONE = Decimal(1)


@dataclass(frozen=True)
class SignedPrice:
    """A price of one `unit`, in whole cents before tax. `least` is charged at the least each time, `most`
    is the limit, `used` what signed changes took of it. An option is one thing, taken whole; `hours` and
    `cost` are what stands behind it."""

    kind: str
    document: int
    key: str
    title: str
    paper: str
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
        return self.document, self.key

    @property
    def left(self) -> Decimal:
        return self.most - self.used

    @property
    def per(self) -> str:
        return UNITS[self.unit] if self.kind == FOUND else ""

    def counted(self, quantity: Decimal) -> Decimal:
        """What is charged for so much of it: as much, or the least that was signed."""
        return max(quantity, self.least)

    def why_not(self, quantity: Decimal, today: date, waiting: Decimal = Decimal(0)) -> str:
        """Why a change can't take this much of it, in a plain sentence; empty where it can. `waiting` is
        what unsigned changes hold of it."""
        if self.kind == OPTION:
            return self._why_no_option(today, waiting)
        if self.counted(quantity) <= self.left - waiting:
            return ""
        limit = f"The limit that was signed for {self.title} is {in_units(self.most, self.unit)}"
        if self.used:
            limit += f", and {in_units(self.used, self.unit)} of it is in signed changes"
        if waiting:
            limit += f", and {in_units(waiting, self.unit)} waits for a signature"
        least = max(self.left - waiting, Decimal(0))
        return (
            f"{limit}: take at most {in_units(least, self.unit)} here. "
            "What is beyond it has no signed price: talk first, then add it as an agreed price or as hours "
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


def signed_prices(papers: Iterable[SignedPaper]) -> tuple[SignedPrice, ...]:
    """What the signed papers of a job price outside their sums, in the order of the papers."""
    papers = list(papers)
    used = quantities_taken(paper.basis for paper in _without_taken_out(papers))
    return tuple(each for paper in papers for each in _of(paper, used))


def quantities_taken(bases: Iterable[Mapping[str, Any]]) -> dict[tuple[int, str], Decimal]:
    """How much of each signed price the lines of changes take, by document and key."""
    taken: dict[tuple[int, str], Decimal] = {}
    for basis in bases:
        for line in basis["lines"]:
            if line.get("by_key"):
                place = (line["by_document"], line["by_key"])
                taken[place] = taken.get(place, Decimal(0)) + Decimal(line["quantity"])
    return taken


def _without_taken_out(papers: Iterable[SignedPaper]) -> Iterator[SignedPaper]:
    """The papers without the lines that a later one took out again."""
    papers = list(papers)
    gone = {
        (line["refers_document"], line["refers_key"])
        for paper in papers
        for line in paper.basis["lines"]
        if line["kind"] == "taken_out"
    }
    for paper in papers:
        lines = [line for line in paper.basis["lines"] if (paper.document, line["key"]) not in gone]
        yield SignedPaper(paper.document, paper.name, {"lines": lines})


def _of(paper: SignedPaper, used: Mapping[tuple[int, str], Decimal]) -> Iterator[SignedPrice]:
    for each in paper.basis.get("if_found", ()):
        yield SignedPrice(
            kind=FOUND,
            document=paper.document,
            key=each["key"],
            title=each["title"],
            paper=paper.name,
            unit=each["unit"],
            price=Decimal(each["price"]),
            taxable=Decimal(each["taxable"]),
            most=Decimal(each["most"]),
            used=used.get((paper.document, each["key"]), Decimal(0)),
            least=Decimal(each.get("least", "0")),
            by_receipt=each["by_receipt"],
        )
    for place, each in enumerate(paper.basis.get("options", ())):
        taken = ONE if place in paper.options_taken else Decimal(0)
        decide_by = each.get("decide_by")
        yield SignedPrice(
            kind=OPTION,
            document=paper.document,
            key=each["key"],
            title=each["title"],
            paper=paper.name,
            unit="each",
            price=Decimal(each["price"]),
            taxable=Decimal(each["taxable"]),
            most=ONE,
            used=taken + used.get((paper.document, each["key"]), Decimal(0)),
            decide_by=date.fromisoformat(decide_by) if decide_by else None,
            hours=Decimal(each["hours"]),
            cost=Decimal(each["cost"]),
        )
