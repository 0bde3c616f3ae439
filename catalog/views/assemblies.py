"""Assemblies: what they are, what they are made of, and a trial of them."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_POST

from catalog.forms.assemblies import AssemblyForm, CompanionForm, PrecedenceForm
from catalog.forms.trial import TrialForm
from catalog.lists.catalog_list import CATALOG_LISTS
from catalog.measures.room_measures import MEASURES
from catalog.models import Assembly, Companion, Firm, Precedence
from catalog.rows.retiring import is_in_use, uses_of
from catalog.rows.trial import AssemblyTrial, try_assembly
from catalog.starter.provenance import row_changes, with_parts
from catalog.views.pages import form_page, typed

ASSEMBLIES = CATALOG_LISTS["assemblies"]


def assembly_new(request: HttpRequest) -> HttpResponse:
    form = AssemblyForm(typed(request))
    if form.is_valid():
        assembly = form.save()
        messages.success(request, f"{assembly.name} is in the catalog. Now say what it is made of.")
        return redirect("assembly", assembly.pk)
    return form_page(
        request, "catalog/lists/form.html", form, catalog_list=ASSEMBLIES, title="Add an assembly"
    )


def assembly_edit(request: HttpRequest, pk: int) -> HttpResponse:
    assembly = get_object_or_404(Assembly, pk=pk)
    title = f"Change {assembly.name}"
    form = AssemblyForm(typed(request), instance=assembly)
    if form.is_valid():
        form.save()
        messages.success(request, f"{assembly.name} is saved.")
        return redirect("assembly", pk)
    back = ("assembly", pk)
    return form_page(
        request, "catalog/lists/form.html", form, catalog_list=ASSEMBLIES, title=title, back=back
    )


def assembly(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the page of an assembly: what it is made of, what goes with it and before it, and a trial.

    Sending one of its two forms adds a companion, or an assembly that must be done before it.
    """
    assembly = get_object_or_404(with_parts(Assembly.objects.all()), pk=pk)
    sent = typed(request)
    is_before = sent is not None and "before-earlier" in sent
    form = CompanionForm(None if is_before else sent, assembly=assembly)
    also = PrecedenceForm(sent if is_before else None, assembly=assembly)
    if form.is_valid():
        form.save()
        messages.success(request, f"{form.instance.companion.name} goes with it from now on.")
        return redirect("assembly", pk)
    if also.is_valid():
        also.save()
        messages.success(request, f"{also.instance.earlier.name} comes before it from now on.")
        return redirect("assembly", pk)
    firm = Firm.current()
    trial_form = _trial_form(request, assembly, firm)
    return form_page(
        request,
        "catalog/assemblies/assembly.html",
        form,
        also=also,
        catalog_list=ASSEMBLIES,
        row=assembly,
        measure=MEASURES[assembly.measure],
        changes=row_changes(assembly),
        components=assembly.components.all(),
        companions=assembly.goes_with.all(),
        waits_for=assembly.waits_for.all(),
        used_in=uses_of(assembly),
        deletable=not is_in_use(assembly),
        moved=request.GET.get("moved", ""),
        firm=firm,
        trial_form=trial_form,
        trial=_trial(trial_form, assembly, firm),
    )


@require_GET
def assembly_trial(request: HttpRequest, pk: int) -> HttpResponse:
    """Return the trial without the page, for the request that runs while a quantity is typed."""
    assembly, firm = get_object_or_404(Assembly, pk=pk), Firm.current()
    form = _trial_form(request, assembly, firm)
    context = {"firm": firm, "trial_form": form, "trial": _trial(form, assembly, firm)}
    return render(request, "catalog/assemblies/_trial.html", context)


def _trial_form(request: HttpRequest, assembly: Assembly, firm: Firm) -> TrialForm:
    return TrialForm(request.GET if "amount" in request.GET else None, assembly=assembly, firm=firm)


def _trial(form: TrialForm, assembly: Assembly, firm: Firm) -> AssemblyTrial | None:
    """Return a trial of the quantity typed; None while none is, or it can't be used."""
    return try_assembly(assembly, firm, form.cleaned_data["amount"]) if form.is_valid() else None


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
