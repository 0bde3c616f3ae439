"""Where a number comes from: a page for each material, piece of labor, assembly and part of one."""

from collections.abc import Iterable

from django.contrib import messages
from django.db.models import Model, Prefetch, QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from catalog.models import Assembly, Component, Firm, Material, Operation, Package
from catalog.starter.provenance import Own, component_kept, formula_inputs, labor_kept, own_of, with_parts
from catalog.starter.restore import NotPutBack, put_back
from catalog.views.lists import SHELVES, Asked, search

WHERE = {"materials": "material-where", "operations": "operation-where", "assemblies": "assembly-where"}


@require_GET
def material_where(request: HttpRequest, pk: int) -> HttpResponse:
    material = get_object_or_404(_materials(), pk=pk)
    return _page(request, "materials", material, _own_of_material(material), material=material)


@require_GET
def operation_where(request: HttpRequest, pk: int) -> HttpResponse:
    operation = get_object_or_404(Operation, pk=pk)
    kept = labor_kept(operation)
    return _page(request, "operations", operation, [own_of(operation)], operation=operation, kept=kept)


@require_GET
def assembly_where(request: HttpRequest, pk: int) -> HttpResponse:
    assembly = get_object_or_404(with_parts(Assembly.objects.all()), pk=pk)
    return _page(request, "assemblies", assembly, [own_of(assembly)], assembly=assembly)


@require_GET
def component_where(request: HttpRequest, pk: int) -> HttpResponse:
    """One rate in an assembly, with what is known of the material or the labor that it uses."""
    component = get_object_or_404(
        Component.objects.select_related("assembly", "material", "operation", "part"), pk=pk
    )
    more: dict[str, object] = {"part_kept": component_kept(component), "formula": formula_inputs(component)}
    own = [own_of(with_parts(Assembly.objects.all()).get(pk=component.assembly_id), only="components")]
    if component.operation_id:
        more |= {"operation": component.operation, "kept": labor_kept(component.operation)}
        own.insert(0, own_of(component.operation))
    elif component.material_id:
        more["material"] = _materials().get(pk=component.material_id)
        own = _own_of_material(more["material"]) + own
    return _page(request, "assemblies", component.uses, own, component=component, **more)


@require_GET
def changed(request: HttpRequest) -> HttpResponse:
    """All that the firm changed or made itself, beside what was shipped."""
    places = [
        (shelf, _differing(own for row, _ in search(shelf, Asked(changed=True)).rows for own in _owned(row)))
        for shelf in SHELVES.values()
        if shelf.is_shipped
    ]
    return render(request, "catalog/provenance/changed.html", {"place": "catalog", "places": places})


@require_POST
def put_back_shipped(request: HttpRequest, kind: str, pk: int) -> HttpResponse:
    """Give a row a value as it was shipped."""
    model = Package if kind == "packages" else SHELVES[kind].model
    row = get_object_or_404(model, pk=pk)
    try:
        put_back(row, request.POST.get("key", ""))
    except KeyError as error:
        raise Http404 from error
    except NotPutBack as refused:
        messages.error(request, f"{row}: nothing is put back. {refused}")
    else:
        messages.success(request, f"{row} is as it was shipped in this.")
    if isinstance(row, Package):
        return redirect("material-where", row.material_id)
    return redirect(WHERE[kind], pk)


def _page(request: HttpRequest, kind: str, row: Model, own: list[Own], **more: object) -> HttpResponse:
    context = {
        "own": _differing(own),
        "place": "catalog",
        "shelf": SHELVES[kind],
        "row": row,
        "used_in": row.used_in.select_related("assembly").order_by("assembly__name", "position"),
        "firm": Firm.current(),
        "today": timezone.localdate(),
    }
    return render(request, "catalog/provenance/where.html", context | more)


def _materials() -> QuerySet[Material]:
    packages = Package.objects.select_related("supplier", "material")
    return Material.objects.prefetch_related(Prefetch("packages", packages))


def _differing(own: Iterable[Own]) -> list[Own]:
    return [each for each in own if each.facts or not each.shipped]


def _owned(row: Model) -> list[Own]:
    return _own_of_material(row) if isinstance(row, Material) else [own_of(row)]


def _own_of_material(material: Material) -> list[Own]:
    """What the firm changed of a material and of the packages that it still buys."""
    return [
        own_of(each) for each in (material, *(each for each in material.packages.all() if not each.retired))
    ]
