"""Assemblies: what they are, what they are made of, and a trial of them."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_POST

from catalog.forms.assemblies import AssemblyForm, CompanionForm, PrecedenceForm
from catalog.forms.trial import TrialForm
from catalog.measures.room_measures import MEASURES
from catalog.models import Assembly, Companion, Firm, Precedence
from catalog.rows.retiring import is_in_use
from catalog.starter.provenance import own_of, with_parts
from catalog.views.lists import SHELVES
from catalog.views.pages import form_page, typed

SHELF = SHELVES["assemblies"]


def assembly_new(request: HttpRequest) -> HttpResponse:
    form = AssemblyForm(typed(request))
    if form.is_valid():
        assembly = form.save()
        messages.success(request, f"{assembly.name} is in the catalog. Now say what it is made of.")
        return redirect("assembly", assembly.pk)
    return form_page(request, "catalog/lists/form.html", form, shelf=SHELF, title="Add an assembly")


def assembly_edit(request: HttpRequest, pk: int) -> HttpResponse:
    assembly = get_object_or_404(Assembly, pk=pk)
    name = assembly.name
    form = AssemblyForm(typed(request), instance=assembly)
    if form.is_valid():
        form.save()
        messages.success(request, f"{assembly.name} is saved.")
        return redirect("assembly", pk)
    back = ("assembly", pk)
    return form_page(request, "catalog/lists/form.html", form, shelf=SHELF, title=f"Change {name}", back=back)


def assembly(request: HttpRequest, pk: int) -> HttpResponse:
    """What an assembly is made of, what goes with it and before it, and a trial; sending one of the two
    forms adds a companion, or what must be done before it."""
    assembly = get_object_or_404(with_parts(Assembly.objects.all()), pk=pk)
    sent = typed(request)
    before = sent is not None and "before-earlier" in sent
    form = CompanionForm(None if before else sent, assembly=assembly)
    also = PrecedenceForm(sent if before else None, assembly=assembly)
    if form.is_valid():
        form.save()
        messages.success(request, f"{form.instance.companion.name} goes with it from now on.")
        return redirect("assembly", pk)
    if also.is_valid():
        also.save()
        messages.success(request, f"{also.instance.earlier.name} comes before it from now on.")
        return redirect("assembly", pk)
    return form_page(
        request,
        "catalog/assemblies/assembly.html",
        form,
        also=also,
        shelf=SHELF,
        row=assembly,
        firm=Firm.current,  # read only where a length is shown
        measure=MEASURES[assembly.measure],
        own=own_of(assembly),
        components=assembly.components.all(),
        companions=assembly.goes_with.all(),
        waits_for=assembly.waits_for.all(),
        used_in=assembly.used_in.order_by("assembly__name")
        .values("assembly_id", "assembly__name")
        .distinct(),
        deletable=not is_in_use(assembly),
        trial=_trial(request, assembly),
        moved=request.GET.get("moved", ""),
    )


@require_GET
def assembly_trial(request: HttpRequest, pk: int) -> HttpResponse:
    """The trial alone, while he types."""
    assembly = get_object_or_404(Assembly, pk=pk)
    return render(
        request, "catalog/assemblies/_trial.html", {"trial": _trial(request, assembly), "row": assembly}
    )


def _trial(request: HttpRequest, assembly: Assembly) -> TrialForm:
    trial = TrialForm(
        request.GET if "amount" in request.GET else None, assembly=assembly, firm=Firm.current()
    )
    trial.is_valid()
    return trial


@require_POST
def companion_remove(request: HttpRequest, pk: int) -> HttpResponse:
    companion = get_object_or_404(Companion.objects.select_related("companion"), pk=pk)
    companion.delete()
    messages.success(request, f"{companion.companion.name} is not asked for any more.")
    return redirect("assembly", companion.assembly_id)


@require_POST
def precedence_remove(request: HttpRequest, pk: int) -> HttpResponse:
    precedence = get_object_or_404(Precedence.objects.select_related("earlier"), pk=pk)
    precedence.delete()
    messages.success(request, f"{precedence.earlier.name} needn't come before it any more.")
    return redirect("assembly", precedence.assembly_id)
