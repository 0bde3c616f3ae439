"""The price of a change order, by the terms of the signed estimate.

A change adds work, deletes work and settles allowances, each in a row of its own. A row is rounded half-up to
the cent once and says in words how its price came about. The tax that the client is charged is worked out
once, on the net of all rows.
"""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from catalog.measures.units import format_quantity
from catalog.money.amounts import format_price, round_cents
from estimating.contract.lines import ContractAllowance, ContractLine, ContractRules
from estimating.contract.unit_prices import FOUND, ONE, UnitPrice
from estimating.pricing.hidden_conditions import in_units
from estimating.pricing.percentages import share_in_words
from estimating.pricing.price import Policy, PricedLine
from estimating.takeoff.work import NO_MONEY


class RowKind(StrEnum):
    """What a row of a change order does. The values are kept in the bases of issued documents."""

    WORK = "work"
    AT_MOST = "at_most"
    AGREED = "agreed"
    CREDIT = "credit"
    DIFFERENCE = "difference"
    TAKEN_OUT = "taken_out"
    PART_OUT = "part_out"
    BROUGHT = "brought"
    CHOICE = "choice"
    FOUND = "found"
    OPTION = "option"
    GIVEN_UP = "given_up"
    FEE = "fee"
    MINIMUM = "minimum"


# The unit by which a line says that it is a difference in price, and no work.
DIFFERENCE = "difference"
# Kinds of rows that add work, so that the fee and the minimum charge of a change come on them.
ADDS_WORK = frozenset({RowKind.WORK, RowKind.AT_MOST, RowKind.AGREED, RowKind.FOUND, RowKind.OPTION})


@dataclass(frozen=True)
class LumpSumLine:
    """Work at a price for each unit that both sides know, or a credit where the price is below zero.

    `unit_price` is what the client pays, before tax. The unit of a difference in price is DIFFERENCE.
    """

    key: str
    title: str
    quantity: Decimal
    unit: str
    unit_price: Decimal


@dataclass(frozen=True)
class DeletedWork:
    """A line of the contract that won't be done, or `part` of its price where only some of it won't."""

    key: str
    line: ContractLine
    part: Decimal | None = None


@dataclass(frozen=True)
class OwnerFurnished:
    """Material of a contract line that the client now brings; the work on it stays.

    `cost` is what the line holds for the material, before tax and markup.
    """

    key: str
    title: str
    line: ContractLine
    cost: Decimal


@dataclass(frozen=True)
class AllowanceChoice:
    """What was chosen for an allowance, and its cost before tax.

    `late` is a sentence that the day to choose was past; empty where it wasn't.
    """

    key: str
    title: str
    allowance: ContractAllowance
    cost: Decimal
    late: str = ""


@dataclass(frozen=True)
class UnitPriceLine:
    """A quantity of a hidden condition, or an option, at the unit price that was signed for it."""

    key: str
    unit_price: UnitPrice
    quantity: Decimal = ONE


@dataclass(frozen=True)
class GivenUp:
    """A part of the price that the firm gives up, of which `taxable` is taxed; both are above zero."""

    key: str
    title: str
    amount: Decimal
    taxable: Decimal


Part = GivenUp | LumpSumLine | DeletedWork | OwnerFurnished | AllowanceChoice | UnitPriceLine


@dataclass(frozen=True)
class ChangeRow:
    """A row of a change order; `price`, before tax, is below zero where the row is a credit.

    `rule` says in words how the price came about. `contract_line` is the line of the contract that the row
    settles or credits, `unit_price` the one that it goes by, with `quantity` of it. `material` is the part of
    the cost that is material, tax paid at the store included; None where the price was agreed as a whole.
    """

    key: str
    kind: RowKind
    title: str
    rule: str
    price: Decimal
    taxable: Decimal = NO_MONEY
    hours: Decimal = NO_MONEY
    cost: Decimal = NO_MONEY
    contract_line: ContractLine | None = None
    unit_price: UnitPrice | None = None
    quantity: Decimal = ONE
    material: Decimal | None = None


@dataclass(frozen=True)
class PricedChange:
    """A change with its price: the rows, their sum, the tax charged on it, and the total with that tax."""

    rows: tuple[ChangeRow, ...]
    subtotal: Decimal
    tax_base: Decimal
    tax: Decimal
    total: Decimal

    @property
    def added(self) -> Decimal:
        """What the change adds before tax, whatever it credits beside that."""
        return sum((row.price for row in self.rows if row.price > 0), NO_MONEY)


def hour_price(rules: ContractRules | Policy) -> Decimal:
    """Return what the client pays for an hour, rounded half-up to the cent."""
    return round_cents(rules.labor.on(Fraction(rules.labor_rate)))


def price_change(
    rules: ContractRules,
    lines: Iterable[PricedLine],
    parts: Sequence[Part],
    at_most: Collection[str] = (),
    our_error: bool = False,
) -> PricedChange:
    """Price a change by the terms of the signed estimate.

    `lines` is the work that the change adds, priced; lines whose keys are in `at_most` are time and material
    up to that price. A change for an error of the firm carries neither the fee nor the minimum charge.
    """
    rows = [_time_and_material(line, rules) if line.key in at_most else _work(line, rules) for line in lines]
    rows += [_row(part, rules) for part in parts]
    if not our_error:
        rows += _fee_and_minimum(rows, rules)
    subtotal = sum((row.price for row in rows), NO_MONEY)
    bases = {"materials": sum((row.taxable for row in rows), NO_MONEY), "everything": subtotal}
    base = bases.get(rules.tax_policy, NO_MONEY)
    tax = round_cents(Fraction(base) * rules.tax_rate)
    return PricedChange(tuple(rows), subtotal, base, tax, subtotal + tax)


def _store_tax(cost: Decimal, rules: ContractRules) -> Decimal:
    """Return the tax that the firm pays at the store, where its policy makes that a cost of the firm."""
    return round_cents(Fraction(cost) * rules.tax_rate) if rules.tax_policy == "consumer" else NO_MONEY


def _work(line: PricedLine, rules: ContractRules) -> ChangeRow:
    return ChangeRow(
        line.key,
        RowKind.WORK,
        line.title,
        _rates_in_words(line, rules),
        line.client_price,
        line.taxable_price,
        line.hours,
        line.cost,
        material=line.material_cost + line.material_tax,
    )


def _rates_in_words(line: PricedLine, rules: ContractRules) -> str:
    rates = ["work at the prices of the estimate"] if line.hours else []
    if line.cost != line.labor_cost:
        rates.append(_bought_in_words(line, rules))
    return f"By the terms for changes: {', '.join(rates)}." if rates else ""


def _bought_in_words(line: PricedLine, rules: ContractRules) -> str:
    taxed = " with sales tax" if line.store_tax else ""
    return f"what is bought by its receipt{taxed} and {share_in_words(rules.terms.markup.share)} on top"


def _time_and_material(line: PricedLine, rules: ContractRules) -> ChangeRow:
    """Price time and material up to a limit, the way it will be billed.

    The limit is the hours at their price plus what is bought with its markup, each rounded to the cent.
    """
    labor = round_cents(Fraction(line.hours) * Fraction(hour_price(rules)))
    bought = line.cost - line.labor_cost
    material = round_cents(rules.terms.markup.on(Fraction(bought)))
    limits = []
    if line.hours:
        hours = format_quantity(Fraction(line.hours), "hour")
        limits.append(f"at most {hours} at {format_price(hour_price(rules))}")
    if bought:
        limits.append(f"{_bought_in_words(line, rules)}, at most {format_price(material)}")
    limit = labor + material
    rule = (
        f"Time and material, not to exceed {format_price(limit)}: {'; '.join(limits)}. "
        "Billed is what it takes, up to that."
    )
    return ChangeRow(
        line.key,
        RowKind.AT_MOST,
        line.title,
        rule,
        limit,
        round_cents(rules.terms.markup.on(Fraction(line.purchase_costs.material_taxable))),
        line.hours,
        line.cost,
        material=line.material_cost + line.material_tax,
    )


def _row(part: Part, rules: ContractRules) -> ChangeRow:
    match part:
        case GivenUp():
            rule = "Deducted from what we agreed. The work stays as it is."
            return ChangeRow(part.key, RowKind.GIVEN_UP, part.title, rule, -part.amount, -part.taxable)
        case LumpSumLine():
            return _lump_sum(part)
        case DeletedWork():
            return _deleted_work(part, rules)
        case OwnerFurnished():
            return _owner_furnished(part, rules)
        case AllowanceChoice():
            return _allowance_choice(part, rules)
        case UnitPriceLine():
            return _at_unit_price(part)


def _lump_sum(part: LumpSumLine) -> ChangeRow:
    price = round_cents(Fraction(part.quantity) * Fraction(part.unit_price))
    if part.unit == DIFFERENCE:
        rule = "Difference in price, as agreed. The work stays."
        return ChangeRow(part.key, RowKind.DIFFERENCE, part.title, rule, price)
    each = " each" if part.unit == "each" and part.quantity != 1 else ""
    return ChangeRow(
        part.key,
        RowKind.CREDIT if part.unit_price < 0 else RowKind.AGREED,
        part.title,
        f"{in_units(part.quantity, part.unit).strip()} at {format_price(part.unit_price)}{each}.",
        price,
    )


def _at_unit_price(part: UnitPriceLine) -> ChangeRow:
    """Price a quantity at its unit price; price and taxable part are each rounded to the cent once."""
    signed, quantity = part.unit_price, Fraction(part.quantity)
    rule = f"By its price in {signed.document_name.lower()}"
    if signed.kind == FOUND:
        least = f"at least {in_units(signed.least, signed.unit)}, " if signed.least else ""
        rule = (
            f"{in_units(part.quantity, signed.unit)} at {format_price(signed.price)} {signed.per}, as signed "
            f"in {signed.document_name.lower()} for {least}up to {in_units(signed.most, signed.unit)}"
        )
    return ChangeRow(
        part.key,
        RowKind(signed.kind),
        signed.title,
        f"{rule}.",
        round_cents(quantity * Fraction(signed.price)),
        round_cents(quantity * Fraction(signed.taxable)),
        signed.hours,
        signed.cost,
        unit_price=signed,
        quantity=part.quantity,
    )


def _deleted_work(part: DeletedWork, rules: ContractRules) -> ChangeRow:
    """Return a credit of what is left of the line's price, or a part of it, less what the terms keep."""
    line, keeps = part.line, rules.terms.keeps
    if part.part is not None:
        return _partly_deleted_work(part.key, line, part.part, rules)
    kept = round_cents(Fraction(line.left) * keeps)
    reasons = [f"Its price in {line.document_name.lower()}, {format_price(line.price)}"]
    if line.left != line.price:
        reasons.append(f"less {format_price(line.price - line.left)} credited before")
    if kept:
        reasons.append(f"less {share_in_words(keeps)}, {format_price(kept)}, for planning and ordering")
    taxable = line.taxable_left - round_cents(Fraction(line.taxable_left) * keeps)
    return ChangeRow(
        part.key,
        RowKind.TAKEN_OUT,
        line.title,
        f"{', '.join(reasons)}.",
        kept - line.left,
        -taxable,
        contract_line=line,
    )


def _partly_deleted_work(key: str, line: ContractLine, amount: Decimal, rules: ContractRules) -> ChangeRow:
    """Return a credit of an amount of the line's price; its taxable part goes in proportion."""
    keeps = rules.terms.keeps
    kept = round_cents(Fraction(amount) * keeps)
    rule = f"{format_price(amount)} of its price in {line.document_name.lower()}, {format_price(line.price)}"
    if kept:
        rule += f", less {share_in_words(keeps)}, {format_price(kept)}, for planning and ordering"
    credit = amount - kept
    taxable = round_cents(Fraction(line.taxable_left) * Fraction(credit) / Fraction(line.left))
    rule += ". The rest of it stays."
    return ChangeRow(key, RowKind.PART_OUT, line.title, rule, -credit, -taxable, contract_line=line)


def _owner_furnished(part: OwnerFurnished, rules: ContractRules) -> ChangeRow:
    """Return a credit of the material's cost with its store tax and the markup on both."""
    tax = _store_tax(part.cost, rules)
    markup = round_cents(Fraction(part.cost + tax) * rules.material.share)
    amounts = [f"Material {format_price(part.cost)}"]
    if tax:
        amounts.append(f"sales tax {format_price(tax)}")
    amounts.append(f"markup {format_price(markup)}")
    rule = f"{', '.join(amounts)}, as {part.line.document_name.lower()} holds them. The work on it stays."
    credit = part.cost + tax + markup
    return ChangeRow(part.key, RowKind.BROUGHT, part.title, rule, -credit, -credit, contract_line=part.line)


def _allowance_choice(part: AllowanceChoice, rules: ContractRules) -> ChangeRow:
    """Price a choice against its allowance; the whole of it is taxable."""
    tax = _store_tax(part.cost, rules)
    chosen = part.cost + tax
    shown = f"Chosen {format_price(part.cost)}"
    if tax:
        shown += f" and sales tax {format_price(tax)}"
    against = _at_cost if part.allowance.at_cost else _at_client_price
    amount, compared = against(part.allowance, chosen, rules)
    rule = f"{shown}{compared} {part.late}".rstrip()
    return ChangeRow(
        part.key,
        RowKind.CHOICE,
        part.title,
        rule,
        amount,
        amount,
        cost=chosen,
        contract_line=part.allowance.line,
    )


def _at_cost(allowance: ContractAllowance, chosen: Decimal, rules: ContractRules) -> tuple[Decimal, str]:
    """Return the difference in cost with the terms' markup on it, and the words for it.

    `chosen` includes the store tax; the allowance includes it where it covers tax.
    """
    share = rules.terms.markup.share
    tax = _store_tax(allowance.amount, rules) if allowance.covers_tax else NO_MONEY
    held = allowance.amount + tax
    difference = chosen - held
    markup = round_cents(Fraction(difference) * share)
    with_tax = " with its tax" if tax else ""
    compared = (
        f"; the allowance{with_tax} is {format_price(held)}. The difference is "
        f"{format_price(difference)}, and {share_in_words(share)} of it {format_price(markup)}."
    )
    return difference + markup, compared


def _at_client_price(
    allowance: ContractAllowance, chosen: Decimal, rules: ContractRules
) -> tuple[Decimal, str]:
    """Return the choice with store tax and the terms' markup, less the allowance; and the words for it."""
    share = rules.terms.markup.share
    markup = round_cents(Fraction(chosen) * share)
    compared = (
        f", and {share_in_words(share)} of that {format_price(markup)}, against an allowance of "
        f"{format_price(allowance.amount)}."
    )
    return chosen + markup - allowance.amount, compared


def _fee_and_minimum(rows: Sequence[ChangeRow], rules: ContractRules) -> list[ChangeRow]:
    """Return the fee of a change that adds work, and what it then lacks to the minimum charge."""
    added = [row.price for row in rows if row.kind in ADDS_WORK]
    if not added:
        return []
    terms, charges = rules.terms, []
    if terms.fee:
        rule = "By the terms for changes."
        charges.append(ChangeRow("fee", RowKind.FEE, "Fee for a change", rule, terms.fee))
    missing = terms.minimum - sum(added, NO_MONEY) - terms.fee
    if terms.minimum and missing > 0:
        least = format_price(terms.minimum)
        rule = f"By the terms for changes: a change that adds work comes to at least {least}."
        title = "Up to the minimum charge of a change"
        charges.append(ChangeRow("minimum", RowKind.MINIMUM, title, rule, missing))
    return charges
