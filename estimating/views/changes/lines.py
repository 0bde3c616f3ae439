"""The short forms by which a change adds work, deletes it and settles allowances."""

from decimal import Decimal

from django import forms
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from catalog.models import Firm
from catalog.money.amounts import format_price
from catalog.phases import Phase
from estimating.changes.draft import SignedJob, open_lines, open_work_lines, signed_job
from estimating.changes.edit import add_work_item, settle_line
from estimating.changes.price import DIFFERENCE
from estimating.forms.changes import (
    AllowanceChoiceForm,
    DeletedWorkForm,
    DifferenceForm,
    LumpSumForm,
    OwnerFurnishedForm,
    QuickLineForm,
)
from estimating.models import ChangeLine, ChangeOrder
from estimating.views.changes.drafts import for_open_change, redirect_if_signed, render_on_job
from estimating.views.work import add_work_form
from saving.forms import status_of


def _signed(change: ChangeOrder) -> SignedJob:
    """Return what was signed for the job of a change; 404 where nothing is."""
    signed = signed_job(change.job)
    if signed is None:
        raise Http404
    return signed


def _form_page(
    request: HttpRequest, change: ChangeOrder, form: forms.BaseForm, title: str, verb: str, hint: str
) -> HttpResponse:
    """Return the page of a short form, whose button says `verb`."""
    status = status_of(form)
    context = {"change": change, "form": form, "title": title, "verb": verb, "hint": hint}
    return render_on_job(request, change.job, "changes/part", status=status, **context)


@require_http_methods(["GET", "POST"])
@for_open_change
def change_work_add(request: HttpRequest, change: ChangeOrder) -> HttpResponse:
    """Choose rooms and assemblies, as for the estimate."""
    form = add_work_form(request, change.job, Firm.current())
    if form.is_valid():
        with transaction.atomic():
            items = form.put_on(change.estimate)
        return redirect("work-item", change.job_id, items[0].pk) if len(items) == 1 else redirect(change)
    status = status_of(form)
    return render_on_job(request, change.job, "work/add", status=status, form=form, change=change)


@require_http_methods(["GET", "POST"])
@for_open_change
def change_line_new(request: HttpRequest, change: ChangeOrder) -> HttpResponse:
    """Add hours and costs, at a fixed price or as time and material up to it."""
    form = QuickLineForm(request.POST or None, initial={"phase": Phase.ROUGH})
    if form.is_valid():
        with transaction.atomic():
            add_work_item(change, form.save(commit=False), form.cleaned_data["at_most"])
        return redirect(change)
    status = status_of(form)
    return render_on_job(request, change.job, "changes/line", status=status, form=form, change=change)


@require_http_methods(["GET", "POST"])
@for_open_change
def change_agreed_new(request: HttpRequest, change: ChangeOrder) -> HttpResponse:
    """Add work at an agreed price."""
    form = LumpSumForm(
        request.POST or None,
        instance=ChangeLine(change=change, kind=ChangeLine.Kind.AGREED),
        initial={"amount": ""},
    )
    if form.is_valid():
        form.save()
        return redirect(change)
    hint = "Work at a price a unit that you agreed on, such as 24 sq ft at 14.00."
    return _form_page(request, change, form, "Work for a lump sum", "Add this", hint)


@require_http_methods(["GET", "POST"])
@for_open_change
def change_difference(request: HttpRequest, change: ChangeOrder) -> HttpResponse:
    """Add a difference in price, up or down, without any work taken out or added."""
    form = DifferenceForm(
        request.POST or None,
        instance=ChangeLine(change=change, kind=ChangeLine.Kind.AGREED, unit=DIFFERENCE),
        initial={"amount": ""},
    )
    if form.is_valid():
        form.save()
        return redirect(change)
    hint = "What both sides agreed that something costs more or less than in the contract; the work stays."
    return _form_page(request, change, form, "A difference in price", "Add this", hint)


@require_http_methods(["GET", "POST"])
@for_open_change
def change_take_out(request: HttpRequest, change: ChangeOrder) -> HttpResponse:
    """Delete work of the contract, at the price that was signed."""
    form = DeletedWorkForm(request.POST or None, lines=open_lines(change, _signed(change)))
    if form.is_valid():
        with transaction.atomic():
            part = form.cleaned_data["part"]
            kind = ChangeLine.Kind.PART_OUT if part else ChangeLine.Kind.TAKEN_OUT
            for line in form.chosen():
                settle_line(change, kind, line, line.title, part or Decimal(0))
        return redirect(change)
    hint = "Each is credited at what is left of its price in the contract, by the terms that were signed."
    return _form_page(request, change, form, "Remove work", "Remove", hint)


@require_http_methods(["GET", "POST"])
@for_open_change
def change_brought_new(request: HttpRequest, change: ChangeOrder) -> HttpResponse:
    """Credit material that the client now brings; the work on it stays."""
    form = OwnerFurnishedForm(request.POST or None, lines=open_work_lines(change, _signed(change)))
    if form.is_valid():
        typed = form.cleaned_data
        settle_line(change, ChangeLine.Kind.BROUGHT, form.chosen(), typed["title"], typed["cost"])
        return redirect(change)
    hint = "The material is credited with its sales tax and markup; the work on it stays in the contract."
    return _form_page(request, change, form, "Owner-furnished material", "Credit this", hint)


@require_http_methods(["GET", "POST"])
@for_open_change
def change_choice(request: HttpRequest, change: ChangeOrder, document_id: int, key: str) -> HttpResponse:
    """Settle an allowance: what was chosen against what the contract holds for it."""
    signed = _signed(change)
    open_allowances = {allowance.line.place: allowance for allowance in signed.left_to_settle()}
    allowance = open_allowances.get((document_id, key))
    if allowance is None or change.lines.filter(document=document_id, key=key).exists():
        return redirect(change)
    form = AllowanceChoiceForm(request.POST or None, initial={"title": allowance.line.title})
    if form.is_valid():
        typed = form.cleaned_data
        settle_line(change, ChangeLine.Kind.CHOICE, allowance.line, typed["title"], typed["cost"])
        return redirect(change)
    kind = "before sales tax and markup" if allowance.at_cost else "as the client pays it"
    hint = f"The contract holds {format_price(allowance.amount)} for it, {kind}."
    if late := allowance.late(timezone.localdate()):
        hint += f" {late} The change says so; give the days that it costs, too."
    title = f"Reconcile the allowance: {allowance.line.title}"
    return _form_page(request, change, form, title, "Reconcile it", hint)


@require_POST
def change_line_remove(request: HttpRequest, line_id: int) -> HttpResponse:
    line = get_object_or_404(ChangeLine.objects.select_related("change__job"), pk=line_id)
    if not_editable := redirect_if_signed(request, line.change):
        return not_editable
    line.delete()
    return redirect(line.change)
