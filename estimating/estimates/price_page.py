"""The Price page of a draft: its figures, and how each came about, in words."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from catalog.measures.units import convert, format_percent
from catalog.money.amounts import format_price, round_cents
from catalog.money.markup import Markup
from catalog.phases import Phase
from estimating.estimates.draft import Draft
from estimating.estimates.work_page import PurchaseRow, purchase_row
from estimating.plain_text import list_in_words
from estimating.pricing.percentages import tax_rate_in_words
from estimating.pricing.price import PricedLine, by_phase
from estimating.pricing.price_parts import PriceLevel, price_levels
from estimating.takeoff.work import NO_MONEY, ZERO


@dataclass(frozen=True)
class PriceRow:
    """A priced line with the arithmetic of its price, a sentence each."""

    line: PricedLine
    words: tuple[str, ...]


@dataclass(frozen=True)
class PricePhase:
    """The lines of a phase with their sums."""

    label: str
    rows: tuple[PriceRow, ...]
    hours: Decimal
    cost: Decimal
    price: Decimal


@dataclass(frozen=True)
class PricePage:
    """What the Price page shows beside the figures of the priced draft.

    `per_floor` is the price divided by the floor of the rooms that have work in the sum, for one square foot
    or meter, as `floor_unit` names it; None without any floor.
    """

    phases: tuple[PricePhase, ...]
    options: tuple[PriceRow, ...]
    levels: Sequence[PriceLevel]
    purchases: tuple[PurchaseRow, ...]
    buying_cost: Decimal
    stock_cost: Decimal
    margin: str
    tax_words: str
    trips_words: str
    contingency_words: str
    per_floor: Decimal | None
    floor_unit: str


def price_page(draft: Draft, metric: bool, target: Markup | None = None) -> PricePage:
    """Return what the Price page shows of a draft, beside the margin that the firm aims at."""
    priced = draft.priced
    purchases = tuple(purchase_row(line, metric) for line in draft.take_off.materials)
    floor_sqft = _floor_worked_on(draft)
    floor = convert(floor_sqft, "sq ft", "m2") if metric else floor_sqft
    return PricePage(
        phases=tuple(_price_phase(phase, draft) for phase in by_phase(priced.lines)),
        options=tuple(_price_row(line, draft) for line in priced.options),
        levels=price_levels(priced, target),
        purchases=purchases,
        buying_cost=sum((row.cost for row in purchases if row.cost is not None), NO_MONEY),
        stock_cost=sum((line.stock_cost for line in draft.take_off.materials), NO_MONEY),
        margin=format_percent(priced.margin),
        tax_words=_tax_words(draft),
        trips_words=_trips_words(draft),
        contingency_words=_contingency_words(draft),
        per_floor=round_cents(Fraction(priced.subtotal) / floor) if floor else None,
        floor_unit="square meter" if metric else "square foot",
    )


def _price_phase(phase: str, draft: Draft) -> PricePhase:
    lines = [line for line in draft.priced.lines if line.phase == phase]
    return PricePhase(
        label=Phase(phase).label,
        rows=tuple(_price_row(line, draft) for line in lines),
        hours=sum((line.hours for line in lines), NO_MONEY),
        cost=sum((line.cost for line in lines), NO_MONEY),
        price=sum((line.client_price for line in lines), NO_MONEY),
    )


def _floor_worked_on(draft: Draft) -> Fraction:
    """Return the floor, in square feet, of the rooms that have work in the sum."""
    rooms = {use.room for work in draft.works if not work.is_option for use in work.rooms}
    measured = draft.take_off.room_measures
    return sum((measured[room].values.get("floor", ZERO) for room in rooms if room in measured), ZERO)


def _price_row(line: PricedLine, draft: Draft) -> PriceRow:
    policy = draft.policy
    words = [_contingency_words(draft)] if line.kind == "contingency" else []
    if line.hours:
        words.append(
            f"Labor {line.hours} h × {format_price(policy.labor_rate)} = {format_price(line.labor_cost)},"
            f" {policy.labor.in_words()}"
        )
    kinds = (
        ("Material", line.material_cost, line.material_tax, policy.material),
        ("Equipment", line.equipment_cost, line.equipment_tax, policy.equipment),
        ("Subcontract", line.purchase_costs.subcontract, Decimal(0), policy.subcontract),
    )
    for name, cost, tax, markup in kinds:
        if cost:
            with_tax = f" and {format_price(tax)} tax at the store" if tax else ""
            words.append(f"{name} {format_price(cost)}{with_tax}, {markup.in_words()}")
    if line.price_by_hand is not None:
        words.append(f"Price put in by hand: {format_price(line.price)} in place of what these come to")
    if line.kind == "trips" and not line.client_price:
        words.append(f"{format_price(line.price)}, spread over the work on the client's paper")
    elif line.client_price != line.price:
        spread = ["trips"] if not policy.show_trips and line.kind == "work" else []
        spread += ["contingency"] if policy.contingency and not policy.show_contingency else []
        share = format_price(line.client_price - line.price)
        words.append(f"{list_in_words(spread).capitalize()} {share}, not shown to the client")
    return PriceRow(line, tuple(words))


def _tax_words(draft: Draft) -> str:
    policy, priced = draft.policy, draft.priced
    rate = tax_rate_in_words(policy.tax_rate)
    if policy.tax_policy == "consumer":
        paid = sum((line.store_tax for line in priced.lines), NO_MONEY)
        return f"You pay {rate} tax at the store: {format_price(paid)} is inside the material."
    if policy.tax_policy == "none":
        return "No sales tax."
    base = "the price of taxable material" if policy.tax_policy == "materials" else "the whole price"
    return f"{rate} on {base}, {format_price(priced.tax_base)}, rounded once."


def _contingency_words(draft: Draft) -> str:
    """Say what the contingency is a share of and what it comes to; empty where there is none."""
    policy, priced = draft.policy, draft.priced
    if not policy.contingency or not priced.lines:
        return ""
    of_cost = policy.contingency_of == "cost"
    base = "what the work costs you before markup" if of_cost else "the price of the work"
    on_top = ", with no markup on it" if of_cost else ""
    amount, comes_to = format_price(priced.contingency_base), format_price(priced.contingency)
    return f"Contingency: {format_percent(policy.contingency)} of {base}, {amount}, is {comes_to}{on_top}."


def _trips_words(draft: Draft) -> str:
    trips = draft.priced.trips
    words = [f"{trips.runs} supply run{'' if trips.runs == 1 else 's'}"]
    if draft.policy.runs is None:
        days = draft.policy.days_per_run
        words[0] += f", each for what {'a working day needs' if days == 1 else f'{days} working days need'}"
    if trips.extra_visits:
        words.append(
            f"planned on {trips.planned_days} days; what must dry leaves {trips.extra_visits} days of them"
            " empty in all, each priced as a return visit"
        )
    elif trips.planned_days:
        words.append(f"planned on {trips.planned_days} days, which the hours fill")
    return "; ".join(words) + "."
