"""The Work page of a job: what is put on which rooms."""

from typing import Any

from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from catalog.models import Assembly, Firm, Material
from catalog.rows.values import CatalogReader
from estimating.changes.draft import draft_of
from estimating.estimates.board_page import item_boards, quantities_of
from estimating.estimates.proposed import propose_amounts
from estimating.estimates.tile_page import first_tile
from estimating.estimates.work_list import undoable
from estimating.estimates.work_page import item_detail
from estimating.forms.add_work import AddWorkForm
from estimating.forms.work import WorkItemForm
from estimating.models import Job, Room, WorkItem
from estimating.snapshots.cut_sheet import cut_lists
from estimating.views.lookups import get_estimate, get_item, get_job, is_signed, list_url
from saving.forms import status_of


def add_work_form(request: HttpRequest, job: Job, firm: Firm) -> AddWorkForm:
    """Return the form with what was chosen so far; it isn't checked while somebody only searches in it."""
    given: dict[str, Any] = {"rooms": job.rooms.all(), "metric": firm.metric}
    if "finding" in request.POST:
        return AddWorkForm.finding(request.POST, **given)
    return AddWorkForm(request.POST if request.method == "POST" else None, **given)


def work_add(request: HttpRequest, job_id: int) -> HttpResponse:
    """Choose kits and assemblies, choose rooms: each becomes a work item."""
    job, firm = get_job(job_id), Firm.current()
    estimate = get_estimate(job, firm)
    form = add_work_form(request, job, firm)
    if form.is_valid():
        with transaction.atomic():
            made = form.put_on(estimate)
            propose_amounts(estimate, firm)
        if len(made) == 1:
            return redirect("work-item", job.pk, made[0].pk)
        return redirect("job-work", job.pk)
    already = set(estimate.items.values_list("assembly_id", flat=True))
    context = {"job": job, "place": "work", "form": form, "already": already}
    return render(request, "estimating/work/add.html", context, status=status_of(form))


def work_line_new(request: HttpRequest, job_id: int) -> HttpResponse:
    """Add a hand-typed line: hours and costs without an assembly."""
    job, firm = get_job(job_id), Firm.current()
    form = WorkItemForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        item = form.save(commit=False)
        with transaction.atomic():
            item.estimate = get_estimate(job, firm)
            item.position = item.estimate.items.count()
            item.save()
        return redirect("job-work", job.pk)
    context = {"job": job, "place": "work", "form": form}
    return render(request, "estimating/work/line_new.html", context, status=status_of(form))


def work_item(request: HttpRequest, job_id: int, item_id: int) -> HttpResponse:
    """Show one work item: its rooms, measures and costs on the left, what they make on the right.

    With htmx each change is saved and only the right side comes back; without, the button saves.
    """
    job, firm = get_job(job_id), Firm.current()
    item = get_item(job, item_id)
    if is_signed(item):
        return redirect(list_url(item))
    form = _item_form(request, item, firm)
    live = bool(request.headers.get("HX-Request"))
    status = 200
    if request.method == "POST":
        if form.is_valid():
            material_pks = dict(Material.objects.values_list("code", "pk"))
            with transaction.atomic():
                form.save()
                form.write_parts(item, material_pks)
            if not live:
                return redirect(list_url(item))
        else:
            status = status_of(form)
    key, draft = str(item.pk), draft_of(item.estimate, firm, "first")
    quantities = quantities_of(draft, key)
    rooms = quantities.work.rooms
    context = {
        "job": job,
        "place": "work",
        "item": item,
        "form": form,
        "draft": draft,
        "room": rooms[0].room if rooms else "",
        "sticks": cut_lists(draft, key, firm.metric),
        "tiled": first_tile(quantities) is not None,
        "boards": item_boards(quantities, firm.metric),
        "detail": item_detail(draft, key, firm.metric, job.year_built, job.state),
    }
    page = "estimating/work/_item_result.html" if live else "estimating/work/item.html"
    return render(request, page, context, status=status)


def _item_form(request: HttpRequest, item: WorkItem, firm: Firm) -> WorkItemForm:
    form = WorkItemForm(
        request.POST if request.method == "POST" else None,
        instance=item,
        rooms=Room.objects.filter(job=item.estimate.job_id),
        assembly=CatalogReader(firm).assembly(item.assembly_id) if item.assembly_id else None,
        metric=firm.metric,
    )
    if hasattr(item.estimate, "change"):
        form.drop_options()
    return form


def work_remove(request: HttpRequest, job_id: int, item_id: int) -> HttpResponse:
    """Remove a work item. It asks first, since what was typed on the line goes with it."""
    job = get_job(job_id)
    item = get_item(job, item_id)
    if is_signed(item):
        return redirect(list_url(item))
    if request.method == "POST":
        with transaction.atomic(), undoable(item.estimate, f"“{item.title}” removed"):
            item.delete()
        return redirect(list_url(item))
    context = {
        "job": job,
        "place": "work",
        "name": item.title,
        "undoable": not hasattr(item.estimate, "change"),
        "back": reverse("work-item", args=[job.pk, item.pk]),
    }
    return render(request, "estimating/jobs/remove_question.html", context)


@require_POST
def companion_add(request: HttpRequest, job_id: int, assembly_id: int) -> HttpResponse:
    """Put a companion on the rooms of the work that asks for it."""
    job, firm, companion = get_job(job_id), Firm.current(), get_object_or_404(Assembly, pk=assembly_id)
    estimate = get_estimate(job, firm)
    with transaction.atomic():
        item = estimate.add_companion(companion)
        propose_amounts(estimate, firm)
    return redirect("work-item", job.pk, item.pk)


@require_POST
def companion_set_aside(request: HttpRequest, job_id: int, assembly_id: int) -> HttpResponse:
    """Set a companion aside: the estimate then lists it as not included.

    Where the firm has it or it doesn't occur (`why=none`), there is nothing to leave out, and nothing prints.
    """
    job, firm, companion = get_job(job_id), Firm.current(), get_object_or_404(Assembly, pk=assembly_id)
    is_printed = request.POST.get("why") != "none"
    get_estimate(job, firm).asides.get_or_create(assembly=companion, defaults={"is_printed": is_printed})
    return redirect("job-work", job.pk)
