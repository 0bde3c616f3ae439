"""Price lists put into the catalog, and the catalog read as a price list."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date

from django.db import transaction

from catalog.models import Material, Package, Supplier
from catalog.price_lists.csv_file import PriceList, PriceRow, Refusal, RefusedRow
from catalog.rows.names import code_from

CREATED, UPDATED, UNCHANGED = "created", "updated", "unchanged"


@dataclass(frozen=True)
class Outcome:
    """How many rows were put in, changed something, or said what was known; and those handed back."""

    created: int
    updated: int
    unchanged: int
    refusals: tuple[Refusal, ...]


def price_rows() -> list[PriceRow]:
    """Every material that isn't retired, one row for each of its packages, or one without a package."""
    packages = Package.objects.offered().filter(material__retired=False).order_by("size", "pk")
    by_material: dict[int, list[Package]] = {}
    for package in packages.select_related("supplier"):
        by_material.setdefault(package.material_id, []).append(package)
    return [
        _row_of(material, package)
        for material in Material.objects.offered()
        for package in by_material.get(material.pk, [None])
    ]


def _row_of(material: Material, package: Package | None) -> PriceRow:
    known = (0, material.name, material.unit, material.kind, material.taxable)
    if package is None:
        return PriceRow(*known)
    supplier = package.supplier.name if package.supplier else ""
    return PriceRow(*known, package.name, package.size, package.price.amount, supplier, package.priced_on)


@transaction.atomic
def take_in(price_list: PriceList, today: date) -> Outcome:
    """Put the rows in: new materials, packages and suppliers are made, known ones brought up to date.

    A new or changed price without a date counts as seen today. Rows that don't suit what is stored are
    handed back with the reason; all others are written.
    """
    stored = _Stored(today)
    done: Counter[str] = Counter()
    refusals = list(price_list.refusals)
    for row in price_list.rows:
        try:
            done[stored.take(row)] += 1
        except RefusedRow as error:
            refusals.append(Refusal(row.line, price_list.cells[row.line], str(error)))
    stored.write()
    refusals.sort(key=lambda each: each.line)
    return Outcome(done[CREATED], done[UPDATED], done[UNCHANGED], tuple(refusals))


@dataclass
class _Stored:
    """All materials, packages and suppliers by name, and those that are to be written."""

    today: date
    materials: dict[str, Material] = field(default_factory=dict)
    suppliers: dict[str, Supplier] = field(default_factory=dict)
    packages: dict[tuple[str, str, str], Package] = field(default_factory=dict)
    new: dict[type, list] = field(default_factory=lambda: {Material: [], Supplier: [], Package: []})
    changed: dict[type, dict] = field(default_factory=lambda: {Material: {}, Package: {}})

    def __post_init__(self) -> None:
        self.materials = {each.name.casefold(): each for each in Material.objects.all()}
        self.suppliers = {each.name.casefold(): each for each in Supplier.objects.all()}
        self.codes = {each.code for each in self.materials.values()}
        for each in Package.objects.select_related("material", "supplier"):
            supplier = each.supplier.name if each.supplier else ""
            self.packages[each.material.name.casefold(), each.name.casefold(), supplier.casefold()] = each

    def take(self, row: PriceRow) -> str:
        """Take one row; says what it did. Raises RefusedRow before anything of it is taken."""
        material = self.materials.get(row.material.casefold())
        package = self.packages.get(
            (row.material.casefold(), row.package.casefold(), row.supplier.casefold())
        )
        self._refuse_unfit(row, material, package)
        what = [self._material(row, material)]
        if row.package:
            what.append(self._package(row, package))
        return next((word for word in (CREATED, UPDATED) if word in what), UNCHANGED)

    def _refuse_unfit(self, row: PriceRow, material: Material | None, package: Package | None) -> None:
        if material and material.retired:
            raise RefusedRow(f"{material.name} is retired. Bring it back first.")
        if material and material.unit != row.unit:
            raise RefusedRow(f"{material.name} is counted in {material.unit} here, not in {row.unit}.")
        if package and package.retired:
            raise RefusedRow(f"The package {package.name} is retired. Bring it back first.")

    def _material(self, row: PriceRow, material: Material | None) -> str:
        if material is None:
            code = code_from(row.material, self.codes)
            self.codes.add(code)
            made = Material(code=code, name=row.material, unit=row.unit, kind=row.kind, taxable=row.taxable)
            self.materials[row.material.casefold()] = made
            self.new[Material].append(made)
            return CREATED
        if (material.kind, material.taxable) == (row.kind, row.taxable):
            return UNCHANGED
        material.kind, material.taxable = row.kind, row.taxable
        if material.pk:
            self.changed[Material][material.pk] = material
        return UPDATED

    def _package(self, row: PriceRow, package: Package | None) -> str:
        seen_on = row.priced_on or self.today
        if package is None:
            material = self.materials[row.material.casefold()]
            made = Package(material=material, name=row.package, size=row.holds, price=row.price)
            made.supplier, made.priced_on = self._supplier(row.supplier), seen_on
            self.new[Package].append(made)
            return CREATED
        known = (package.size, package.price.amount)
        if known == (row.holds, row.price) and row.priced_on in (None, package.priced_on):
            return UNCHANGED
        package.size, package.price, package.priced_on = row.holds, row.price, seen_on
        self.changed[Package][package.pk] = package
        return UPDATED

    def _supplier(self, name: str) -> Supplier | None:
        if name and name.casefold() not in self.suppliers:
            self.suppliers[name.casefold()] = Supplier(name=name)
            self.new[Supplier].append(self.suppliers[name.casefold()])
        return self.suppliers.get(name.casefold())

    def write(self) -> None:
        self._create(Material)
        self._create(Supplier)
        self._create(Package)
        Material.objects.bulk_update(self.changed[Material].values(), ["kind", "taxable"], batch_size=200)
        Package.objects.bulk_update(
            self.changed[Package].values(), ["size", "price", "priced_on"], batch_size=200
        )

    def _create(self, model: type) -> None:
        rows: Sequence = self.new[model]
        model.objects.bulk_create(rows, batch_size=200)
