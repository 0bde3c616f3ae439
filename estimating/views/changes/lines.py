"""What a change adds, takes out and settles: each is one short form."""

from decimal import Decimal
from typing import Any

from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from catalog.models import Firm
from estimating.changes.draft import SignedJob, signed_job
from estimating.contract.lines import ContractLine
from estimating.forms.changes import AgreedForm, BroughtForm, ChoiceForm, QuickLineForm, TakeOutForm
from estimating.models import ChangeLine, ChangeOrder
from estimating.views.changes.drafts import get_change, show, to_signed
from estimating.views.work import add_work_form


def _signed(change: ChangeOrder) -> SignedJob:
    signed = signed_job(change.job)
    if signed is None:
        raise Http404
    return signed


def _open_lines(change: ChangeOrder, signed: SignedJob) -> list[ContractLine]:
    """Lines of the contract that nothing has settled yet, this change included."""
    taken = set(change.lines.values_list("document_id", "key"))
    return [line for line in signed.lines if not line.settled and line.left and line.place not in taken]


def _form_page(
    request: HttpRequest, change: ChangeOrder, form: Any, title: str, verb: str, hint: str = ""
) -> HttpResponse:
    status = 422 if form.is_bound else 200
    context = {"change": change, "form": form, "title": title, "verb": verb, "hint": hint}
    return show(request, change.job, "changes/part", status=status, **context)


@require_http_methods(["GET", "POST"])
def change_work_add(request: HttpRequest, change_id: int) -> HttpResponse:
    """Choose rooms and assemblies, just as in the estimate."""
    change = get_change(change_id)
    if elsewhere := to_signed(request, change):
        return elsewhere
    form = add_work_form(request, change.job, Firm.current())
    if form.is_valid():
        with transaction.atomic():
            made = form.put_on(change.estimate)
        return redirect("work-item", change.job_id, made[0].pk) if len(made) == 1 else redirect(change)
    status = 422 if form.errors else 200
    return show(request, change.job, "work/add", status=status, form=form, change=change)


@require_http_methods(["GET", "POST"])
def change_line_new(request: HttpRequest, change_id: int) -> HttpResponse:
    """A quick line of hours and costs; at most at that price, where it is time and material."""
    change = get_change(change_id)
    if elsewhere := to_signed(request, change):
        return elsewhere
    form = QuickLineForm(request.POST or None, initial={"phase": "rough"})
    if form.is_valid():
        item = form.save(commit=False)
        with transaction.atomic():
            item.estimate = change.estimate
            item.position = change.estimate.items.count()
            item.save()
            if form.cleaned_data["at_most"]:
                change.time_and_material.add(item)
        return redirect(change)
    status = 422 if form.is_bound else 200
    return show(request, change.job, "changes/line", status=status, form=form, change=change)


@require_http_methods(["GET", "POST"])
def change_agreed_new(request: HttpRequest, change_id: int) -> HttpResponse:
    change = get_change(change_id)
    if elsewhere := to_signed(request, change):
        return elsewhere
    form = AgreedForm(
        request.POST or None,
        instance=ChangeLine(change=change, kind=ChangeLine.Kind.AGREED),
        initial={"amount": ""},
    )
    if form.is_valid():
        form.save()
        return redirect(change)
    hint = "Work at a price a unit that you agreed on, such as 24 sq ft at 14.00."
    return _form_page(request, change, form, "Work at an agreed price", "Add this", hint)


@require_http_methods(["GET", "POST"])
def change_take_out(request: HttpRequest, change_id: int) -> HttpResponse:
    """Take work of the contract out, at the price that was signed."""
    change = get_change(change_id)
    if elsewhere := to_signed(request, change):
        return elsewhere
    form = TakeOutForm(request.POST or None, lines=_open_lines(change, _signed(change)))
    if form.is_valid():
        with transaction.atomic():
            for line in form.chosen():
                _settle(change, ChangeLine.Kind.TAKEN_OUT, line, line.title)
        return redirect(change)
    hint = "Each is credited at what is left of its price in the contract, by the terms that were signed."
    return _form_page(request, change, form, "Take work out", "Take it out", hint)


@require_http_methods(["GET", "POST"])
def change_brought_new(request: HttpRequest, change_id: int) -> HttpResponse:
    """Credit material that the client brings now; the work on it stays."""
    change = get_change(change_id)
    if elsewhere := to_signed(request, change):
        return elsewhere
    lines = [line for line in _open_lines(change, _signed(change)) if line.kind != "allowance"]
    form = BroughtForm(request.POST or None, lines=lines)
    if form.is_valid():
        typed = form.cleaned_data
        _settle(change, ChangeLine.Kind.BROUGHT, form.chosen(), typed["title"], typed["cost"])
        return redirect(change)
    hint = "The material is credited with its sales tax and markup; the work on it stays in the contract."
    return _form_page(request, change, form, "The client brings material", "Credit this", hint)


@require_http_methods(["GET", "POST"])
def change_choice(request: HttpRequest, change_id: int, document_id: int, key: str) -> HttpResponse:
    """Settle an allowance: what was chosen against what the contract holds for it."""
    change = get_change(change_id)
    if elsewhere := to_signed(request, change):
        return elsewhere
    signed = _signed(change)
    allowance = next(
        (each for each in signed.left_to_settle() if each.line.place == (document_id, key)), None
    )
    if allowance is None or change.lines.filter(document=document_id, key=key).exists():
        return redirect(change)
    form = ChoiceForm(request.POST or None, initial={"title": allowance.line.title})
    if form.is_valid():
        typed = form.cleaned_data
        _settle(change, ChangeLine.Kind.CHOICE, allowance.line, typed["title"], typed["cost"])
        return redirect(change)
    kind = "before sales tax and markup" if allowance.at_cost else "as the client pays it"
    hint = f"The contract holds ${allowance.amount:,.2f} for it, {kind}."
    if late := allowance.late(timezone.localdate()):
        hint += f" {late} The change says so; give the days that it costs, too."
    return _form_page(
        request, change, form, f"Settle the allowance: {allowance.line.title}", "Settle it", hint
    )


@require_POST
def change_line_remove(request: HttpRequest, line_id: int) -> HttpResponse:
    line = get_object_or_404(ChangeLine.objects.select_related("change__job"), pk=line_id)
    if elsewhere := to_signed(request, line.change):
        return elsewhere
    line.delete()
    return redirect(line.change)


def _settle(
    change: ChangeOrder, kind: str, line: ContractLine, title: str, amount: Decimal = Decimal(0)
) -> None:
    """A double tap settles once."""
    change.lines.get_or_create(
        document_id=line.document, key=line.key, defaults={"kind": kind, "title": title, "amount": amount}
    )
