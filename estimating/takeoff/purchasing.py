"""Whole packages and sticks for all that the work items require, and each item's share of their cost."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from catalog.assemblies.expansion import MaterialSpec
from catalog.assemblies.packaging import Purchase, UnusableOffers, cover
from catalog.money.amounts import split_cents
from estimating.linear_stock.cut_list import CutList, differ, sticks_in_words, why
from estimating.linear_stock.pieces import CannotCut
from estimating.linear_stock.purchasing import StickUse, buy_for_pieces
from estimating.rooms.plan import RoomPlan
from estimating.takeoff.work import NO_MONEY, ZERO, Taken


@dataclass(frozen=True)
class Bought:
    """What one work item's share of the purchases costs, before tax, in whole cents."""

    material_taxable: Decimal = NO_MONEY
    material_untaxed: Decimal = NO_MONEY
    equipment_taxable: Decimal = NO_MONEY
    equipment_untaxed: Decimal = NO_MONEY
    subcontract: Decimal = NO_MONEY


@dataclass(frozen=True)
class MaterialLine:
    """One material over the whole job: what is required, what is bought, and for which work items.

    Without a purchase, `problem` says in a plain sentence why there is none. A material in sticks is
    bought by its cut list, `cuts`: required is then the length of the pieces, and `by_length` what length
    and waste alone would buy. Where all of it, or what some work asks for, had to be bought by length,
    `not_cut` says why.
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

    @property
    def differs(self) -> bool:
        """Whether its cut list buys other sticks than length alone."""
        return bool(self.cuts and self.by_length and differ(self.cuts, self.by_length))

    def sticks_bought(self) -> str:
        """Such as "8 sticks; length alone says 7."; empty for what isn't bought by a cut list."""
        if not (self.cuts and self.by_length):
            return ""
        plain = self.by_length.package_count
        alone = f"length alone says {plain}" if self.differs else "as many as length alone says"
        return f"{sticks_in_words(self.cuts.count)}{'; ' if self.differs else ', '}{alone}."

    def why_sticks(self, metric: bool = False) -> str:
        """Why these sticks are bought, in a sentence; empty for what isn't sold in sticks."""
        said = [why(self.cuts, self.by_length, metric)] if self.cuts and self.by_length else []
        if self.not_cut:
            said.append(f"{'The rest is bought' if said else 'Bought'} by length. {self.not_cut}")
        return " ".join(said)


def buy(taken: Sequence[Taken], plans: Mapping[str, RoomPlan]) -> list[MaterialLine]:
    """Pool what these work items require and cover it by whole packages, cheapest first found exactly."""
    materials: dict[str, MaterialSpec] = {}
    by_work: dict[str, dict[str, Fraction]] = defaultdict(dict)
    for one in taken:
        for each in one.requirements:
            if isinstance(each.use, MaterialSpec):
                materials[each.use.code] = each.use
        for code, quantity in one.materials().items():
            by_work[code][one.work.key] = quantity
    lines = []
    for code, wanted in by_work.items():
        line = _line(materials[code], wanted)
        if line.purchase and line.material.stick:
            line = _cut_line(line, [one for one in taken if one.work.key in wanted], plans)
        lines.append(line)
    return sorted(lines, key=lambda line: line.material.name)


def _line(material: MaterialSpec, wanted: Mapping[str, Fraction]) -> MaterialLine:
    """A material bought by quantity."""
    required = sum(wanted.values(), ZERO)
    purchase, problem = _purchase(material, required)
    cost_by_work = _split(purchase, wanted) if purchase else dict.fromkeys(wanted, NO_MONEY)
    return MaterialLine(material, required, purchase, wanted, cost_by_work, problem)


def _cut_line(line: MaterialLine, taken: Iterable[Taken], plans: Mapping[str, RoomPlan]) -> MaterialLine:
    """The same bought by a cut list; as it is, with the reason, where there can be none."""
    uses = [
        StickUse(
            work=one.work.key,
            title=one.work.title,
            requirements=tuple(each for each in one.requirements if each.use == line.material),
            measures=one.measures,
            by_hand=frozenset(each.measure for each in one.work.overrides),
            rooms=tuple((plans[use.room], use.walls) for use in one.work.rooms),
        )
        for one in taken
    ]
    try:
        cut = buy_for_pieces(line.material, uses)
    except CannotCut as error:
        return replace(line, not_cut=str(error))
    return replace(
        line,
        required=cut.purchase.required,
        purchase=cut.purchase,
        by_work=cut.by_work,
        cost_by_work=_split(cut.purchase, cut.by_work),
        cuts=cut.cuts,
        by_length=cut.by_length,
        not_cut=" ".join(cut.not_cut),
    )


def _split(purchase: Purchase, wanted: Mapping[str, Fraction]) -> dict[str, Decimal]:
    return dict(zip(wanted, split_cents(purchase.cost, list(wanted.values())), strict=True))


def _purchase(material: MaterialSpec, required: Fraction) -> tuple[Purchase | None, str]:
    """The cheapest packages, or none and the reason."""
    if not material.offers:
        return None, f"{material.name} has no price: give it a package in the catalog."
    try:
        return cover(required, material.offers), ""
    except UnusableOffers as error:
        return None, f"{material.name}: {error}"


def shares(taken: Iterable[Taken], lines: Iterable[MaterialLine]) -> dict[str, Bought]:
    """What each work item's purchases cost by kind: its share of the packages, and costs as entered."""
    sums: dict[str, dict[str, Decimal]] = {
        one.work.key: {
            "material_taxable" if one.work.material_taxable else "material_untaxed": one.work.material_cost,
            "equipment_untaxed": one.work.equipment_cost,
            "subcontract": one.work.subcontract_cost,
        }
        for one in taken
    }
    for line in lines:
        kind = line.material.kind
        if kind != "subcontract":
            kind = f"{kind}_{'taxable' if line.material.taxable else 'untaxed'}"
        for key, cost in line.cost_by_work.items():
            sums[key][kind] = sums[key].get(kind, NO_MONEY) + cost
    return {key: Bought(**by_kind) for key, by_kind in sums.items()}
