"""The snapshot of a shopping list: what to buy where, in whole packages, and how much will be left over.

For the firm itself, so it shows what things cost. Sums are "1234.50", dates ISO, as in every snapshot.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from catalog.assemblies.package_words import packages_in_words
from catalog.assemblies.packaging import Offer
from catalog.measures.units import format_amount
from estimating.plain_text import day_in_words, money, nonblank_lines
from estimating.pricing.price import AllowanceInput
from estimating.snapshots.estimate import client_materials
from estimating.snapshots.priced_draft import PricedDraft
from estimating.snapshots.wording import ClientMaterial, DocumentParty
from estimating.takeoff.cautions import FOR_THE_WORKER
from estimating.takeoff.purchasing import MaterialLine
from estimating.takeoff.work import NO_MONEY, ItemQuantities

NO_SUPPLIER = "No supplier named"
_KINDS = {"equipment": "rental", "subcontract": "subcontract"}


@dataclass(frozen=True)
class Seller:
    """The supplier of a package; an empty name is nobody in particular."""

    name: str = ""
    phone: str = ""
    note: str = ""


@dataclass(frozen=True)
class PackageFacts:
    """A package as the catalog has it: its name, who sells it, and when it was priced."""

    name: str
    seller: Seller = Seller()
    priced_on: date | None = None
    stale: bool = False


@dataclass(frozen=True)
class ShoppingListHeader:
    """What the list says beside the materials; `packages` are by the key of their offer."""

    firm: DocumentParty
    client: DocumentParty
    job: str
    address: str
    dated: date
    packages: Mapping[str, PackageFacts]
    brought: Sequence[ClientMaterial] = ()
    paper_size: str = "letter"
    metric: bool = False


def shopping_snapshot(head: ShoppingListHeader, draft: PricedDraft) -> dict[str, Any]:
    """Return the list by supplier; options are not on it, and what has no price stands apart."""
    lines = draft.take_off.materials
    suppliers = _by_supplier(head, lines)
    in_sum = {item.work.key: item for item in draft.take_off.items_in_sum}
    return {
        "kind": "shopping list",
        "paper": head.paper_size,
        "title": f"Shopping list: {head.job}",
        "first_line": _first_line(suppliers),
        "firm": head.firm.for_snapshot(),
        "client": head.client.for_snapshot(),
        "job": {"name": head.job, "address": nonblank_lines(head.address)},
        "dated": head.dated.isoformat(),
        "suppliers": suppliers,
        "no_price": [
            {"name": line.material.name, "required": _amount(line.required, line, head)}
            for line in lines
            if line.purchase is None
        ],
        "on_hand": [
            {"name": line.material.name, "amount": _amount(line.from_stock, line, head)}
            for line in lines
            if line.from_stock
        ],
        "total": money(_sum(lines)),
        "client_brings": client_materials(
            [material for material in head.brought if material.work in in_sum], in_sum, head.metric
        ),
        "sums": list(_lump_sums(in_sum.values(), draft.allowances)),
        "cautions": _cautions(lines),
    }


def _cautions(lines: Iterable[MaterialLine]) -> list[dict[str, str]]:
    """Return the cautions of the materials, each once, with the materials that it is about."""
    materials: dict[str, list[str]] = {}
    for line in lines:
        for text in filter(None, line.material.caution.splitlines()):
            materials.setdefault(text.removeprefix(FOR_THE_WORKER), []).append(line.material.name)
    return [{"text": text, "materials": "; ".join(names)} for text, names in materials.items()]


def _sum(lines: Iterable[MaterialLine]) -> Decimal:
    return sum((line.purchase.cost for line in lines if line.purchase), NO_MONEY)


def _first_line(suppliers: Sequence[Mapping[str, Any]]) -> str:
    rows = sum(len(supplier["rows"]) for supplier in suppliers)
    if not rows:
        return "There is nothing to buy for this job."
    things = "1 thing" if rows == 1 else f"{rows} things"
    places = "1 place" if len(suppliers) == 1 else f"{len(suppliers)} places"
    return f"{things} to get at {places}, in whole packages for the whole job. Prices are before sales tax."


def _by_supplier(head: ShoppingListHeader, lines: Iterable[MaterialLine]) -> list[dict[str, Any]]:
    """Return the suppliers by name, those without a name last, each with its rows.

    A material that is bought in two places has a row in each.
    """
    rows: dict[Seller, list[tuple[Decimal, dict[str, Any]]]] = {}
    for line in lines:
        for seller, counts in _counts_by_seller(head, line).items():
            cost = sum((offer.price * count for offer, count in counts), NO_MONEY)
            rows.setdefault(seller, []).append((cost, _row(head, line, counts, cost)))
    ordered = sorted(rows, key=lambda seller: (not seller.name, seller.name.casefold()))
    return [
        {
            "name": seller.name or NO_SUPPLIER,
            "phone": seller.phone,
            "note": nonblank_lines(seller.note),
            "rows": [row for _, row in rows[seller]],
            "total": money(sum((cost for cost, _ in rows[seller]), NO_MONEY)),
        }
        for seller in ordered
    ]


def _counts_by_seller(head: ShoppingListHeader, line: MaterialLine) -> dict[Seller, list[tuple[Offer, int]]]:
    by_seller: dict[Seller, list[tuple[Offer, int]]] = {}
    for offer, count in line.purchase.counts if line.purchase else ():
        by_seller.setdefault(head.packages[offer.key].seller, []).append((offer, count))
    return by_seller


def _row(
    head: ShoppingListHeader, line: MaterialLine, counts: Sequence[tuple[Offer, int]], cost: Decimal
) -> dict[str, Any]:
    return {
        "name": line.material.name,
        "kind": _KINDS.get(line.material.kind, ""),
        "required": _amount(line.required, line, head),
        "left_over": _left_over(line, head),
        "on_hand": _amount(line.from_stock, line, head) if line.from_stock else "",
        "why": line.why_sticks(head.metric) if line.differs else "",
        "elsewhere": "the rest comes from elsewhere" if _in_part(line, counts) else "",
        "packages": [
            {
                "words": packages_in_words(count, head.packages[offer.key].name),
                "price": money(offer.price),
                "cost": money(offer.price * count),
                "old_price": _old_price(head.packages[offer.key]),
            }
            for offer, count in counts
        ],
        "cost": money(cost),
    }


def _in_part(line: MaterialLine, counts: Sequence[tuple[Offer, int]]) -> bool:
    return line.purchase is not None and len(counts) < len(line.purchase.counts)


def _amount(quantity: Fraction, line: MaterialLine, head: ShoppingListHeader) -> str:
    return format_amount(quantity, line.material.unit, head.metric)


def _left_over(line: MaterialLine, head: ShoppingListHeader) -> str:
    left_over = line.purchase.left_over if line.purchase else Fraction(0)
    return _amount(left_over, line, head) if left_over else "nothing"


def _old_price(package: PackageFacts) -> str:
    if not package.stale:
        return ""
    seen = f"from {day_in_words(package.priced_on)}" if package.priced_on else "of no known date"
    return f"old price, {seen}: ask again"


def _lump_sums(
    items: Iterable[ItemQuantities], allowances: Iterable[AllowanceInput]
) -> Iterator[dict[str, str]]:
    """Yield what the estimate holds money for without saying what to buy: costs on work, and allowances."""
    for item in items:
        amount = item.work.material_cost + item.work.equipment_cost + item.work.subcontract_cost
        if amount:
            yield {"name": item.work.title, "amount": money(amount)}
    for allowance in allowances:
        yield {"name": f"Allowance: {allowance.name}", "amount": money(allowance.amount)}
