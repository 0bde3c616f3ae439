"""Call-backs of a job: the warranty that they fall under, and what each took."""

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from closing.forms.call_backs import CallBackForm
from closing.punch_list.end import read_ends
from estimating.views.lookups import get_job
from jobsite.hours.read import read_day, read_job
from jobsite.models import CallBack
from saving.forms import status_of

NOT_YET = "The end of this job isn't signed yet: put it on the punch list."


@require_http_methods(["GET", "POST"])
def call_backs(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show the warranty and the call-backs of a job, and take a further one."""
    job, today = get_job(job_id), timezone.localdate()
    end, signed = read_ends([job]).get(job.pk), read_job(job)
    if request.method == "POST" and end is None:
        messages.warning(request, NOT_YET)
        return redirect("punch-list", job.pk)
    form = CallBackForm(request.POST or None, signed=signed, today=today, row=CallBack(job=job))
    if form.is_valid() and form.refuse_impossible_day(read_day(form.cleaned_data["on"], signed, job)):
        with transaction.atomic():
            row = form.save()
        messages.success(request, f"“{row}” is kept as a call-back.")
        return redirect("call-backs", job.pk)
    rows = CallBack.objects.filter(job=job).select_related("worked", "bought").order_by("-on", "-pk")
    context = {
        "job": job,
        "place": "days",
        "end": end,
        "form": form,
        "today": today,
        "rows": [(row, end is not None and end.covers(row.on)) for row in rows],
    }
    return render(request, "closing/call_backs.html", context, status=status_of(form))


@require_http_methods(["GET", "POST"])
def call_back(request: HttpRequest, row_id: int) -> HttpResponse:
    """Correct a call-back, or add what it took."""
    rows = CallBack.objects.select_related("job__client", "worked", "bought")
    row = get_object_or_404(rows, pk=row_id)
    job, signed = row.job, read_job(row.job)
    form = CallBackForm(request.POST or None, signed=signed, today=timezone.localdate(), row=row)
    if form.is_valid() and form.refuse_impossible_day(read_day(form.cleaned_data["on"], signed, job)):
        with transaction.atomic():
            form.save()
        messages.success(request, "Saved.")
        return redirect("call-backs", job.pk)
    context = {"job": job, "place": "days", "form": form, "row": row}
    context["on_what"] = signed.label_of(row.worked) if row.worked else ""
    return render(request, "closing/call_back.html", context, status=status_of(form))


@require_POST
def call_back_remove(request: HttpRequest, row_id: int) -> HttpResponse:
    """Remove a call-back that has neither hours nor a receipt."""
    row = get_object_or_404(CallBack, pk=row_id)
    if row.worked_id or row.bought_id:
        messages.warning(request, "Remove its hours and its receipt first: they are kept with the job.")
        return redirect(row)
    row.delete()
    messages.success(request, f"“{row}” is removed.")
    return redirect("call-backs", row.job_id)
