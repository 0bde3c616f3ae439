"""From hours and purchases to cost, price, tax and total, to the cent.

Every rounding is half-up to the cent, once for each printed figure; a total is the sum of the figures
printed above it and is never computed again from parts that were not rounded.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from math import ceil

from catalog.money.amounts import round_cents, split_cents
from catalog.money.markup import Markup
from estimating.pricing.change_terms import ChangeTerms
from estimating.schedule.day_count import count_days, fewest_runs
from estimating.takeoff.purchasing import PurchaseCosts, cost_in_stock
from estimating.takeoff.takeoff import TakeOff, by_option
from estimating.takeoff.work import NO_MONEY, ZERO, ItemQuantities

PHASE_ORDER = ("protect", "take_out", "rough", "board", "finish", "floor", "set", "trim", "close")


@dataclass(frozen=True)
class Policy:
    """How a job is priced. Rates in dollars an hour; `tax_rate` and `contingency` are shares.

    The contingency is a share of the price of the work, or of what the work costs before markup;
    `contingency_of` is "price" or "cost". Either way it is added to the price as it is.

    `tax_policy` is "consumer" (tax paid at the store is a cost), "materials" (tax on the price of
    taxable materials), "everything" (tax on the whole price) or "none".
    """

    labor_rate: Decimal
    labor: Markup
    material: Markup
    equipment: Markup
    subcontract: Markup
    tax_policy: str = "consumer"
    tax_rate: Fraction = ZERO
    contingency: Fraction = ZERO
    contingency_of: str = "price"
    show_contingency: bool = False
    show_trips: bool = True
    minimum_charge: Decimal = NO_MONEY
    hours_per_day: Fraction = Fraction(7)
    run_hours: Fraction = Fraction(2)
    days_per_run: int = 5
    runs: int | None = None
    visit_hours: Fraction = Fraction(1)
    changes: ChangeTerms = ChangeTerms()


@dataclass(frozen=True)
class AllowanceInput:
    """An allowance: a sum for a choice still open, at cost (tax and markup come on top) or at the client's
    price."""

    key: str
    name: str
    phase: str
    amount: Decimal
    at_cost: bool = True
    covers_tax: bool = True


@dataclass(frozen=True)
class PricedLine:
    """One priced line.

    `client_price` is what the client sees: the price, with its part of a contingency and of the trips where
    these aren't shown apart; that of the trips is then zero.
    """

    key: str
    kind: str  # "work", "option", "allowance", "trips", "contingency" or "minimum"
    title: str
    phase: str
    scope: str = ""
    hours: Decimal = NO_MONEY
    labor_cost: Decimal = NO_MONEY
    purchase_costs: PurchaseCosts = PurchaseCosts()
    material_tax: Decimal = NO_MONEY
    equipment_tax: Decimal = NO_MONEY
    price: Decimal = NO_MONEY
    taxable_price: Decimal = NO_MONEY
    client_price: Decimal = NO_MONEY
    price_by_hand: Decimal | None = None
    parts: tuple["PricedLine", ...] = ()

    @property
    def work_keys(self) -> tuple[str, ...]:
        """The keys of the work that the line prices."""
        return tuple(part.key for part in self.parts) or (self.key,)

    @property
    def material_cost(self) -> Decimal:
        """What the material costs, before tax."""
        return self.purchase_costs.material_taxable + self.purchase_costs.material_untaxed

    @property
    def equipment_cost(self) -> Decimal:
        """What the equipment costs, before tax."""
        return self.purchase_costs.equipment_taxable + self.purchase_costs.equipment_untaxed

    @property
    def store_tax(self) -> Decimal:
        """Sales tax that the firm pays at the store for this line."""
        return self.material_tax + self.equipment_tax

    @property
    def cost(self) -> Decimal:
        """What the line costs the firm."""
        return (
            self.labor_cost
            + self.material_cost
            + self.equipment_cost
            + self.purchase_costs.subcontract
            + self.store_tax
        )


@dataclass(frozen=True)
class Trips:
    """Supply runs and return visits: how many, why, and the hours that they take.

    `planned_days` are the days of the plan, on each of which the firm comes. The hours of a full day carry
    the way there and the setting up; of a day that what must dry leaves half empty they carry half, so it
    is half a return visit. `extra_visits` adds up what is empty of the days before the last, which ends when
    the work does. Hours of work that are added into such a day cost their rate and save their share of a
    visit, which is less as long as a visit takes less than a day: so in the same order of work the price
    doesn't fall. It still can, by a fraction of a visit or by a run, where added hours make the rule that
    plans choose another order; and by a quarter hour's share of a visit, as plans round to quarters.
    """

    runs: int
    planned_days: int
    extra_visits: Decimal
    hours: Decimal


@dataclass(frozen=True)
class PricedEstimate:
    """A job priced.

    `lines` are all that make up the sum, in the order of the work; `options` are not in the sum.
    `contingency_base` is what the contingency is a share of: the price of the work, or its cost.
    `working_days` are the days of the plan, or those that the hours fill with the supply runs in them,
    whichever are more.
    """

    lines: tuple[PricedLine, ...]
    options: tuple[PricedLine, ...]
    trips: Trips
    contingency: Decimal
    contingency_base: Decimal
    subtotal: Decimal
    tax_base: Decimal
    tax: Decimal
    total: Decimal
    cost: Decimal
    hours: Decimal
    working_days: int

    @property
    def profit(self) -> Decimal:
        """What is left of the price, before tax, after cost."""
        return self.subtotal - self.cost

    @property
    def margin(self) -> Fraction:
        """What is left of the price after cost, as a share of the price; zero when nothing is priced."""
        return Fraction(self.profit) / Fraction(self.subtotal) if self.subtotal else ZERO


def round_hours(amount: Fraction) -> Decimal:
    """Round hours, or visits, half-up to a hundredth: those shown times the rate are the labor cost shown."""
    exact = Decimal(amount.numerator) / Decimal(amount.denominator)
    return exact.quantize(Decimal("0.01"), ROUND_HALF_UP)


def price(take_off: TakeOff, policy: Policy, allowances: Sequence[AllowanceInput] = ()) -> PricedEstimate:
    """Price a job: lines, trips, contingency, minimum charge, tax, total.

    The price of a line is labor, material (with the tax paid at the store under the consumer policy),
    equipment and subcontract, each with its markup, summed and rounded half-up to the cent once; or the one
    put in by hand, of which no more than the whole is taxable material.
    Tax charged to the client is computed once on its base and rounded half-up to the cent (a third
    decimal above four rounds up: Streamlined Sales and Use Tax Agreement, section 324).
    """
    in_sum = _with_store_tax(_costs(take_off.items_in_sum, take_off, policy), policy)
    in_sum += [_allowance(allowance, policy) for allowance in allowances]
    trips = _trips(take_off, in_sum, policy)
    if trips.hours:
        in_sum.append(_cost_of_hours("trips", "Supply runs and return visits", trips.hours, policy))
    priced = [_priced(line, policy) for line in in_sum]
    priced.sort(key=lambda line: _order(line.phase))
    work_sum = sum((line.price for line in priced), NO_MONEY)
    costs = sum((line.cost for line in priced), NO_MONEY)
    base = costs if policy.contingency_of == "cost" else work_sum
    contingency = round_cents(Fraction(base) * policy.contingency)
    lines = _with_trips_spread(_with_contingency(priced, contingency, policy), policy)
    lines += _up_to_minimum(work_sum + contingency, bool(lines), policy)
    subtotal = sum((line.client_price for line in lines), NO_MONEY)
    tax_base, tax = _tax(lines, subtotal, policy)
    hours = sum((line.hours for line in lines), NO_MONEY)
    return PricedEstimate(
        lines=tuple(lines),
        options=tuple(_option(items, take_off, policy) for items in by_option(take_off.items)),
        trips=trips,
        contingency=contingency,
        contingency_base=base,
        subtotal=subtotal,
        tax_base=tax_base,
        tax=tax,
        total=subtotal + tax,
        cost=costs,
        hours=hours,
        working_days=max(ceil(Fraction(hours) / policy.hours_per_day), trips.planned_days if hours else 0),
    )


def _order(phase: str) -> int:
    return PHASE_ORDER.index(phase)


def _costs(items: Iterable[ItemQuantities], take_off: TakeOff, policy: Policy) -> list[PricedLine]:
    return [_cost_of_item(item, take_off.purchase_costs[item.work.key], policy) for item in items]


def _option(items: Sequence[ItemQuantities], take_off: TakeOff, policy: Policy) -> PricedLine:
    """Price an option: one line of work, or all lines under its name, which sum to its price."""
    costs = _with_store_tax(_costs(items, take_off, policy), policy)
    parts = [_seen_by_client(_priced(line, policy)) for line in costs]
    name = items[0].work.option_name
    if not name:
        return parts[0]
    summed = (
        "hours",
        "labor_cost",
        "purchase_costs",
        "material_tax",
        "equipment_tax",
        "price",
        "taxable_price",
        "client_price",
    )
    first = parts[0]
    for part in parts[1:]:
        first = replace(first, **{field: getattr(first, field) + getattr(part, field) for field in summed})
    return replace(
        first, key=f"option-{first.key}", title=name, scope="", price_by_hand=None, parts=tuple(parts)
    )


def _cost_of_item(item: ItemQuantities, purchase_costs: PurchaseCosts, policy: Policy) -> PricedLine:
    hours = round_hours(item.hours)
    return PricedLine(
        key=item.work.key,
        kind="option" if item.work.is_option else "work",
        title=item.work.title,
        phase=item.work.phase,
        scope=item.work.scope,
        hours=hours,
        labor_cost=round_cents(hours * policy.labor_rate),
        purchase_costs=purchase_costs,
        price_by_hand=item.work.price_by_hand,
    )


def _cost_of_hours(kind: str, title: str, hours: Decimal, policy: Policy) -> PricedLine:
    return PricedLine(
        key=kind,
        kind=kind,
        title=title,
        phase="close",
        hours=hours,
        labor_cost=round_cents(hours * policy.labor_rate),
    )


def _with_store_tax(lines: list[PricedLine], policy: Policy) -> list[PricedLine]:
    """Put the tax that is paid at the store on the lines, under the consumer policy alone.

    It is computed once on all taxable purchases and split between the lines by largest remainder, so that
    the lines' tax sums to the receipt.
    """
    if policy.tax_policy != "consumer" or not lines:
        return lines
    bases = [line.purchase_costs.material_taxable for line in lines] + [
        line.purchase_costs.equipment_taxable for line in lines
    ]
    tax = round_cents(Fraction(sum(bases, NO_MONEY)) * policy.tax_rate)
    parts = split_cents(tax, [Fraction(base) for base in bases])
    return [
        replace(line, material_tax=material, equipment_tax=equipment)
        for line, material, equipment in zip(lines, parts[: len(lines)], parts[len(lines) :], strict=True)
    ]


def _allowance(allowance: AllowanceInput, policy: Policy) -> PricedLine:
    """Turn an allowance into a line. It is a purchase of its own: under the consumer policy its tax is
    rounded on its own."""
    amount = allowance.amount
    line = PricedLine(allowance.key, "allowance", allowance.name, allowance.phase)
    if not allowance.at_cost:
        cost = round_cents(Fraction(amount) / (1 + policy.material.share))
        return replace(
            line, purchase_costs=PurchaseCosts(material_untaxed=cost), price=amount, taxable_price=amount
        )
    taxed = policy.tax_policy == "consumer" and allowance.covers_tax
    tax = round_cents(Fraction(amount) * policy.tax_rate) if taxed else NO_MONEY
    return replace(line, purchase_costs=PurchaseCosts(material_taxable=amount), material_tax=tax)


def _priced(line: PricedLine, policy: Policy) -> PricedLine:
    if line.price:
        return line
    costs = (
        (policy.labor, line.labor_cost),
        (policy.material, line.material_cost + line.material_tax),
        (policy.equipment, line.equipment_cost + line.equipment_tax),
        (policy.subcontract, line.purchase_costs.subcontract),
    )
    total = sum((markup.on(Fraction(cost)) for markup, cost in costs if cost), ZERO)
    taxable = round_cents(policy.material.on(Fraction(line.purchase_costs.material_taxable)))
    if line.price_by_hand is not None:
        return replace(line, price=line.price_by_hand, taxable_price=min(taxable, line.price_by_hand))
    return replace(line, price=round_cents(total), taxable_price=taxable)


def _seen_by_client(line: PricedLine) -> PricedLine:
    return replace(line, client_price=line.price)


def _with_contingency(lines: list[PricedLine], contingency: Decimal, policy: Policy) -> list[PricedLine]:
    if not contingency or policy.show_contingency:
        shown = [_seen_by_client(line) for line in lines]
        if contingency:
            shown.append(_sum_line("contingency", "Contingency", contingency))
        return shown
    parts = split_cents(contingency, [Fraction(line.price) for line in lines])
    return [replace(line, client_price=line.price + part) for line, part in zip(lines, parts, strict=True)]


def _with_trips_spread(lines: list[PricedLine], policy: Policy) -> list[PricedLine]:
    """Spread what the trips cost over the work, by its price, where they aren't shown.

    An allowance takes none of it, as it is settled by what the client's choice costs, nor does a price that
    was put in by hand.
    """
    works = [
        line for line in lines if line.kind == "work" and line.client_price > 0 and line.price_by_hand is None
    ]
    if policy.show_trips or not works:
        return lines
    trips = sum((line.client_price for line in lines if line.kind == "trips"), NO_MONEY)
    parts = split_cents(trips, [Fraction(line.client_price) for line in works])
    added = dict(zip((line.key for line in works), parts, strict=True))
    return [
        replace(line, client_price=NO_MONEY)
        if line.kind == "trips"
        else replace(line, client_price=line.client_price + added.get(line.key, NO_MONEY))
        for line in lines
    ]


def _up_to_minimum(so_far: Decimal, has_work: bool, policy: Policy) -> list[PricedLine]:
    missing = policy.minimum_charge - so_far
    if not has_work or not policy.minimum_charge or missing <= 0:
        return []
    return [_sum_line("minimum", "Up to the minimum charge for a job", missing)]


def _sum_line(kind: str, title: str, amount: Decimal) -> PricedLine:
    return PricedLine(kind, kind, title, "close", price=amount, client_price=amount)


def _tax(lines: Sequence[PricedLine], subtotal: Decimal, policy: Policy) -> tuple[Decimal, Decimal]:
    bases = {
        "materials": sum((line.taxable_price for line in lines), NO_MONEY),
        "everything": subtotal,
    }
    base = bases.get(policy.tax_policy, NO_MONEY)
    return base, round_cents(Fraction(base) * policy.tax_rate)


def _trips(take_off: TakeOff, lines: Sequence[PricedLine], policy: Policy) -> Trips:
    items, in_stock = take_off.items_in_sum, cost_in_stock(take_off.materials)
    planned = count_days(items, policy.hours_per_day)
    extra = round_hours(planned.left_empty)
    runs = policy.runs
    if runs is None:
        buying = {
            line.key
            for line in lines
            if line.material_cost + line.equipment_cost > in_stock.get(line.key, NO_MONEY)
        }
        most = policy.days_per_run
        keeps = {item.work.key: item.keeps_days or most for item in items}
        needs = [(planned.begins.get(key, 0), min(most, keeps.get(key, most))) for key in buying]
        runs = len(fewest_runs(needs)) if planned.days else 0
    return Trips(
        runs=runs,
        planned_days=planned.days,
        extra_visits=extra,
        hours=round_hours(runs * policy.run_hours + Fraction(extra) * policy.visit_hours),
    )


def by_phase(lines: Sequence[PricedLine]) -> dict[str, Decimal]:
    """Return what the client pays for each phase, in the order of the work; it sums to the subtotal."""
    sums: dict[str, Decimal] = {}
    for line in lines:
        sums[line.phase] = sums.get(line.phase, NO_MONEY) + line.client_price
    return {phase: sums[phase] for phase in sorted(sums, key=_order)}
