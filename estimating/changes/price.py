"""What a change order comes to: work added and taken out, choices against their allowances, by the terms
of the signed estimate.

Every row is rounded half-up to the cent once and says in words how it came about; tax that the client is
charged is worked out once, on the net of all rows.
"""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from catalog.measures.units import format_quantity
from catalog.money.amounts import format_price, round_cents
from estimating.contract.lines import ContractAllowance, ContractLine, ContractRules
from estimating.contract.unit_prices import FOUND, ONE, SignedPrice
from estimating.pricing.change_terms import NO_MONEY, share_in_words
from estimating.pricing.hidden_conditions import in_units
from estimating.pricing.price import Line, Policy

ADDS = frozenset({"work", "at_most", "agreed", "found", "option"})


@dataclass(frozen=True)
class AgreedPrice:
    """Work at a price for each unit that both know, or below zero a credit given; the price is what the
    client pays, before tax."""

    key: str
    title: str
    quantity: Decimal
    unit: str
    unit_price: Decimal


@dataclass(frozen=True)
class TakenOut:
    """Work of the contract that won't be done."""

    key: str
    line: ContractLine


@dataclass(frozen=True)
class BroughtByClient:
    """Material of a line of the contract that the client brings now. `cost` is what the line holds for it,
    before tax and markup; the work on it stays."""

    key: str
    title: str
    line: ContractLine
    cost: Decimal


@dataclass(frozen=True)
class Choice:
    """What an allowance was chosen for, and what that costs before tax. `late` says that it was chosen
    after its day."""

    key: str
    title: str
    allowance: ContractAllowance
    cost: Decimal
    late: str = ""


@dataclass(frozen=True)
class AtSignedPrice:
    """So much of a condition that was found, or an option taken, at the price that was signed for it."""

    key: str
    signed: SignedPrice
    quantity: Decimal = ONE


Part = AgreedPrice | TakenOut | BroughtByClient | Choice | AtSignedPrice


@dataclass(frozen=True)
class ChangeRow:
    """A row of a change order; below zero where it credits. `rule` says how the price came about,
    `refers` names the line of the contract that it changes, `by` the signed price that it goes by and
    `quantity` how much of it. `material` is the part of the cost that is material, with the tax paid at the
    store; None where the price was agreed whole."""

    key: str
    kind: str  # "work", "at_most", "agreed", "credit", "choice", "brought", "taken_out", "found", "option",
    # "fee" or "minimum"
    title: str
    rule: str
    price: Decimal
    taxable: Decimal = NO_MONEY
    hours: Decimal = NO_MONEY
    cost: Decimal = NO_MONEY
    refers: ContractLine | None = None
    by: SignedPrice | None = None
    quantity: Decimal = ONE
    material: Decimal | None = None


@dataclass(frozen=True)
class PricedChange:
    """A change priced: rows, their sum, the tax charged on it, and what the contract moves by."""

    rows: tuple[ChangeRow, ...]
    subtotal: Decimal
    tax_base: Decimal
    tax: Decimal
    total: Decimal

    @property
    def added(self) -> Decimal:
        """What it adds before tax, whatever it credits beside that."""
        return sum((row.price for row in self.rows if row.price > 0), NO_MONEY)


def hour_price(rules: ContractRules | Policy) -> Decimal:
    """What an hour is sold for, in whole cents."""
    return round_cents(rules.labor.on(Fraction(rules.labor_rate)))


def price_change(
    rules: ContractRules,
    lines: Iterable[Line],
    parts: Sequence[Part],
    at_most: Collection[str] = (),
    our_error: bool = False,
) -> PricedChange:
    """Price a change. `lines` is the work that it adds, priced; those in `at_most` are time and material
    up to that price. Where the firm made an error, neither fee nor least charge comes on it."""
    rows = [_at_most(line, rules) if line.key in at_most else _work(line, rules) for line in lines]
    rows += [_row(part, rules) for part in parts]
    if not our_error:
        rows += _fee_and_minimum(rows, rules)
    subtotal = sum((row.price for row in rows), NO_MONEY)
    bases = {"materials": sum((row.taxable for row in rows), NO_MONEY), "everything": subtotal}
    base = bases.get(rules.tax_policy, NO_MONEY)
    tax = round_cents(Fraction(base) * rules.tax_rate)
    return PricedChange(tuple(rows), subtotal, base, tax, subtotal + tax)


def _store_tax(cost: Decimal, rules: ContractRules) -> Decimal:
    """Tax that the firm pays at the store, where that is a cost of it."""
    return round_cents(Fraction(cost) * rules.tax_rate) if rules.tax_policy == "consumer" else NO_MONEY


def _work(line: Line, rules: ContractRules) -> ChangeRow:
    return ChangeRow(
        line.key,
        "work",
        line.title,
        _rates(line, rules),
        line.client_price,
        line.taxable_price,
        line.hours,
        line.cost,
        material=line.material_cost + line.material_tax,
    )


def _rates(line: Line, rules: ContractRules) -> str:
    parts = ["work by the figures of the estimate"] if line.hours else []
    if line.cost != line.labor_cost:
        parts.append(f"what is bought by its receipt{_taxed(line)} and {_on_top(rules)} on top")
    return f"By the terms for changes: {', '.join(parts)}." if parts else ""


def _taxed(line: Line) -> str:
    return " with sales tax" if line.store_tax else ""


def _on_top(rules: ContractRules) -> str:
    return share_in_words(rules.terms.markup.share)


def _at_most(line: Line, rules: ContractRules) -> ChangeRow:
    """Hours at their price and what is bought with its markup, each to the cent, as they will be billed."""
    labor = round_cents(Fraction(line.hours) * Fraction(hour_price(rules)))
    bought = line.cost - line.labor_cost
    material = round_cents(rules.terms.markup.on(Fraction(bought)))
    parts = []
    if line.hours:
        hours = format_quantity(Fraction(line.hours), "hour")
        parts.append(f"at most {hours} at {format_price(hour_price(rules))}")
    if bought:
        parts.append(
            f"what is bought by its receipt{_taxed(line)} and {_on_top(rules)} on top, "
            f"at most {format_price(material)}"
        )
    limit = labor + material
    rule = (
        f"Time and material, not to exceed {format_price(limit)}: {'; '.join(parts)}. "
        "Billed is what it takes, up to that."
    )
    taxable = round_cents(rules.terms.markup.on(Fraction(line.bought.material_taxable)))
    return ChangeRow(
        line.key,
        "at_most",
        line.title,
        rule,
        limit,
        taxable,
        line.hours,
        line.cost,
        material=line.material_cost + line.material_tax,
    )


def _row(part: Part, rules: ContractRules) -> ChangeRow:
    match part:
        case AgreedPrice():
            return _agreed(part)
        case TakenOut():
            return _taken_out(part, rules)
        case BroughtByClient():
            return _brought(part, rules)
        case Choice():
            return _choice(part, rules)
        case AtSignedPrice():
            return _at_signed_price(part)


def _agreed(part: AgreedPrice) -> ChangeRow:
    quantity = Fraction(part.quantity)
    shown = f"{part.quantity.normalize():f} {part.unit}".strip()
    rule = f"{shown} at {format_price(part.unit_price)}."
    kind = "credit" if part.unit_price < 0 else "agreed"
    return ChangeRow(part.key, kind, part.title, rule, round_cents(quantity * Fraction(part.unit_price)))


def _from(signed: SignedPrice) -> str:
    return f"at least {in_units(signed.least, signed.unit)}, " if signed.least else ""


def _at_signed_price(part: AtSignedPrice) -> ChangeRow:
    """Quantity times price, and its taxable part, each rounded half-up to the cent once."""
    signed, quantity = part.signed, Fraction(part.quantity)
    rule = f"By its price in {signed.paper.lower()}"
    if signed.kind == FOUND:
        rule = (
            f"{in_units(part.quantity, signed.unit)} at {format_price(signed.price)} {signed.per}, as signed "
            f"in {signed.paper.lower()} for {_from(signed)}up to {in_units(signed.most, signed.unit)}"
        )
    return ChangeRow(
        part.key,
        signed.kind,
        signed.title,
        f"{rule}.",
        round_cents(quantity * Fraction(signed.price)),
        round_cents(quantity * Fraction(signed.taxable)),
        signed.hours,
        signed.cost,
        by=signed,
        quantity=part.quantity,
    )


def _taken_out(part: TakenOut, rules: ContractRules) -> ChangeRow:
    line, keeps = part.line, rules.terms.keeps
    kept = round_cents(Fraction(line.left) * keeps)
    said = [f"Its price in {line.paper.lower()}, {format_price(line.price)}"]
    if line.left != line.price:
        said.append(f"less {format_price(line.price - line.left)} credited before")
    if kept:
        said.append(f"less {share_in_words(keeps)}, {format_price(kept)}, for planning and ordering")
    taxable = line.taxable_left - round_cents(Fraction(line.taxable_left) * keeps)
    return ChangeRow(
        part.key,
        "taken_out",
        line.title,
        ", ".join(said) + ".",
        kept - line.left,
        -taxable,
        refers=line,
    )


def _brought(part: BroughtByClient, rules: ContractRules) -> ChangeRow:
    tax = _store_tax(part.cost, rules)
    markup = round_cents(Fraction(part.cost + tax) * rules.material.share)
    said = [f"Material {format_price(part.cost)}"]
    if tax:
        said.append(f"sales tax {format_price(tax)}")
    said.append(f"markup {format_price(markup)}")
    rule = f"{', '.join(said)}, as {part.line.paper.lower()} holds them. The work on it stays."
    amount = part.cost + tax + markup
    return ChangeRow(part.key, "brought", part.title, rule, -amount, -amount, refers=part.line)


def _choice(part: Choice, rules: ContractRules) -> ChangeRow:
    """At cost: the difference and the terms' markup on it. At the client's price: the choice with tax and
    markup against the allowance."""
    allowance, share = part.allowance, rules.terms.markup.share
    tax = _store_tax(part.cost, rules)
    chosen = part.cost + tax
    said = f"Chosen {format_price(part.cost)}"
    if tax:
        said += f" and sales tax {format_price(tax)}"
    if allowance.at_cost:
        inside = _store_tax(allowance.amount, rules) if allowance.covers_tax else NO_MONEY
        held = allowance.amount + inside
        difference = chosen - held
        markup = round_cents(Fraction(difference) * share)
        with_tax = " with its tax" if inside else ""
        rule = (
            f"{said}; the allowance{with_tax} is {format_price(held)}. The difference is "
            f"{format_price(difference)}, and {share_in_words(share)} of it {format_price(markup)}."
        )
        amount = difference + markup
    else:
        markup = round_cents(Fraction(chosen) * share)
        rule = (
            f"{said}, and {share_in_words(share)} of that {format_price(markup)}, against an allowance of "
            f"{format_price(allowance.amount)}."
        )
        amount = chosen + markup - allowance.amount
    rule = f"{rule} {part.late}".rstrip()
    return ChangeRow(part.key, "choice", part.title, rule, amount, amount, cost=chosen, refers=allowance.line)


def _fee_and_minimum(rows: Sequence[ChangeRow], rules: ContractRules) -> list[ChangeRow]:
    added = [row.price for row in rows if row.kind in ADDS]
    if not added:
        return []
    terms, more = rules.terms, []
    if terms.fee:
        more.append(ChangeRow("fee", "fee", "Fee for a change", "By the terms for changes.", terms.fee))
    missing = terms.minimum - sum(added, NO_MONEY) - terms.fee
    if terms.minimum and missing > 0:
        least = format_price(terms.minimum)
        rule = f"By the terms for changes: a change that adds work comes to at least {least}."
        more.append(ChangeRow("minimum", "minimum", "Up to the least charge of a change", rule, missing))
    return more
