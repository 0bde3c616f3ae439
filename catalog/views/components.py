"""The components of an assembly: adding, changing, moving and removing them."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from catalog.assemblies.formulas import FORMULAS, Formula
from catalog.assemblies.rate_messages import formula_in_words, rate_in_words
from catalog.forms.components import INPUT, ComponentForm, unit_of_choice
from catalog.lists.catalog_list import CATALOG_LISTS
from catalog.measures.room_measures import MEASURES
from catalog.models import Assembly, Component
from catalog.rows.ordering import STEPS, move, next_position
from catalog.views.pages import form_page, typed

ASSEMBLIES = CATALOG_LISTS["assemblies"]


def component_new(request: HttpRequest, pk: int) -> HttpResponse:
    assembly = get_object_or_404(Assembly, pk=pk)
    formula = _formula(request, "")
    form = ComponentForm(typed(request), assembly=assembly, formula=formula)
    if form.is_valid():
        form.instance.position = next_position(assembly.components.all())
        form.save()
        messages.success(request, f"{form.instance.uses.name} is in {assembly.name}.")
        return redirect("assembly", pk)
    return _page(request, form, assembly, formula, f"Add a part to {assembly.name}")


def component(request: HttpRequest, pk: int) -> HttpResponse:
    component = get_object_or_404(
        Component.objects.select_related("assembly", "material", "operation", "part"), pk=pk
    )
    assembly, name = component.assembly, component.uses.name
    formula = _formula(request, component.formula)
    form = ComponentForm(typed(request), instance=component, assembly=assembly, formula=formula)
    if form.is_valid():
        form.save()
        messages.success(request, f"{component.uses.name} is saved.")
        return redirect("assembly", assembly.pk)
    return _page(request, form, assembly, formula, f"{name} in {assembly.name}")


def _formula(request: HttpRequest, stored: str) -> Formula | None:
    """Return the formula that the address asks for, else the stored one; None for a typed rate."""
    return FORMULAS.get(request.GET.get("formula", stored))


def _page(
    request: HttpRequest, form: ComponentForm, assembly: Assembly, formula: Formula | None, title: str
) -> HttpResponse:
    return form_page(
        request,
        "catalog/assemblies/component.html",
        form,
        catalog_list=ASSEMBLIES,
        title=title,
        assembly=assembly,
        formula=formula,
        formulas=FORMULAS.values(),
        comes_to=form.formula_words(),
        last_input=INPUT + formula.inputs[-1].name if formula else "",
        back=("assembly", assembly.pk),
    )


@require_POST
def component_move(request: HttpRequest, pk: int) -> HttpResponse:
    component = get_object_or_404(Component, pk=pk)
    step = request.POST.get("step")
    if step in STEPS:
        move(component.assembly.components.all(), component, step)
    moved = {"moved": f"{step}-{pk}"}
    return redirect(f"{reverse('assembly', args=[component.assembly_id], query=moved)}#part-{pk}")


@require_POST
def component_remove(request: HttpRequest, pk: int) -> HttpResponse:
    component = get_object_or_404(
        Component.objects.select_related("assembly", "material", "operation", "part"), pk=pk
    )
    component.delete()
    messages.success(request, f"{component.uses.name} is out of {component.assembly.name}.")
    return redirect("assembly", component.assembly_id)


@require_GET
def component_reading(request: HttpRequest) -> HttpResponse:
    """Show what a typed rate, or a formula with its inputs, comes to in the units of the component."""
    query = request.GET
    measure = MEASURES.get(query.get("scales_with") or query.get("measure", ""))
    unit, per = unit_of_choice(query.get("uses", "")), measure.unit if measure else ""
    if "formula" in query:
        inputs = {name.removeprefix(INPUT): query[name] for name in query if name.startswith(INPUT)}
        words = formula_in_words(query["formula"], inputs, unit, per)
    else:
        words = rate_in_words(query.get("rate_typed", ""), unit, per)
    return HttpResponse(words, content_type="text/plain; charset=utf-8")
