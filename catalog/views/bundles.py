"""Bundles: several assemblies that are added to a room together."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from catalog.forms.assemblies import BundleForm, BundleLineForm
from catalog.lists.catalog_list import CATALOG_LISTS
from catalog.models import Bundle, BundleLine
from catalog.rows.ordering import STEPS, move, next_position
from catalog.rows.retiring import is_in_use
from catalog.views.pages import form_page, typed

BUNDLES = CATALOG_LISTS["bundles"]


def bundle_new(request: HttpRequest) -> HttpResponse:
    form = BundleForm(typed(request))
    if form.is_valid():
        bundle = form.save()
        messages.success(request, f"{bundle.name} is in the catalog. Now add its assemblies.")
        return redirect("bundle", bundle.pk)
    return form_page(request, "catalog/lists/form.html", form, catalog_list=BUNDLES, title="Add a bundle")


def bundle_edit(request: HttpRequest, pk: int) -> HttpResponse:
    bundle = get_object_or_404(Bundle, pk=pk)
    title = f"Change {bundle.name}"
    form = BundleForm(typed(request), instance=bundle)
    if form.is_valid():
        form.save()
        messages.success(request, f"{bundle.name} is saved.")
        return redirect("bundle", pk)
    back = ("bundle", pk)
    return form_page(request, "catalog/lists/form.html", form, catalog_list=BUNDLES, title=title, back=back)


def bundle(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a bundle with its assemblies in order; sending the form adds an assembly at the end."""
    bundle = get_object_or_404(Bundle, pk=pk)
    form = BundleLineForm(typed(request), bundle=bundle)
    if form.is_valid():
        form.instance.position = next_position(bundle.lines.all())
        form.save()
        messages.success(request, f"{form.instance.assembly.name} is in the bundle.")
        return redirect("bundle", pk)
    return form_page(
        request,
        "catalog/assemblies/bundle.html",
        form,
        catalog_list=BUNDLES,
        row=bundle,
        lines=bundle.lines.select_related("assembly"),
        deletable=not is_in_use(bundle),
        moved=request.GET.get("moved", ""),
    )


@require_POST
def bundle_line_move(request: HttpRequest, pk: int) -> HttpResponse:
    line = get_object_or_404(BundleLine, pk=pk)
    step = request.POST.get("step")
    if step in STEPS:
        move(line.bundle.lines.all(), line, step)
    moved = {"moved": f"{step}-{pk}"}
    return redirect(f"{reverse('bundle', args=[line.bundle_id], query=moved)}#part-{pk}")


@require_POST
def bundle_line_remove(request: HttpRequest, pk: int) -> HttpResponse:
    line = get_object_or_404(BundleLine.objects.select_related("assembly"), pk=pk)
    line.delete()
    messages.success(request, f"{line.assembly.name} is out of the bundle.")
    return redirect("bundle", line.bundle_id)
