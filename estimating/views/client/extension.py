"""The firm's page of a document past its last day: prices then and now, a revision or an extension."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from catalog.models import Firm
from estimating.client.extension import CannotExtend, can_be_extended, current_prices, extend, usual_end
from estimating.forms.extension import ExtendForm
from estimating.models import Document
from estimating.plain_text import day_in_words
from estimating.views.documents import get_document
from saving.forms import status_of
from saving.once import keeps_own_transactions


@keeps_own_transactions
@require_http_methods(["GET", "POST"])
def document_late(request: HttpRequest, document_id: int) -> HttpResponse:
    """Look the prices up again; then begin a revision at those of today, or extend the document as it is."""
    document, firm, today = get_document(document_id), Firm.current(), timezone.localdate()
    if not can_be_extended(document, today):
        messages.info(request, f"{document} was answered or replaced, so nothing can be extended.")
        return redirect(document)
    if "revise" in request.POST and document.kind == Document.Kind.ESTIMATE:
        return redirect("document-issue", document.job_id)
    form = ExtendForm(request.POST or None, first=usual_end(document, firm, today))
    prices = current_prices(document, firm, today)
    if form.is_valid():
        until, who = form.cleaned_data["until"], request.user.get_username()
        try:
            extend(document, until, prices.materials.difference, who, timezone.now(), today)
        except CannotExtend as error:
            form.add_error("until", str(error))
        else:
            messages.success(request, f"{document} can be signed to {day_in_words(until)}, as it is.")
            return redirect(document)
    context = {
        "job": document.job,
        "place": "papers",
        "document": document,
        "form": form,
        "prices": prices,
        "changes": prices.revision,
        "change": getattr(document.estimate, "change", None),
        "last_day": document.last_day(),
    }
    return render(request, "estimating/documents/extension.html", context, status=status_of(form))
