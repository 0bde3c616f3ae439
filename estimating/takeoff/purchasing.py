"""Whole packages and sticks for all that the work items require, and each item's part of their cost."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from catalog.assemblies.packaging import Purchase, UnusableOffers, cover
from catalog.assemblies.specs import MaterialSpec
from catalog.money.amounts import round_cents, split_cents
from estimating.linear_stock.cut_list import CutList, differ, sticks_in_words, why
from estimating.linear_stock.pieces import CannotCut
from estimating.linear_stock.purchasing import StickUse, buy_for_pieces
from estimating.rooms.plan import RoomPlan
from estimating.takeoff.work import NO_MONEY, ZERO, ItemQuantities

NOTHING: Mapping[str, Fraction] = {}  # on hand


@dataclass(frozen=True)
class PurchaseCosts:
    """What a work item's part of the purchases costs, before tax, in whole cents."""

    material_taxable: Decimal = NO_MONEY
    material_untaxed: Decimal = NO_MONEY
    equipment_taxable: Decimal = NO_MONEY
    equipment_untaxed: Decimal = NO_MONEY
    subcontract: Decimal = NO_MONEY

    def __add__(self, other: "PurchaseCosts") -> "PurchaseCosts":
        return PurchaseCosts(
            self.material_taxable + other.material_taxable,
            self.material_untaxed + other.material_untaxed,
            self.equipment_taxable + other.equipment_taxable,
            self.equipment_untaxed + other.equipment_untaxed,
            self.subcontract + other.subcontract,
        )


@dataclass(frozen=True)
class MaterialLine:
    """One material over the whole job: what is required, what is bought, and for which work items.

    `by_work` and `cost_by_work` are by the key of the work item. Without a purchase, `problem` says in a
    plain sentence why there is none. What is on hand is used first: `from_stock` of what is required comes
    from it and costs `stock_cost`, its part of the package that is cheapest by the unit. A material in sticks
    is bought by its cut list, `cuts`: `required` is then the length of the pieces, and `by_length` is what
    length and waste alone would buy. Where all of it, or what some work asks for, had to be bought by
    length, `not_cut` says why.
    """

    material: MaterialSpec
    required: Fraction
    purchase: Purchase | None
    by_work: Mapping[str, Fraction]
    cost_by_work: Mapping[str, Decimal]
    problem: str = ""
    cuts: CutList | None = None
    by_length: Purchase | None = None
    not_cut: str = ""
    from_stock: Fraction = ZERO
    stock_cost: Decimal = NO_MONEY

    @property
    def cost(self) -> Decimal | None:
        """What is bought and what comes from stock, before tax; None where there is no price."""
        return self.purchase.cost + self.stock_cost if self.purchase else None

    @property
    def differs(self) -> bool:
        """Whether its cut list buys other sticks than length alone."""
        return bool(self.cuts and self.by_length and differ(self.cuts, self.by_length))

    def sticks_bought(self) -> str:
        """Return such as "8 sticks; length alone says 7."; empty for what isn't bought by a cut list."""
        if not (self.cuts and self.by_length):
            return ""
        plain = self.by_length.package_count
        alone = f"length alone says {plain}" if self.differs else "as many as length alone says"
        return f"{sticks_in_words(self.cuts.count)}{'; ' if self.differs else ', '}{alone}."

    def why_sticks(self, metric: bool = False) -> str:
        """Say in a sentence why these sticks are bought; empty for what isn't sold in sticks."""
        sentences = [why(self.cuts, self.by_length, metric)] if self.cuts and self.by_length else []
        if self.not_cut:
            sentences.append(f"{'The rest is bought' if sentences else 'Bought'} by length. {self.not_cut}")
        return " ".join(sentences)


def buy(
    items: Sequence[ItemQuantities], plans: Mapping[str, RoomPlan], on_hand: Mapping[str, Fraction] = NOTHING
) -> list[MaterialLine]:
    """Pool what these work items require and cover it by whole packages at the least cost, found exactly.

    What is on hand, by the code of the material and in its unit, is used first. The lines come in the order
    of the materials' names. What is sold in sticks is bought by its cut list, less the whole sticks on hand.
    """
    materials: dict[str, MaterialSpec] = {}
    by_material: dict[str, dict[str, Fraction]] = defaultdict(dict)
    for item in items:
        for requirement in item.requirements:
            if isinstance(requirement.use, MaterialSpec):
                materials[requirement.use.code] = requirement.use
        for code, quantity in item.materials().items():
            by_material[code][item.work.key] = quantity
    lines = []
    for code, by_work in by_material.items():
        stock = on_hand.get(code, ZERO)
        line = _line_by_quantity(materials[code], by_work, stock)
        if line.purchase and line.material.stick:
            used_by = [item for item in items if item.work.key in by_work]
            line = _line_by_cut_list(line, used_by, plans, stock)
        lines.append(line)
    return sorted(lines, key=lambda line: line.material.name)


def _line_by_quantity(
    material: MaterialSpec, by_work: Mapping[str, Fraction], stock: Fraction
) -> MaterialLine:
    """Buy a material by the quantity that is required, less what is on hand."""
    required = sum(by_work.values(), ZERO)
    purchase, problem = _purchase(material, required, stock)
    line = MaterialLine(material, required, purchase, by_work, dict.fromkeys(by_work, NO_MONEY), problem)
    return _charged(line, min(required, stock))


def _charged(line: MaterialLine, from_stock: Fraction) -> MaterialLine:
    """Return a line with what it takes from stock, its whole cost split between the work items."""
    if line.purchase is None:
        return line
    each = min(Fraction(offer.price) / offer.size for offer in line.material.offers)
    stock_cost = round_cents(from_stock * each)
    cost_by_work = _split(line.purchase.cost + stock_cost, line.by_work)
    return replace(line, from_stock=from_stock, stock_cost=stock_cost, cost_by_work=cost_by_work)


def _line_by_cut_list(
    line: MaterialLine, items: Iterable[ItemQuantities], plans: Mapping[str, RoomPlan], stock: Fraction
) -> MaterialLine:
    """Buy a material that is sold in sticks by its cut list instead.

    Where it can't be cut, the line stays as it is and says why.
    """
    uses = [
        StickUse(
            work=item.work.key,
            title=item.work.title,
            requirements=tuple(
                requirement for requirement in item.requirements if requirement.use == line.material
            ),
            measures=item.measures,
            by_hand=frozenset(override.measure for override in item.work.overrides),
            rooms=tuple((plans[use.room], use.walls) for use in item.work.rooms),
        )
        for item in items
    ]
    try:
        cut = buy_for_pieces(line.material, uses)
    except CannotCut as error:
        return replace(line, not_cut=str(error))
    purchase, from_stock = _less_whole_sticks(cut.purchase, stock)
    by_list = replace(
        line,
        required=cut.purchase.required,
        purchase=purchase,
        by_work=cut.by_work,
        cuts=cut.cuts,
        by_length=cut.by_length,
        not_cut=" ".join(cut.not_cut),
    )
    return _charged(by_list, from_stock)


def _less_whole_sticks(purchase: Purchase, stock_ft: Fraction) -> tuple[Purchase, Fraction]:
    """Return the purchase without the sticks that are on hand, and their feet.

    A stock of so many feet is taken to be whole sticks of the lengths in the list, the longest first.
    """
    counts, left = [], stock_ft
    for offer, number in purchase.counts:
        taken = min(number, left // offer.size)
        left -= taken * offer.size
        if number > taken:
            counts.append((offer, int(number - taken)))
    bought = sum((offer.size * number for offer, number in counts), ZERO)
    less = replace(
        purchase,
        counts=tuple(counts),
        cost=sum((offer.price * number for offer, number in counts), NO_MONEY),
        bought=bought,
        package_count=sum(number for _, number in counts),
    )
    return less, purchase.bought - bought


def _split(cost: Decimal, by_work: Mapping[str, Fraction]) -> dict[str, Decimal]:
    """Split a cost between work items, in proportion to what each requires."""
    return dict(zip(by_work, split_cents(cost, list(by_work.values())), strict=True))


def _purchase(material: MaterialSpec, required: Fraction, stock: Fraction) -> tuple[Purchase | None, str]:
    """Return the cheapest packages, or none and the reason."""
    if not material.offers:
        return None, f"{material.name} has no price: give it a package in the catalog."
    try:
        return cover(required, material.offers, stock), ""
    except UnusableOffers as error:
        return None, f"{material.name}: {error}"


def cost_in_stock(lines: Iterable[MaterialLine]) -> dict[str, Decimal]:
    """Return what each work item takes of materials of which nothing has to be bought, in dollars, by its
    key."""
    sums: dict[str, Decimal] = defaultdict(lambda: NO_MONEY)
    for line in lines:
        if line.from_stock and line.purchase and not line.purchase.counts:
            for key, cost in line.cost_by_work.items():
                sums[key] += cost
    return dict(sums)


def purchase_costs_of(
    items: Iterable[ItemQuantities], lines: Iterable[MaterialLine]
) -> dict[str, PurchaseCosts]:
    """Add up the costs of each work item by its key: its part of the packages, and costs as entered."""
    sums: dict[str, dict[str, Decimal]] = {
        work.key: {
            "material_taxable" if work.material_taxable else "material_untaxed": work.material_cost,
            "equipment_untaxed": work.equipment_cost,
            "subcontract": work.subcontract_cost,
        }
        for work in (item.work for item in items)
    }
    for line in lines:
        kind = line.material.kind
        if kind != "subcontract":
            kind = f"{kind}_{'taxable' if line.material.taxable else 'untaxed'}"
        for key, cost in line.cost_by_work.items():
            sums[key][kind] = sums[key].get(kind, NO_MONEY) + cost
    return {key: PurchaseCosts(**by_kind) for key, by_kind in sums.items()}
