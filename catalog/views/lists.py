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
from catalog.phases import Phase
from catalog.starter.provenance import mark_of, with_parts

MOST_ROWS = 200
MANY_ROWS = 40


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
        return f"catalog/lists/_{self.kind}.html"

    @property
    def is_shipped(self) -> bool:
        """Whether the starting catalog has any of these."""
        return hasattr(self.model, "shipped")

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
    packages = Package.objects.select_related("supplier")
    offered = packages.filter(retired=False)
    return Material.objects.prefetch_related(
        Prefetch("packages", packages), Prefetch("packages", offered, to_attr="offered_packages")
    )


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
        lambda: with_parts(Assembly.objects.annotate(part_count=Count("components"))),
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
        lambda: Bundle.objects.prefetch_related("lines__assembly"),
    ),
)


@dataclass(frozen=True)
class Asked:
    """What a search asks for: words in the name; retired rows instead of the others; only what the firm
    changed or made itself."""

    words: str = ""
    retired: bool = False
    changed: bool = False


@dataclass(frozen=True)
class Found:
    """The rows that a search gives, each with what the firm has made of it in words."""

    rows: list[tuple[models.Model, str]]
    asked: Asked
    more: bool

    @property
    def groups(self) -> list[tuple[str, list[tuple[models.Model, str]]]]:
        """The rows under headings: assemblies by phase, anything else by its first letter; all of them under
        none where there are too few to jump about in."""
        if len(self.rows) < MANY_ROWS:
            return [("", self.rows)]
        groups: dict[str, list[tuple[models.Model, str]]] = {}
        for row, mark in self.rows:
            heading = row.get_phase_display() if isinstance(row, Assembly) else row.name[0].upper()
            groups.setdefault(heading, []).append((row, mark))
        if isinstance(self.rows[0][0], Assembly):
            return [(phase.label, groups[phase.label]) for phase in Phase if phase.label in groups]
        return list(groups.items())


def search(shelf: Shelf, asked: Asked) -> Found:
    """Rows whose name has every word, at most MOST_ROWS of them; of what he changed, all."""
    rows = shelf.rows().filter(retired=asked.retired).order_by("name")
    for word in asked.words.split():
        rows = rows.filter(name__icontains=word)
    marked = [(row, mark_of(row)) for row in (rows if asked.changed else rows[: MOST_ROWS + 1])]
    found = [(row, mark) for row, mark in marked if mark or not asked.changed]
    most = len(found) if asked.changed else MOST_ROWS
    return Found(found[:most], asked, more=len(found) > most)


@require_GET
def shelf(request: HttpRequest, kind: str) -> HttpResponse:
    return render(request, "catalog/lists/shelf.html", _context(request, kind))


@require_GET
def shelf_found(request: HttpRequest, kind: str) -> HttpResponse:
    """The rows alone, for the search that runs while he types."""
    return render(request, "catalog/lists/_rows.html", _context(request, kind))


def _context(request: HttpRequest, kind: str) -> dict[str, object]:
    chosen = SHELVES[kind]
    asked = Asked(
        request.GET.get("words", "")[:100].replace("\0", ""),
        retired=bool(request.GET.get("retired")),
        changed=bool(request.GET.get("changed")),
    )
    return {
        "place": "catalog",
        "shelf": chosen,
        "found": search(chosen, asked),
        "firm": Firm.current(),
        "today": timezone.localdate(),
    }
