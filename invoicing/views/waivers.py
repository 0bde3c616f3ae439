"""Lien waivers: one for an invoice, and the words that the firm's state prescribes."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from catalog.models import Firm
from estimating.documents.clock import TICK, DateInDoubt, date_question
from estimating.documents.issue import CannotIssue, issue
from estimating.documents.pdf import PangoMissing
from invoicing.billing.lien_waiver import CannotWaive, WaiverKind
from invoicing.forms.waivers import StateWaiverForm, WaiverForm
from invoicing.invoices.job_billing import read_job_billing
from invoicing.invoices.lien_waivers import likely_kind, waivable_money, waiver_to_issue
from invoicing.models import StateWaiver
from invoicing.views.lookups import get_invoice
from saving.forms import status_of
from saving.once import keeps_own_transactions


@keeps_own_transactions
@require_http_methods(["GET", "POST"])
def waiver_new(request: HttpRequest, document_id: int) -> HttpResponse:
    """Issue a lien waiver with an invoice; then it is sent as any paper."""
    invoice, firm, now = get_invoice(document_id), Firm.current(), timezone.now()
    today, billing = timezone.localdate(now), read_job_billing(invoice.job)
    if billing is None:
        raise Http404
    money = waivable_money(invoice, billing, today)
    form = WaiverForm(
        request.POST or None,
        initial={"kind": likely_kind(money), "through": invoice.dated},
        today=today,
        date_question=date_question(now),
    )
    if form.is_valid():
        typed = form.cleaned_data
        try:
            unissued = waiver_to_issue(
                invoice,
                WaiverKind(typed["kind"]),
                money,
                firm,
                through=typed["through"],
                today=today,
                exceptions=typed["exceptions"],
                signed_by=typed["signed_by"],
            )
            document = issue(unissued, now, date_is_right=typed.get(TICK, False))
        except CannotWaive as error:
            form.add_error("kind", str(error))
        except (DateInDoubt, CannotIssue, PangoMissing) as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, f"{document} is issued. Now send it.")
            return redirect("document-send", document.pk)
    context = {
        "job": invoice.job,
        "place": "money",
        "document": invoice,
        "money": money,
        "form": form,
        "prescribed": StateWaiver.objects.all(),
    }
    return render(request, "invoicing/invoices/waiver.html", context, status=status_of(form))


@require_http_methods(["GET", "POST"])
def state_waiver_new(request: HttpRequest) -> HttpResponse:
    """Enter the words that the firm's state prescribes for a waiver."""
    form = StateWaiverForm(request.POST or None)
    if form.is_valid():
        form.instance.confirmed_on = timezone.localdate()
        form.save()
        messages.success(request, f"{form.instance}: from now on it prints these words.")
        return redirect("money-rules")
    context = {"place": "firm-money", "form": form}
    return render(request, "invoicing/invoices/state_waiver.html", context, status=status_of(form))


@require_POST
def state_waiver_remove(request: HttpRequest, waiver_id: int) -> HttpResponse:
    """Remove them; what was issued with them stays as it is."""
    waiver = get_object_or_404(StateWaiver, pk=waiver_id)
    waiver.delete()
    messages.success(request, f"{waiver}: its words are removed. To have them back, enter them again.")
    return redirect("money-rules")
