"""What a signed contract is made of, line by line, from what was frozen when its papers were issued."""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from catalog.money.markup import Markup, parse_markup
from estimating.plain_text import day_in_words
from estimating.pricing.change_terms import NO_MONEY, ChangeTerms

# Kinds of lines that a later change can take out.
WORK_KINDS = frozenset({"work", "allowance", "agreed", "at_most", "found", "option"})


@dataclass(frozen=True)
class SignedPaper:
    """A signed estimate or change order. `name` is "Estimate 1001"; `options_taken` are places, from 0."""

    document: int
    name: str
    basis: Mapping[str, Any]
    options_taken: Collection[int] = ()


@dataclass(frozen=True)
class ContractLine:
    """Work of the contract. `price` is before tax, as signed; `left` of it isn't credited yet, and
    `taxable_left` is the part of that which is taxable material. `settled` after an allowance was."""

    document: int
    key: str
    kind: str
    title: str
    paper: str
    price: Decimal
    left: Decimal
    taxable_left: Decimal
    settled: bool = False

    @property
    def place(self) -> tuple[int, str]:
        return self.document, self.key


@dataclass(frozen=True)
class ContractAllowance:
    """An allowance of the contract: its sum as typed, at cost or at the client's price. `decide_by` is the
    last day to choose."""

    line: ContractLine
    amount: Decimal
    at_cost: bool
    covers_tax: bool
    decide_by: date | None = None

    def late(self, today: date) -> str:
        """That the day to choose is past, in a plain sentence; empty while it isn't."""
        if self.decide_by is None or today <= self.decide_by:
            return ""
        return f"The day to choose by, {day_in_words(self.decide_by)}, is past."


@dataclass(frozen=True)
class ContractRules:
    """What the signed estimate says of prices; a change goes by them, whatever the firm charges now."""

    terms: ChangeTerms
    tax_policy: str
    tax_rate: Fraction
    labor_rate: Decimal
    labor: Markup
    material: Markup


def contract_rules(basis: Mapping[str, Any]) -> ContractRules:
    policy = basis["policy"]
    material = parse_markup(policy["material"])
    return ContractRules(
        terms=_terms(basis.get("change_terms"), material),
        tax_policy=policy["tax_policy"],
        tax_rate=Fraction(policy["tax_rate"]),
        labor_rate=Decimal(policy["labour_rate"]),
        labor=parse_markup(policy["labour"]),
        material=material,
    )


def _terms(kept: Mapping[str, str] | None, material: Markup) -> ChangeTerms:
    """An estimate issued before there were terms for changes goes by its markup on material."""
    if kept is None:
        return ChangeTerms(markup=material)
    return ChangeTerms(
        parse_markup(kept["markup"]), Decimal(kept["fee"]), Decimal(kept["minimum"]), Fraction(kept["keeps"])
    )


def contract_lines(papers: Iterable[SignedPaper]) -> tuple[ContractLine, ...]:
    """The lines of the contract in the order of its papers, with what changes credited of them so far."""
    papers = list(papers)
    credited: dict[tuple[int, str], list[Mapping[str, Any]]] = {}
    for paper in papers:
        for line in paper.basis["lines"]:
            if line.get("refers_key"):
                place = (line["refers_document"], line["refers_key"])
                credited.setdefault(place, []).append(line)
    return tuple(
        _line(paper, line, credited.get((paper.document, line["key"]), ()))
        for paper in papers
        for line in _lines(paper)
    )


def _lines(paper: SignedPaper) -> Iterator[Mapping[str, Any]]:
    yield from (line for line in paper.basis["lines"] if line["kind"] in WORK_KINDS)
    options = paper.basis.get("options", ())
    yield from (options[place] for place in sorted(paper.options_taken))


def _line(paper: SignedPaper, line: Mapping[str, Any], changes: Iterable[Mapping[str, Any]]) -> ContractLine:
    credits = [each for each in changes if each["kind"] != "choice"]
    price = Decimal(line["price"])
    return ContractLine(
        document=paper.document,
        key=line["key"],
        kind=line["kind"],
        title=line["title"],
        paper=paper.name,
        price=price,
        left=price + sum((Decimal(each["price"]) for each in credits), NO_MONEY),
        taxable_left=Decimal(line["taxable"]) + sum((Decimal(each["taxable"]) for each in credits), NO_MONEY),
        settled=any(each["kind"] in ("choice", "taken_out") for each in changes),
    )


def contract_allowances(
    papers: Iterable[SignedPaper], lines: Iterable[ContractLine]
) -> tuple[ContractAllowance, ...]:
    by_place = {line.place: line for line in lines}
    return tuple(
        ContractAllowance(
            by_place[paper.document, each["key"]],
            Decimal(each["amount"]),
            each["at_cost"],
            each["covers_tax"],
            date.fromisoformat(each["decide_by"]) if each.get("decide_by") else None,
        )
        for paper in papers
        for each in paper.basis.get("allowances", ())
    )
