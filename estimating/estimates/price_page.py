"""What the Price page shows of a draft: how each figure came about, in words."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from catalog.measures.units import convert, format_percent
from catalog.money.amounts import format_price, round_cents
from catalog.phases import Phase
from estimating.estimates.draft import Draft
from estimating.estimates.work_page import ToBuy, to_buy
from estimating.pricing.price import Line, by_phase

ZERO = Fraction(0)


@dataclass(frozen=True)
class PriceLine:
    """A line with the arithmetic of its price."""

    line: Line
    phase: str
    words: tuple[str, ...]


@dataclass(frozen=True)
class PricePage:
    """`per_floor` is the price by the floor of the rooms that have work in the sum, by the foot or meter
    square that `floor_unit` names; None without any."""

    lines: tuple[PriceLine, ...]
    options: tuple[PriceLine, ...]
    phases: tuple[tuple[str, Decimal], ...]
    to_buy: tuple[ToBuy, ...]
    buying_cost: Decimal
    margin: str
    tax_words: str
    trips_words: str
    per_floor: Decimal | None
    floor_unit: str


def price_page(draft: Draft, metric: bool) -> PricePage:
    priced = draft.priced
    bought = tuple(to_buy(each, metric) for each in draft.take_off.materials)
    floor = _floor_worked_on(draft)
    area = convert(floor, "sq ft", "m2") if metric else floor
    return PricePage(
        lines=tuple(_price_line(line, draft) for line in priced.lines),
        options=tuple(_price_line(line, draft) for line in priced.options),
        phases=tuple((Phase(phase).label, amount) for phase, amount in by_phase(priced.lines).items()),
        to_buy=bought,
        buying_cost=sum((each.cost for each in bought if each.cost is not None), Decimal("0.00")),
        margin=format_percent(priced.margin),
        tax_words=_tax_words(draft),
        trips_words=_trips_words(draft),
        per_floor=round_cents(Fraction(priced.subtotal) / area) if area else None,
        floor_unit="square meter" if metric else "square foot",
    )


def _floor_worked_on(draft: Draft) -> Fraction:
    rooms = {use.room for each in draft.works if not each.is_option for use in each.rooms}
    measured = draft.take_off.room_measures
    return sum((measured[room].values.get("floor", ZERO) for room in rooms if room in measured), ZERO)


def _price_line(line: Line, draft: Draft) -> PriceLine:
    policy = draft.policy
    words = []
    if line.hours:
        words.append(
            f"Labor {line.hours} h × {format_price(policy.labor_rate)} = {format_price(line.labor_cost)},"
            f" {policy.labor.in_words()}"
        )
    kinds = (
        ("Material", line.material_cost, line.material_tax, policy.material),
        ("Equipment", line.equipment_cost, line.equipment_tax, policy.equipment),
        ("Subcontract", line.bought.subcontract, Decimal(0), policy.subcontract),
    )
    for name, cost, tax, markup in kinds:
        if cost:
            with_tax = f" and {format_price(tax)} tax at the store" if tax else ""
            words.append(f"{name} {format_price(cost)}{with_tax}, {markup.in_words()}")
    if line.client_price != line.price:
        words.append(f"Contingency {format_price(line.client_price - line.price)}, not shown to the client")
    return PriceLine(line, Phase(line.phase).label, tuple(words))


def _tax_words(draft: Draft) -> str:
    policy, priced = draft.policy, draft.priced
    rate = f"{Decimal(policy.tax_rate.numerator * 100) / Decimal(policy.tax_rate.denominator):f}%"
    if policy.tax_policy == "consumer":
        paid = sum((line.store_tax for line in priced.lines), Decimal("0.00"))
        return f"You pay {rate} tax at the store: {format_price(paid)} is inside the material."
    if policy.tax_policy == "none":
        return "No sales tax."
    on = "the price of taxable material" if policy.tax_policy == "materials" else "the whole price"
    return f"{rate} on {on}, {format_price(priced.tax_base)}, rounded once."


def _trips_words(draft: Draft) -> str:
    trips = draft.priced.trips
    words = [f"{trips.runs} supply run{'' if trips.runs == 1 else 's'}"]
    if draft.policy.runs is None:
        days = draft.policy.days_per_run
        words[0] += f", one for each {'working day' if days == 1 else f'{days} working days'}"
    if trips.extra_visits:
        words.append(
            f"{trips.visits_forced} visits because something dries overnight, though the hours fill only"
            f" {trips.days_by_hours}: {trips.extra_visits} return visits priced"
        )
    elif trips.visits_forced:
        words.append(f"what dries overnight needs {trips.visits_forced} days, which the work fills anyway")
    return "; ".join(words) + "."
