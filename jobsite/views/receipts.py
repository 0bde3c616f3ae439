"""Receipts of a job, entered with a photo and corrected; miles; the ticks of the shopping list."""

from collections.abc import Iterable
from hashlib import sha256
from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from catalog.models import Supplier
from estimating.documents.billing_hooks import billing
from estimating.forms.photos import takes_photos_of
from estimating.views.lookups import get_job
from jobsite.corrections import corrections_of, keep_corrected, keep_removed, said
from jobsite.forms.receipts import PIXELS, MileageForm, ReceiptForm, receipt_as_typed
from jobsite.hours.read import SignedWork, read_job
from jobsite.models import BoughtMaterial, Correction, Mileage, ReceiptKept, ReceiptPhoto
from jobsite.receipts.read import mileage_cost, read_bought, read_miles, read_shopping
from jobsite.receipts.shopping import ShoppingLine, shopping_sums
from jobsite.views.lookups import page_of
from jobsite.views.receipt_lines import lines_of
from saving.forms import Ticks, status_of


@takes_photos_of(PIXELS)
@require_http_methods(["GET", "POST"])
def receipts(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show what was bought against what was priced, and take the next receipt."""
    job, today = get_job(job_id), timezone.localdate()
    signed = read_job(job)
    form = receipt_form(request, signed, {"on": today})
    if form.is_valid():
        row = form.fill(ReceiptKept(job=job))
        fault = saved_or_fault(row, form)
        if not fault:
            messages.success(request, f"Kept: {said(row)}.")
            return redirect("receipt", row.pk)
        form.add_error("total", fault)
    kept = ReceiptKept.objects.filter(job=job).select_related("photo").defer("photo__content")
    rows = page_of(request, kept.order_by("-on", "-pk"))
    shopping = read_shopping(job, signed)
    context: dict[str, Any] = {
        "job": job,
        "place": "days",
        "form": form,
        "bought": read_bought(job, signed),
        "miles": read_miles(job),
        "page": rows,
        "shopping": shopping,
        "every_line": "lines" in request.GET,
        "sums": shopping_sums(shopping),
        "to_buy": sum(not line.is_bought for line in shopping),
        "ticks": _ticks(shopping),
        "is_signed": bool(signed.bases),
        "removed": Correction.objects.filter(
            job=job, kind__in=[Correction.Kind.RECEIPT, Correction.Kind.MILEAGE], removed=True
        )[:20],
    }
    return render(request, "jobsite/receipts.html", context, status=status_of(form))


def receipt_form(request: HttpRequest, signed: SignedWork, initial: dict[str, Any]) -> ReceiptForm:
    stores = Supplier.objects.offered().values_list("name", flat=True)
    data = (request.POST, request.FILES) if request.method == "POST" else (None, None)
    return ReceiptForm(
        *data, changes=signed.changes, stores=stores, today=timezone.localdate(), initial=initial
    )


def saved_or_fault(row: ReceiptKept, form: ReceiptForm, was: str = "", of_change: int | None = None) -> str:
    """Save a receipt with its photo and what it was, unless a bill speaks against it; return why then."""
    with transaction.atomic():
        row.save()
        for content in form.cleaned_data["photos"]:
            digest = sha256(content).hexdigest()
            kept = {"content": content, "sha256": digest}
            ReceiptPhoto.objects.update_or_create(receipt=row, defaults=kept)
        if was:
            keep_corrected(row, was, timezone.now())
        changes = {of_change, row.document_id} - {None}
        faults = (billing().fault_of_entries(row.job, change) for change in changes if change)
        if fault := next(filter(None, faults), ""):
            transaction.set_rollback(True)
    return fault


@takes_photos_of(PIXELS)
@require_http_methods(["GET", "POST"])
def receipt(request: HttpRequest, row_id: int) -> HttpResponse:
    """Show a receipt with its photo and lines, and correct it; what it was is kept."""
    row = _get_receipt(row_id)
    signed = read_job(row.job)
    was, of_change = said(row), row.document_id
    form = receipt_form(request, signed, receipt_as_typed(row))
    if form.is_valid():
        fault = saved_or_fault(form.fill(row), form, was, of_change)
        if not fault:
            messages.success(request, "Corrected.")
            return redirect("receipt", row.pk)
        form.add_error("total", fault)
        row = _get_receipt(row_id)
    context: dict[str, Any] = {
        "job": row.job,
        "place": "days",
        "form": form,
        "row": row,
        "has_photo": ReceiptPhoto.objects.filter(receipt=row).exists(),
        "before": corrections_of(row),
        **lines_of(row, signed),
    }
    return render(request, "jobsite/receipt.html", context, status=status_of(form))


def _get_receipt(row_id: int) -> ReceiptKept:
    return get_object_or_404(ReceiptKept.objects.select_related("job__client"), pk=row_id)


@require_GET
def receipt_photo(request: HttpRequest, row_id: int) -> HttpResponse:
    photo = get_object_or_404(ReceiptPhoto, receipt=row_id)
    headers = {"X-Content-Type-Options": "nosniff", "Cache-Control": "no-store"}
    return HttpResponse(bytes(photo.content), content_type="image/jpeg", headers=headers)


@require_POST
def receipt_remove(request: HttpRequest, row_id: int) -> HttpResponse:
    """Remove a receipt with its photo and lines; what it said is kept."""
    row = _get_receipt(row_id)
    job, document = row.job, row.document_id
    with transaction.atomic():
        keep_removed(row, timezone.now())
        row.delete()
        if fault := billing().fault_of_entries(job, document) if document else "":
            transaction.set_rollback(True)
    if fault:
        messages.error(request, fault)
        return redirect("receipt", row_id)
    messages.success(request, "Removed. What it said is kept below.")
    return redirect("receipts", job.pk)


@require_POST
def shopping_tick(request: HttpRequest, job_id: int) -> HttpResponse:
    """Keep which lines of the shopping list are ticked as bought."""
    job = get_job(job_id)
    ticks = _ticks(read_shopping(job, read_job(job)))
    ticked = {name.removeprefix("bought-") for name in ticks.merged(request.POST)}
    rows = BoughtMaterial.objects.filter(job=job)
    rows.exclude(code__in=ticked).delete()
    known = set(rows.values_list("code", flat=True))
    BoughtMaterial.objects.bulk_create(
        BoughtMaterial(job=job, code=code, on=timezone.localdate()) for code in sorted(ticked - known)
    )
    return redirect("receipts", job.pk)


def _ticks(shopping: Iterable[ShoppingLine]) -> Ticks:
    return Ticks({f"bought-{line.code}": line.is_ticked for line in shopping})


@require_http_methods(["GET", "POST"])
def mileage(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show the miles of a job, and take those of a day."""
    job, today = get_job(job_id), timezone.localdate()
    last = Mileage.objects.order_by("-pk").values_list("rate", flat=True).first()
    form = MileageForm(request.POST or None, today=today, initial={"on": today, "rate": last})
    if form.is_valid():
        row = form.fill(Mileage(job=job))
        row.save()
        messages.success(request, f"{row} kept.")
        return redirect("mileage", job.pk)
    rows = page_of(request, Mileage.objects.filter(job=job).order_by("-on", "-pk"))
    context = {
        "job": job,
        "place": "days",
        "form": form,
        "entries": [(row, mileage_cost(row)) for row in rows],
        "page": rows,
        "miles": read_miles(job),
    }
    return render(request, "jobsite/mileage.html", context, status=status_of(form))


@require_http_methods(["GET", "POST"])
def mileage_edit(request: HttpRequest, row_id: int) -> HttpResponse:
    """Correct miles; what they were is kept."""
    row = get_object_or_404(Mileage.objects.select_related("job__client"), pk=row_id)
    was = said(row)
    typed = {"on": row.on, "miles": row.miles, "rate": row.rate, "says": row.says}
    form = MileageForm(request.POST or None, today=timezone.localdate(), initial=typed)
    if form.is_valid():
        form.fill(row).save()
        keep_corrected(row, was, timezone.now())
        messages.success(request, "Corrected.")
        return redirect("mileage", row.job_id)
    context = {"job": row.job, "place": "days", "form": form, "row": row, "before": corrections_of(row)}
    return render(request, "jobsite/mileage_edit.html", context, status=status_of(form))


@require_POST
def mileage_remove(request: HttpRequest, row_id: int) -> HttpResponse:
    row = get_object_or_404(Mileage.objects.select_related("job"), pk=row_id)
    keep_removed(row, timezone.now())
    row.delete()
    messages.success(request, "Removed.")
    return redirect("mileage", row.job_id)
