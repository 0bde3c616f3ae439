"""The five lists of the catalog: how each is searched, drawn and called."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from django.db import models
from django.db.models import Count, Prefetch
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from catalog.models import Assembly, Bundle, Firm, Material, Operation, Package, Supplier

MOST_ROWS = 200


@dataclass(frozen=True)
class Shelf:
    """A list of the catalog. `kind` is its name in addresses; `one` what a row is called."""

    kind: str
    model: type[models.Model]
    title: str
    meaning: str
    one: str
    add: str
    page: str
    new: str
    empty: str
    rows: Callable[[], models.QuerySet]

    @property
    def rows_template(self) -> str:
        return f"catalog/_{self.kind}.html"

    @property
    def found_url(self) -> str:
        return f"{self.kind}-found"

    @property
    def copy_url(self) -> str:
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


def _materials() -> models.QuerySet:
    packages = Package.objects.offered().select_related("supplier")
    return Material.objects.prefetch_related(Prefetch("packages", packages, to_attr="offered_packages"))


def _by_kind(*shelves: Shelf) -> Mapping[str, Shelf]:
    return MappingProxyType({shelf.kind: shelf for shelf in shelves})


SHELVES = _by_kind(
    Shelf(
        "assemblies",
        Assembly,
        "Assemblies",
        "finished pieces of work, such as a tile floor",
        "assembly",
        "Add an assembly",
        "assembly",
        "assembly-new",
        "An assembly is a finished piece of work, such as a tile floor: its labor and its materials. "
        "Add one, then say what it is made of.",
        lambda: Assembly.objects.annotate(part_count=Count("components")),
    ),
    Shelf(
        "materials",
        Material,
        "Materials",
        "what you buy, in which package, at what price",
        "material",
        "Add a material",
        "material",
        "material-new",
        "Add what you buy, with the packages it comes in and their prices, or take in a price list.",
        _materials,
    ),
    Shelf(
        "operations",
        Operation,
        "Labor",
        "how long each piece of work takes you",
        "piece of labor",
        "Add labor",
        "operation",
        "operation-new",
        "Add a piece of labor and the hours it takes, such as 9 hours per 1000 sq ft.",
        Operation.objects.all,
    ),
    Shelf(
        "suppliers",
        Supplier,
        "Suppliers",
        "the stores you buy from",
        "supplier",
        "Add a supplier",
        "supplier",
        "supplier-new",
        "Add the stores you buy from, so that the shopping list can be sorted by them.",
        lambda: Supplier.objects.annotate(package_count=Count("packages")),
    ),
    Shelf(
        "bundles",
        Bundle,
        "Bundles",
        "several assemblies put on a room in one go",
        "bundle",
        "Add a bundle",
        "bundle",
        "bundle-new",
        "A bundle puts several assemblies on a room in one go, such as everything for a kitchen floor.",
        lambda: Bundle.objects.prefetch_related("assemblies"),
    ),
)


@dataclass(frozen=True)
class Found:
    """The rows that a search gives, and what it asked for."""

    rows: list[models.Model]
    words: str
    retired: bool
    more: bool


def search(shelf: Shelf, words: str, retired: bool) -> Found:
    """Rows whose name has every word, at most MOST_ROWS of them; retired rows apart from the others."""
    rows = shelf.rows().filter(retired=retired).order_by("name")
    for word in words.split():
        rows = rows.filter(name__icontains=word)
    found = list(rows[: MOST_ROWS + 1])
    return Found(found[:MOST_ROWS], words, retired, more=len(found) > MOST_ROWS)


@require_GET
def shelf(request: HttpRequest, kind: str) -> HttpResponse:
    return render(request, "catalog/shelf.html", _context(request, kind))


@require_GET
def shelf_found(request: HttpRequest, kind: str) -> HttpResponse:
    """The rows alone, for the search that runs while he types."""
    return render(request, "catalog/_found.html", _context(request, kind))


def _context(request: HttpRequest, kind: str) -> dict[str, object]:
    chosen = SHELVES[kind]
    words = request.GET.get("words", "")[:100].replace("\0", "")
    return {
        "place": "catalog",
        "shelf": chosen,
        "found": search(chosen, words, bool(request.GET.get("retired"))),
        "firm": Firm.current(),
        "today": timezone.localdate(),
    }
