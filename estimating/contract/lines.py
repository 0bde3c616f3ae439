"""The lines of a signed contract, from the bases that were frozen when its documents were issued."""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from catalog.money.markup import Markup, parse_markup
from estimating.plain_text import day_in_words
from estimating.pricing.change_terms import ChangeTerms
from estimating.takeoff.work import NO_MONEY

# Kinds of lines that a later change can take out.
WORK_KINDS = frozenset({"work", "allowance", "agreed", "at_most", "found", "option"})


@dataclass(frozen=True)
class SignedBasis:
    """The basis of a signed estimate or change order.

    `document` is its primary key, `name` such as "Estimate 1001"; `options_chosen` are the positions of the
    options that the client chose, from 0.
    """

    document: int
    name: str
    basis: Mapping[str, Any]
    options_chosen: Collection[int] = ()


@dataclass(frozen=True)
class ContractLine:
    """Work of the contract.

    `document` and `key` name the line in a basis; `document_name` is such as "Estimate 1001". `price` is
    before tax, as signed; `left` is what of it isn't credited yet, and `taxable_left` the part of
    that which is taxable material. `settled` says that an allowance was settled, or the line taken out.
    """

    document: int
    key: str
    kind: str
    title: str
    document_name: str
    price: Decimal
    left: Decimal
    taxable_left: Decimal
    settled: bool = False

    @property
    def place(self) -> tuple[int, str]:
        """Where it is: the document and the key in its basis."""
        return self.document, self.key


@dataclass(frozen=True)
class ContractAllowance:
    """An allowance of the contract.

    `amount` is the sum as typed: at cost, or at the client's price. `decide_by` is the last day to choose.
    """

    line: ContractLine
    amount: Decimal
    at_cost: bool
    covers_tax: bool
    decide_by: date | None = None

    def late(self, today: date) -> str:
        """Return a sentence that the day to choose is past; empty while it isn't."""
        if self.decide_by is None or today <= self.decide_by:
            return ""
        return f"The day to choose by, {day_in_words(self.decide_by)}, is past."


@dataclass(frozen=True)
class ContractRules:
    """The rates, markups and terms of the signed estimate: changes are priced by these, not today's."""

    terms: ChangeTerms
    tax_policy: str
    tax_rate: Fraction
    labor_rate: Decimal
    labor: Markup
    material: Markup


def contract_rules(basis: Mapping[str, Any]) -> ContractRules:
    """Return the rules in the basis of a signed estimate."""
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
    """Return the terms for changes; an estimate issued without any goes by its markup on material."""
    if kept is None:
        return ChangeTerms(markup=material)
    return ChangeTerms(
        parse_markup(kept["markup"]), Decimal(kept["fee"]), Decimal(kept["minimum"]), Fraction(kept["keeps"])
    )


def contract_lines(signed: Iterable[SignedBasis]) -> tuple[ContractLine, ...]:
    """Return the lines of the contract in the order of its documents, less what changes credited so far."""
    signed = list(signed)
    referring: dict[tuple[int, str], list[Mapping[str, Any]]] = {}
    for entry in signed:
        for line in entry.basis["lines"]:
            if line.get("refers_key"):
                place = (line["refers_document"], line["refers_key"])
                referring.setdefault(place, []).append(line)
    return tuple(
        _line(entry, line, referring.get((entry.document, line["key"]), ()))
        for entry in signed
        for line in _work_lines(entry)
    )


def option_lines(option: Mapping[str, Any]) -> Collection[Mapping[str, Any]]:
    """Return the lines of work of an option in a basis: those under its name, or itself."""
    parts: Collection[Mapping[str, Any]] = option.get("parts", ())
    return parts or (option,)


def all_lines(basis: Mapping[str, Any]) -> Iterator[Mapping[str, Any]]:
    """Yield the lines of a basis, and those of all its options."""
    yield from basis["lines"]
    for option in basis.get("options", ()):
        yield from option_lines(option)


def _work_lines(signed: SignedBasis) -> Iterator[Mapping[str, Any]]:
    """Yield the lines of a basis that a later change can take out: work, and the options chosen."""
    yield from (line for line in signed.basis["lines"] if line["kind"] in WORK_KINDS)
    options = signed.basis.get("options", ())
    for position in sorted(signed.options_chosen):
        yield from option_lines(options[position])


def _line(
    signed: SignedBasis, line: Mapping[str, Any], referring: Collection[Mapping[str, Any]]
) -> ContractLine:
    """Return a line of the contract; `referring` are the lines of changes that refer to it."""
    credits = [change for change in referring if change["kind"] != "choice"]
    price = Decimal(line["price"])
    taxable = Decimal(line["taxable"])
    return ContractLine(
        document=signed.document,
        key=line["key"],
        kind=line["kind"],
        title=line["title"],
        document_name=signed.name,
        price=price,
        left=price + sum((Decimal(change["price"]) for change in credits), NO_MONEY),
        taxable_left=taxable + sum((Decimal(change["taxable"]) for change in credits), NO_MONEY),
        settled=any(change["kind"] in ("choice", "taken_out") for change in referring),
    )


def contract_allowances(
    signed: Iterable[SignedBasis], lines: Iterable[ContractLine]
) -> tuple[ContractAllowance, ...]:
    """Return the allowances of the contract, each with its line among these."""
    by_place = {line.place: line for line in lines}
    return tuple(
        ContractAllowance(
            by_place[entry.document, allowance["key"]],
            Decimal(allowance["amount"]),
            allowance["at_cost"],
            allowance["covers_tax"],
            date.fromisoformat(allowance["decide_by"]) if allowance.get("decide_by") else None,
        )
        for entry in signed
        for allowance in entry.basis.get("allowances", ())
    )
