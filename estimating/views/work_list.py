"""The list of a job's work: read at a glance, changed in place, and undone."""

from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from catalog.models import Firm
from estimating.estimates.checklist import check_estimate
from estimating.estimates.draft import read_draft
from estimating.estimates.proposed import propose_amounts
from estimating.estimates.work_list import move_to_phase, remove, set_options, undo, undoable
from estimating.estimates.work_page import disturbed_in_words, missing_counts, work_by_phase
from estimating.forms.work_list import CountsForm, MarkedForm, WorkRowForm
from estimating.models import Job, UndoStep, WorkItem
from estimating.takeoff.cautions import lead_at_work
from estimating.views.lookups import get_estimate, get_item, get_job
from saving.forms import status_of


def job_work(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show the list of the work; the counts that are still missing are typed there, all at once."""
    job, firm = get_job(job_id), Firm.current()
    if request.method != "POST":
        return _list_page(request, job, firm)
    draft = read_draft(get_estimate(job, firm), firm, "first")
    counts = CountsForm(request.POST, missing_counts=missing_counts(draft), metric=firm.metric)
    if not counts.is_valid():
        return _list_page(request, job, firm, counts=counts)
    with transaction.atomic():
        counts.save()
        propose_amounts(get_estimate(job, firm), firm)
    return redirect("job-work", job.pk)


def work_row(request: HttpRequest, job_id: int, item_id: int) -> HttpResponse:
    """Show the list with one line open to be changed, and save it."""
    job, firm = get_job(job_id), Firm.current()
    item = get_object_or_404(
        WorkItem.objects.select_related("assembly", "estimate"),
        pk=item_id,
        estimate=get_estimate(job, firm),
    )
    form = WorkRowForm(request.POST if request.method == "POST" else None, instance=item, metric=firm.metric)
    if request.method == "POST" and form.is_valid():
        with transaction.atomic(), undoable(item.estimate, f"“{item.title}” changed"):
            form.save_row()
        return redirect("job-work", job.pk)
    return _list_page(request, job, firm, row=form)


@require_POST
def work_marked(request: HttpRequest, job_id: int) -> HttpResponse:
    """Do something to all lines of the work that are marked."""
    job, firm = get_job(job_id), Firm.current()
    estimate = get_estimate(job, firm)
    form = MarkedForm(request.POST, items=estimate.items.all())
    if not form.is_valid():
        return _list_page(request, job, firm, marks=form)
    items, what = list(form.cleaned_data["marked"]), form.cleaned_data["what"]
    with transaction.atomic(), undoable(estimate, form.in_words()):
        if what == "move":
            move_to_phase(items, form.cleaned_data["phase"])
        elif what == "remove":
            remove(items)
        else:
            name = form.cleaned_data["option_name"] if what == "option" else ""
            set_options(items, is_option=what == "option", name=name)
    return redirect("job-work", job.pk)


@require_POST
def work_undo(request: HttpRequest, job_id: int) -> HttpResponse:
    """Undo what was last done to the list; a line that changed since stays as it is."""
    job, firm = get_job(job_id), Firm.current()
    with transaction.atomic():
        words, left = undo(get_estimate(job, firm))
    if left:
        stay = "1 line was" if left == 1 else f"{left} lines were"
        messages.warning(request, f"{stay} changed since and left as it stands.")
    elif words:
        messages.success(request, f"Undone: {words}.")
    return redirect("job-work", job.pk)


@require_POST
def work_move(request: HttpRequest, job_id: int, item_id: int) -> HttpResponse:
    """Move a work item up or down within its phase."""
    job = get_job(job_id)
    get_item(job, item_id).move(up=request.POST.get("way") == "up")
    return redirect(f"{reverse('job-work', args=[job.pk])}?order=1")


@require_POST
def work_order(request: HttpRequest, job_id: int) -> HttpResponse:
    """Put the work in the order of the catalog; work that it says nothing of stays as it stands."""
    job, firm = get_job(job_id), Firm.current()
    estimate = get_estimate(job, firm)
    with transaction.atomic(), undoable(estimate, "work put in order"):
        estimate.arrange(check_estimate(estimate, read_draft(estimate, firm, "first")).order)
    return redirect("job-work", job.pk)


def _list_page(
    request: HttpRequest,
    job: Job,
    firm: Firm,
    *,
    counts: CountsForm | None = None,
    row: WorkRowForm | None = None,
    marks: MarkedForm | None = None,
) -> HttpResponse:
    """Show the list of the work, with what was typed in one of its forms."""
    estimate = get_estimate(job, firm)
    draft = read_draft(estimate, firm, "first")
    if counts is None:
        counts = CountsForm(missing_counts=missing_counts(draft), metric=firm.metric)
    lead = lead_at_work(job.year_built)
    shown = [form for form in (counts, row, marks) if form is not None]
    context: dict[str, Any] = {
        "job": job,
        "place": "work",
        "estimate": estimate,
        "draft": draft,
        "counts": counts,
        "row_form": row,
        "marks": marks or MarkedForm(items=estimate.items.none()),
        "marked": request.POST.getlist("marked") if marks else [],
        "phases": work_by_phase(draft, firm.metric),
        "check": check_estimate(estimate, draft),
        "lead": lead,
        "disturbed": disturbed_in_words(draft, firm.metric) if lead else (),
        "ordering": "order" in request.GET,
        "undo": UndoStep.objects.filter(estimate=estimate).first(),
    }
    return render(request, "estimating/work/work.html", context, status=status_of(*shown))
