"""Kits: several assemblies that are added to a room together."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from catalog.forms.assemblies import KitForm, KitLineForm
from catalog.lists.catalog_list import CATALOG_LISTS
from catalog.models import Kit, KitLine
from catalog.rows.ordering import STEPS, move, next_position
from catalog.rows.retiring import is_in_use
from catalog.views.pages import form_page, typed

KITS = CATALOG_LISTS["kits"]


def kit_new(request: HttpRequest) -> HttpResponse:
    form = KitForm(typed(request))
    if form.is_valid():
        kit = form.save()
        messages.success(request, f"{kit.name} is in the catalog. Now add its assemblies.")
        return redirect("kit", kit.pk)
    return form_page(request, "catalog/lists/form.html", form, catalog_list=KITS, title="Add a kit")


def kit_edit(request: HttpRequest, pk: int) -> HttpResponse:
    kit = get_object_or_404(Kit, pk=pk)
    title = f"Change {kit.name}"
    form = KitForm(typed(request), instance=kit)
    if form.is_valid():
        form.save()
        messages.success(request, f"{kit.name} is saved.")
        return redirect("kit", pk)
    back = ("kit", pk)
    return form_page(request, "catalog/lists/form.html", form, catalog_list=KITS, title=title, back=back)


def kit(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a kit with its assemblies in order; sending the form adds an assembly at the end."""
    kit = get_object_or_404(Kit, pk=pk)
    form = KitLineForm(typed(request), kit=kit)
    if form.is_valid():
        form.instance.position = next_position(kit.lines.all())
        form.save()
        messages.success(request, f"{form.instance.assembly.name} is in the kit.")
        return redirect("kit", pk)
    return form_page(
        request,
        "catalog/assemblies/kit.html",
        form,
        catalog_list=KITS,
        row=kit,
        lines=kit.lines.select_related("assembly"),
        deletable=not is_in_use(kit),
        moved=request.GET.get("moved", ""),
    )


@require_POST
def kit_line_move(request: HttpRequest, pk: int) -> HttpResponse:
    line = get_object_or_404(KitLine, pk=pk)
    step = request.POST.get("step")
    if step in STEPS:
        move(line.kit.lines.all(), line, step)
    moved = {"moved": f"{step}-{pk}"}
    return redirect(f"{reverse('kit', args=[line.kit_id], query=moved)}#part-{pk}")


@require_POST
def kit_line_remove(request: HttpRequest, pk: int) -> HttpResponse:
    line = get_object_or_404(KitLine.objects.select_related("assembly"), pk=pk)
    line.delete()
    messages.success(request, f"{line.assembly.name} is removed from the kit.")
    return redirect("kit", line.kit_id)
