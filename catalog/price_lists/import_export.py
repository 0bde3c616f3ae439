"""Price lists imported into the catalog, and the catalog exported as a price list."""

from collections import Counter
from dataclasses import dataclass, field
from datetime import date

from django.db import transaction

from catalog.models import Material, Package, Supplier
from catalog.price_lists.csv_file import PriceList, PriceRow, Refusal, RefusedRow
from catalog.rows.names import code_from

CREATED, UPDATED, UNCHANGED = "created", "updated", "unchanged"
_BATCH_SIZE = 200


@dataclass(frozen=True)
class ImportReport:
    """How many rows made something new, changed something, or changed nothing; and the rows refused."""

    created: int
    updated: int
    unchanged: int
    refusals: tuple[Refusal, ...]


def price_rows() -> list[PriceRow]:
    """Return every material that isn't retired: a row for each of its packages, or one without a package."""
    packages = Package.objects.offered().filter(material__retired=False).order_by("size", "pk")
    by_material: dict[int, list[Package | None]] = {}
    for package in packages.select_related("supplier"):
        by_material.setdefault(package.material_id, []).append(package)
    return [
        _price_row(material, package)
        for material in Material.objects.offered()
        for package in by_material.get(material.pk, [None])
    ]


def _price_row(material: Material, package: Package | None) -> PriceRow:
    known = (0, material.name, material.unit, material.kind, material.taxable)
    if package is None:
        return PriceRow(*known)
    supplier = package.supplier.name if package.supplier else ""
    return PriceRow(*known, package.name, package.size, package.price.amount, supplier, package.priced_on)


@transaction.atomic
def import_prices(price_list: PriceList, today: date) -> ImportReport:
    """Create the materials, packages and suppliers that are new, and bring known ones up to date.

    A new or changed price without a date counts as seen today. Rows that don't suit what is stored are
    refused with the reason; all others are written.
    """
    importing = _Import(today)
    effects: Counter[str] = Counter()
    refusals = list(price_list.refusals)
    for row in price_list.rows:
        try:
            effects[importing.add(row)] += 1
        except RefusedRow as error:
            refusals.append(Refusal(row.line, price_list.cells[row.line], str(error)))
    importing.write()
    refusals.sort(key=lambda refusal: refusal.line)
    return ImportReport(effects[CREATED], effects[UPDATED], effects[UNCHANGED], tuple(refusals))


@dataclass
class _Import:
    """All stored materials, packages and suppliers by name, and those that are to be written."""

    today: date
    materials: dict[str, Material] = field(default_factory=dict)
    suppliers: dict[str, Supplier] = field(default_factory=dict)
    packages: dict[tuple[str, str, str], Package] = field(default_factory=dict)
    new_materials: list[Material] = field(default_factory=list)
    new_suppliers: list[Supplier] = field(default_factory=list)
    new_packages: list[Package] = field(default_factory=list)
    changed_materials: dict[int, Material] = field(default_factory=dict)
    changed_packages: dict[int, Package] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.materials = {material.name.casefold(): material for material in Material.objects.all()}
        self.suppliers = {supplier.name.casefold(): supplier for supplier in Supplier.objects.all()}
        self.codes = {material.code for material in self.materials.values()}
        for package in Package.objects.select_related("material", "supplier"):
            supplier = package.supplier.name if package.supplier else ""
            key = (package.material.name.casefold(), package.name.casefold(), supplier.casefold())
            self.packages[key] = package

    def add(self, row: PriceRow) -> str:
        """Note what a row creates or changes, and return which of both it does.

        Raises RefusedRow before anything of the row is noted.
        """
        material = self.materials.get(row.material.casefold())
        package = self.packages.get(
            (row.material.casefold(), row.package.casefold(), row.supplier.casefold())
        )
        self._refuse_unfit(row, material, package)
        effects = [self._material(row, material)]
        if row.package:
            effects.append(self._package(row, package))
        return next((effect for effect in (CREATED, UPDATED) if effect in effects), UNCHANGED)

    def _refuse_unfit(self, row: PriceRow, material: Material | None, package: Package | None) -> None:
        if material and material.retired:
            raise RefusedRow(f"{material.name} is hidden. Bring it back first.")
        if material and material.unit != row.unit:
            raise RefusedRow(f"{material.name} is counted in {material.unit} here, not in {row.unit}.")
        if package and package.retired:
            raise RefusedRow(f"The package {package.name} is hidden. Bring it back first.")

    def _material(self, row: PriceRow, material: Material | None) -> str:
        if material is None:
            code = code_from(row.material, self.codes)
            self.codes.add(code)
            new = Material(code=code, name=row.material, unit=row.unit, kind=row.kind, taxable=row.taxable)
            self.materials[row.material.casefold()] = new
            self.new_materials.append(new)
            return CREATED
        if (material.kind, material.taxable) == (row.kind, row.taxable):
            return UNCHANGED
        material.kind, material.taxable = row.kind, row.taxable
        if material.pk:
            self.changed_materials[material.pk] = material
        return UPDATED

    def _package(self, row: PriceRow, package: Package | None) -> str:
        seen_on = row.priced_on or self.today
        if package is None:
            material = self.materials[row.material.casefold()]
            new = Package(material=material, name=row.package, size=row.holds, price=row.price)
            new.supplier, new.priced_on = self._supplier(row.supplier), seen_on
            self.new_packages.append(new)
            return CREATED
        known = (package.size, package.price.amount)
        if known == (row.holds, row.price) and row.priced_on in (None, package.priced_on):
            return UNCHANGED
        package.size, package.price, package.priced_on = row.holds, row.price, seen_on
        package.estimated_by = ""
        self.changed_packages[package.pk] = package
        return UPDATED

    def _supplier(self, name: str) -> Supplier | None:
        if name and name.casefold() not in self.suppliers:
            self.suppliers[name.casefold()] = Supplier(name=name)
            self.new_suppliers.append(self.suppliers[name.casefold()])
        return self.suppliers.get(name.casefold())

    def write(self) -> None:
        """Write all that is noted."""
        Material.objects.bulk_create(self.new_materials, batch_size=_BATCH_SIZE)
        Supplier.objects.bulk_create(self.new_suppliers, batch_size=_BATCH_SIZE)
        Package.objects.bulk_create(self.new_packages, batch_size=_BATCH_SIZE)
        Material.objects.bulk_update(
            self.changed_materials.values(), ["kind", "taxable"], batch_size=_BATCH_SIZE
        )
        Package.objects.bulk_update(
            self.changed_packages.values(),
            ["size", "price", "priced_on", "estimated_by"],
            batch_size=_BATCH_SIZE,
        )
