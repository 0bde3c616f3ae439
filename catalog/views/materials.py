"""Materials and the packages they come in."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from catalog.forms.materials import MaterialForm, PackageForm, PackagePriceForm
from catalog.lists.catalog_list import CATALOG_LISTS
from catalog.models import Firm, Material, Package
from catalog.rows.retiring import is_in_use, uses_of
from catalog.starter.provenance import row_changes
from catalog.views.pages import form_page, typed

MATERIALS = CATALOG_LISTS["materials"]


def material_new(request: HttpRequest) -> HttpResponse:
    form = MaterialForm(typed(request), metric=Firm.current().metric)
    if form.is_valid():
        material = form.save()
        messages.success(request, f"{material.name} is in the catalog. Add the package you buy it in.")
        return redirect("material", material.pk)
    return form_page(request, "catalog/lists/form.html", form, catalog_list=MATERIALS, title="Add a material")


def material_edit(request: HttpRequest, pk: int) -> HttpResponse:
    material = get_object_or_404(Material, pk=pk)
    title = f"Change {material.name}"
    form = MaterialForm(typed(request), instance=material, metric=Firm.current().metric)
    if form.is_valid():
        form.save()
        messages.success(request, f"{material.name} is saved.")
        return redirect("material", pk)
    return form_page(
        request, "catalog/lists/form.html", form, catalog_list=MATERIALS, title=title, back=("material", pk)
    )


def material(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a material with its packages; sending the form adds a package."""
    material = get_object_or_404(Material, pk=pk)
    today = timezone.localdate()
    form = PackageForm(typed(request), material=material, today=today)
    if form.is_valid():
        package = form.save()
        messages.success(request, f"{package.name} is added.")
        return redirect("material", pk)
    packages = list(material.packages.select_related("supplier", "material"))
    return form_page(
        request,
        "catalog/materials/material.html",
        form,
        catalog_list=MATERIALS,
        row=material,
        changes=row_changes(material),
        packages=[package for package in packages if not package.retired],
        retired_packages=[package for package in packages if package.retired],
        used_in=uses_of(material),
        deletable=not is_in_use(material),
        firm=Firm.current(),
        today=today,
    )


def package(request: HttpRequest, pk: int) -> HttpResponse:
    package = _package(pk)
    title = f"{package.material.name}: {package.name}"
    form = PackageForm(
        typed(request), instance=package, material=package.material, today=timezone.localdate()
    )
    if form.is_valid():
        form.save()
        messages.success(request, f"{package.name} is saved.")
        return redirect("material", package.material_id)
    back = ("material", package.material_id)
    return form_page(
        request,
        "catalog/materials/package.html",
        form,
        catalog_list=MATERIALS,
        title=title,
        back=back,
        row=package,
    )


@require_POST
def package_retire(request: HttpRequest, pk: int) -> HttpResponse:
    """Retire a package, or bring it back where it was retired."""
    package = _package(pk)
    package.retired = not package.retired
    package.save(update_fields=["retired"])
    gone = "is not bought any more" if package.retired else "is bought again"
    messages.success(request, f"{package.name} {gone}.")
    return redirect("material", package.material_id)


@require_POST
def package_delete(request: HttpRequest, pk: int) -> HttpResponse:
    package = _package(pk)
    package.delete()
    messages.success(request, f"{package.name} is deleted.")
    return redirect("material", package.material_id)


def package_price(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the price of one package, as a page of its own."""
    package = _package(pk)
    form = PackagePriceForm(typed(request), instance=package, today=timezone.localdate())
    if form.is_valid():
        form.save()
        messages.success(request, f"{package} is now {package.price}.")
        return redirect("materials")
    return form_page(
        request, "catalog/materials/package_price.html", form, catalog_list=MATERIALS, package=package
    )


def package_price_here(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the price of one package in the list: the form in the place of its row, and once saved the row."""
    package = _package(pk)
    form = PackagePriceForm(typed(request), instance=package, today=timezone.localdate())
    if form.is_valid():
        form.save()
        return _row(request, package, saved=True)
    return form_page(request, "catalog/materials/_package_price.html", form, package=package)


@require_GET
def package_row(request: HttpRequest, pk: int) -> HttpResponse:
    return _row(request, _package(pk))


def _row(request: HttpRequest, package: Package, saved: bool = False) -> HttpResponse:
    context = {
        "package": package,
        "firm": Firm.current(),
        "today": timezone.localdate(),
        "saved": saved,
        "focus": True,
    }
    return render(request, "catalog/materials/_package.html", context)


def _package(pk: int) -> Package:
    return get_object_or_404(Package.objects.select_related("material", "supplier"), pk=pk)
