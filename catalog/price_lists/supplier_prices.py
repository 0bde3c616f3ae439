"""A supplier's prices beside the packages of the catalog: found, asked about, and taken where he says so."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from catalog.models import Package, Supplier, SupplierItem
from catalog.money.price_change import question_about
from catalog.price_lists.any_file import OfferedPrice, unit_question


@dataclass(frozen=True)
class Beside:
    """A line of the file beside the package it is for; `questions` say what to look at before it is taken."""

    offered: OfferedPrice
    package: Package | None
    questions: tuple[str, ...]

    @property
    def changes(self) -> bool:
        return self.package is not None and self.offered.price != self.package.price.amount


def packages_by_name() -> dict[str, Package]:
    """Return the packages that are bought, by "material, package" as people write it."""
    rows = Package.objects.offered().filter(material__retired=False).select_related("material")
    return {f"{row.material.name}, {row.name}".casefold(): row for row in rows}


def beside(
    offered: Iterable[OfferedPrice], supplier: Supplier, chosen: Mapping[str, Package | None]
) -> list[Beside]:
    """Return each line beside its package: the one chosen now, else remembered, else of the same name.

    A material's name alone is enough where it is bought in one package.
    """
    known = {item.key: item.package for item in supplier.items.select_related("package__material")}
    by_name = packages_by_name()
    only: dict[str, list[Package]] = {}
    for package in by_name.values():
        only.setdefault(package.material.name.casefold(), []).append(package)
    rows = []
    for row in offered:
        alone = only.get(row.words.casefold(), [])
        found = chosen.get(row.key) or known.get(row.key) or by_name.get(row.words.casefold())
        found = found or (alone[0] if len(alone) == 1 else None)
        rows.append(Beside(row, found, tuple(_questions(row, found))))
    return rows


def _questions(row: OfferedPrice, package: Package | None) -> Iterable[str]:
    if row.problem:
        yield row.problem
    if package is None or row.price is None:
        return
    if change := question_about(package.price.amount, row.price):
        yield change
    if unit := unit_question(row.unit, package.name):
        yield unit


def take(rows: Iterable[Beside], right: Collection[int], supplier: Supplier, today: date) -> tuple[int, int]:
    """Put the prices on their packages and remember what the supplier calls them.

    A line with a question is taken only where its line is among `right`. Returns how many prices were put on,
    and how many lines were left.
    """
    taken, left = 0, 0
    for row in rows:
        price = row.offered.price
        if row.package is None or price is None or (row.questions and row.offered.line not in right):
            left += 1
            continue
        package = row.package
        package.price, package.priced_on, package.estimated_by = price, today, ""
        package.supplier = package.supplier or supplier
        package.save(update_fields=["price", "price_currency", "priced_on", "estimated_by", "supplier"])
        SupplierItem.objects.update_or_create(
            supplier=supplier, key=row.offered.key, defaults={"package": package}
        )
        taken += 1
    return taken, left
