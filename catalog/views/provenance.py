"""Where a number comes from: a page for each material, piece of labor, assembly and component."""

from django.contrib import messages
from django.db.models import Prefetch, QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from catalog.lists.catalog_list import CATALOG_LISTS
from catalog.lists.search import ListQuery, search
from catalog.models import (
    Assembly,
    Component,
    Firm,
    ListedRow,
    Material,
    Operation,
    Package,
    ShippedRow,
    Supplier,
)
from catalog.starter.provenance import (
    RowChanges,
    changed_rows,
    component_values,
    formula_inputs,
    material_changes,
    operation_values,
    row_changes,
    with_parts,
)
from catalog.starter.published_hours import published_hours
from catalog.starter.restore import NotRestored, restore_shipped

WHERE = {"materials": "material-where", "operations": "operation-where", "assemblies": "assembly-where"}
RESTORABLE: dict[str, type[ShippedRow]] = {
    "materials": Material,
    "operations": Operation,
    "assemblies": Assembly,
    "packages": Package,
}


@require_GET
def material_where(request: HttpRequest, pk: int) -> HttpResponse:
    material = get_object_or_404(_materials(), pk=pk)
    return _page(request, "materials", material, material_changes(material), material=material)


@require_GET
def operation_where(request: HttpRequest, pk: int) -> HttpResponse:
    operation = get_object_or_404(Operation, pk=pk)
    context = _of_operation(operation)
    return _page(request, "operations", operation, [row_changes(operation)], **context)


@require_GET
def assembly_where(request: HttpRequest, pk: int) -> HttpResponse:
    assembly = get_object_or_404(with_parts(Assembly.objects.all()), pk=pk)
    return _page(request, "assemblies", assembly, [row_changes(assembly)], assembly=assembly)


@require_GET
def component_where(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the rate of a component, with what is known of the material or the labor that it uses."""
    component = get_object_or_404(
        Component.objects.select_related("assembly", "material", "operation", "part"), pk=pk
    )
    context: dict[str, object] = {
        "component": component,
        "component_values": component_values(component),
        "formula": formula_inputs(component),
    }
    assembly = with_parts(Assembly.objects.all()).get(pk=component.assembly_id)
    changes = [row_changes(assembly, only="components")]
    if component.operation is not None:
        context |= _of_operation(component.operation)
        changes.insert(0, row_changes(component.operation))
    elif component.material_id:
        material = _materials().get(pk=component.material_id)
        context["material"] = material
        changes = material_changes(material) + changes
    return _page(request, "assemblies", component.uses, changes, **context)


@require_GET
def changed(request: HttpRequest) -> HttpResponse:
    """Show all that the firm changed or made itself, beside what was shipped."""
    query = ListQuery(changed=True)
    lists = []
    for catalog_list in CATALOG_LISTS.values():
        if catalog_list.is_shipped:
            rows = search(catalog_list, query).rows
            changes = (changes for row, _ in rows for changes in _changes(row))
            lists.append((catalog_list, changed_rows(changes)))
    return render(request, "catalog/provenance/changed.html", {"place": "catalog", "lists": lists})


@require_POST
def restore(request: HttpRequest, kind: str, pk: int) -> HttpResponse:
    """Give a row a value as it was shipped."""
    rows: QuerySet[ShippedRow] = RESTORABLE[kind].objects.all()
    row = get_object_or_404(rows, pk=pk)
    try:
        restore_shipped(row, request.POST.get("key", ""))
    except KeyError as error:
        raise Http404 from error
    except NotRestored as refused:
        messages.error(request, f"{row}: nothing is put back. {refused}")
    else:
        messages.success(request, f"{row} is as supplied in this.")
    if isinstance(row, Package):
        return redirect("material-where", row.material_id)
    return redirect(WHERE[kind], pk)


def _of_operation(operation: Operation) -> dict[str, object]:
    """Return the labor, and what was published beside the hours that it came with."""
    beside = published_hours().get(operation.code) if operation.shipped is not None else None
    return {"operation": operation, "operation_values": operation_values(operation), "beside": beside}


def _page(
    request: HttpRequest,
    kind: str,
    row: Material | Operation | Assembly,
    changes: list[RowChanges],
    **context: object,
) -> HttpResponse:
    context |= {
        "changed_rows": changed_rows(changes),
        "place": "catalog",
        "catalog_list": CATALOG_LISTS[kind],
        "row": row,
        "used_in": row.used_in.select_related("assembly").order_by("assembly__name", "position"),
        "firm": Firm.current(),
        "today": timezone.localdate(),
    }
    return render(request, "catalog/provenance/where.html", context)


def _materials() -> QuerySet[Material]:
    packages = Package.objects.select_related("supplier", "material")
    return Material.objects.prefetch_related(Prefetch("packages", packages))


def _changes(row: ListedRow) -> list[RowChanges]:
    if isinstance(row, Supplier):
        return []
    return material_changes(row) if isinstance(row, Material) else [row_changes(row)]
