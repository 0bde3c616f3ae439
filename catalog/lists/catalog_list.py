"""The five lists of the catalog: what each holds, what it is called, and its addresses."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from django.db import models
from django.db.models import Count, Prefetch

from catalog.models import Assembly, Kit, ListedRow, Material, Operation, Package, Supplier
from catalog.starter.provenance import with_parts


@dataclass(frozen=True)
class CatalogList:
    """A list of the catalog. `kind` is its name in addresses; `page` and `new` are names of addresses."""

    kind: str
    model: type[ListedRow]
    title: str
    meaning: str
    add: str  # words of the link that adds a row
    page: str  # of one row
    new: str  # of the form for a new row
    empty: str  # what to say of an empty list
    rows: Callable[[], models.QuerySet[ListedRow]]

    @property
    def rows_template(self) -> str:
        return f"catalog/lists/_{self.kind}.html"

    @property
    def is_shipped(self) -> bool:
        """Whether the starting catalog has any of these."""
        return self.model is not Supplier

    @property
    def search_url(self) -> str:
        return f"{self.kind}-found"

    @property
    def copy_url(self) -> str:
        """The name of the address that copies a row; empty where rows aren't copied."""
        return f"{self.kind}-copy" if self.model is not Supplier else ""

    @property
    def retire_url(self) -> str:
        return f"{self.kind}-retire"

    @property
    def bring_back_url(self) -> str:
        return f"{self.kind}-bring-back"

    @property
    def delete_url(self) -> str:
        return f"{self.kind}-delete"


def _materials() -> models.QuerySet[Material]:
    """Return materials with all their packages, and with those that aren't retired as `offered_packages`."""
    packages = Package.objects.select_related("supplier")
    offered = packages.filter(retired=False)
    return Material.objects.prefetch_related(
        Prefetch("packages", packages), Prefetch("packages", offered, to_attr="offered_packages")
    )


def _by_kind(*lists: CatalogList) -> Mapping[str, CatalogList]:
    return MappingProxyType({catalog_list.kind: catalog_list for catalog_list in lists})


CATALOG_LISTS = _by_kind(
    CatalogList(
        kind="assemblies",
        model=Assembly,
        title="Assemblies",
        meaning="finished pieces of work, such as a tile floor",
        add="Add an assembly",
        page="assembly",
        new="assembly-new",
        empty="An assembly is a finished piece of work, such as a tile floor: its labor and its materials. "
        "Add one, then say what it is made of.",
        rows=lambda: with_parts(Assembly.objects.annotate(part_count=Count("components"))),
    ),
    CatalogList(
        kind="materials",
        model=Material,
        title="Materials",
        meaning="what you buy, in which package, at what price",
        add="Add a material",
        page="material",
        new="material-new",
        empty="Add what you buy, with the packages it comes in and their prices, or import a price list.",
        rows=_materials,
    ),
    CatalogList(
        kind="operations",
        model=Operation,
        title="Labor",
        meaning="how long each piece of work takes you",
        add="Add labor",
        page="operation",
        new="operation-new",
        empty="Add a piece of labor and the hours it takes, such as 9 hours per 1000 sq ft.",
        rows=Operation.objects.all,
    ),
    CatalogList(
        kind="suppliers",
        model=Supplier,
        title="Suppliers",
        meaning="the stores you buy from",
        add="Add a supplier",
        page="supplier",
        new="supplier-new",
        empty="Add the stores you buy from, so that the shopping list can be sorted by them.",
        rows=lambda: Supplier.objects.annotate(package_count=Count("packages")),
    ),
    CatalogList(
        kind="kits",
        model=Kit,
        title="Kits",
        meaning="several assemblies put on a room in one go",
        add="Add a kit",
        page="kit",
        new="kit-new",
        empty="A kit puts several assemblies on a room in one go, such as everything for a kitchen floor.",
        rows=lambda: Kit.objects.prefetch_related("lines__assembly"),
    ),
)
