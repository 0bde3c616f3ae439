"""The boards and the tile of a work item: how they lie, what was decided by hand, and the cut sheet."""

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_GET, require_POST

from catalog.models import Firm, Material
from catalog.rows.values import CatalogReader
from estimating.boards.layout_request import LayoutRequest, SurfaceRef
from estimating.changes.draft import draft_of
from estimating.documents.pdf import PangoMissing, make_pdf
from estimating.estimates.board_page import (
    OtherSize,
    board_page,
    item_boards,
    layout_request_of,
    other_sizes,
    other_starts,
    quantities_of,
    rules_in_force,
    usual_rules_for,
)
from estimating.estimates.draft import Draft
from estimating.estimates.saved_layouts import lay_in_size, save_layouts
from estimating.estimates.snapshots import pdf_file_name, read_cut_sheet_snapshot
from estimating.estimates.tile_page import first_tile, tile_page
from estimating.forms.boards import BoardChoiceForm, BoardRulesForm, TileForm
from estimating.models import BoardChoice, BoardRules, Estimate, Job, WorkItem
from estimating.snapshots.cut_sheet import nothing_to_cut
from estimating.views.lookups import get_item, get_job
from estimating.views.pdf import pdf_response
from saving.forms import status_of
from saving.once import keeps_own_transactions

LAYOUTS_AT_ONCE = 3  # searched for in one answer, so that none takes long


def board(
    request: HttpRequest, job_id: int, item_id: int, room_id: int, surface: str, board: str
) -> HttpResponse:
    """Show one board on one surface: the drawing, its figures, and what is decided by hand.

    With htmx each change is saved and only the result comes back; without, the buttons save.
    """
    job, firm = get_job(job_id), Firm.current()
    item = get_item(job, item_id)
    draft = draft_of(item.estimate, firm, "first")
    layout_request = _layout_request(draft, item, SurfaceRef(str(room_id), surface, board))
    material = get_object_or_404(Material, code=board)
    chosen = BoardChoice.objects.filter(room_id=room_id, surface=surface, material=material).first()
    form = BoardChoiceForm(
        request.POST if request.method == "POST" else None,
        instance=chosen or BoardChoice(room_id=room_id, surface=surface, material=material),
        layout_request=layout_request,
        boards=draft.boards,
        metric=firm.metric,
    )
    live, status = request.headers.get("HX-Target") == "board-result", 200
    if request.method == "POST":
        if form.is_valid():
            form.save()
            if not live:
                return redirect("board", job_id, item_id, room_id, surface, board)
            draft = draft_of(item.estimate, firm, "first")
            layout_request = _layout_request(draft, item, layout_request.surface_ref)
        else:
            status = status_of(form)
    quantities = quantities_of(draft, str(item.pk))
    context = {
        **_context(job, item, draft, layout_request),
        "form": form,
        "screws": "screws" in request.GET,
        "page": board_page(draft, str(item.pk), layout_request, firm.metric, "screws" in request.GET),
        "starts": other_starts(draft.boards, layout_request) if "starts" in request.GET else None,
        "has_sizes": bool(material.sizes_of),
        "sizes": _sizes(draft, item, layout_request, material, firm) if "sizes" in request.GET else None,
        "surfaces": [row for boards in item_boards(quantities) for row in boards.rows],
        "rules": rules_in_force(
            layout_request.rules,
            usual_rules_for(quantities, layout_request.surface_ref),
            BoardRules.objects.filter(material=material).values_list("source", flat=True).first() or "",
            firm.metric,
        ),
    }
    page = "estimating/boards/_result.html" if live else "estimating/boards/board.html"
    return render(request, page, context, status=status)


@require_POST
def board_size(
    request: HttpRequest, job_id: int, item_id: int, room_id: int, surface: str, board: str
) -> HttpResponse:
    """Lay this board in another size throughout the job, or in its own again."""
    job, firm = get_job(job_id), Firm.current()
    item = get_item(job, item_id)
    _layout_request(draft_of(item.estimate, firm, "first"), item, SurfaceRef(str(room_id), surface, board))
    material = get_object_or_404(Material, code=board)
    size = get_object_or_404(material.sizes(), code=request.POST.get("instead", ""))
    lay_in_size(job, material, size)
    return redirect("board", job_id, item_id, room_id, surface, size.code)


def board_rules(
    request: HttpRequest, job_id: int, item_id: int, room_id: int, surface: str, board: str
) -> HttpResponse:
    """Show the firm's own rules for a board, in every job."""
    job, firm = get_job(job_id), Firm.current()
    item = get_item(job, item_id)
    draft = draft_of(item.estimate, firm, "first")
    layout_request = _layout_request(draft, item, SurfaceRef(str(room_id), surface, board))
    material = get_object_or_404(Material, code=board)
    form = BoardRulesForm(
        request.POST if request.method == "POST" else None,
        instance=BoardRules.objects.filter(material=material).first() or BoardRules(material=material),
        layout_request=layout_request,
        usual=usual_rules_for(quantities_of(draft, str(item.pk)), layout_request.surface_ref),
        metric=firm.metric,
    )
    if request.method == "POST" and form.is_valid():
        form.save()
        return redirect("board", job_id, item_id, room_id, surface, board)
    context = {**_context(job, item, draft, layout_request), "form": form}
    return render(request, "estimating/boards/rules.html", context, status=status_of(form))


@keeps_own_transactions
@require_POST
def boards_best(request: HttpRequest, job_id: int, estimate_id: int) -> HttpResponse:
    """Search for the best layouts of a few surfaces that have only a first answer so far, and save them.

    With htmx the page is told to refresh itself; without, the answer leads back to it.
    """
    estimate = get_object_or_404(Estimate.objects.select_related("change", "job"), pk=estimate_id, job=job_id)
    draft = draft_of(estimate, Firm.current(), "first")
    pending = draft.not_yet_optimized[:LAYOUTS_AT_ONCE]
    save_layouts([draft.boards.layout_for(layout, "best") for layout in pending], draft.boards)
    if not pending:
        save_layouts(draft.best_shared(), draft.boards)
    if request.headers.get("HX-Request"):
        return HttpResponse(status=204, headers={"HX-Trigger": "better-found"})
    back = request.POST.get("back", "")
    if url_has_allowed_host_and_scheme(back, allowed_hosts={request.get_host()}):
        return redirect(back)
    return redirect("job-work", job_id)


@require_GET
def tiles(request: HttpRequest, job_id: int, item_id: int) -> HttpResponse:
    """Show the tile of a work item as it would lie; with htmx each change shows the result again."""
    job, firm = get_job(job_id), Firm.current()
    item = get_item(job, item_id)
    draft = draft_of(item.estimate, firm, "first")
    quantities = quantities_of(draft, str(item.pk))
    tile_use = first_tile(quantities)
    if tile_use is None:
        raise Http404("This work lays no tile of known size on a room's surface.")
    form = TileForm(request.GET if "start" in request.GET else None, tile_use.usual, firm.metric)
    page = tile_page(draft, quantities, tile_use, form.preferences(), firm.metric)
    live = request.headers.get("HX-Target") == "tile-result"
    context = {"job": job, "place": "work", "item": item, "draft": draft, "form": form, "page": page}
    template = "estimating/boards/_tiles.html" if live else "estimating/boards/tiles.html"
    return render(request, template, context, status=status_of(form))


@require_GET
def cut_sheet_pdf(request: HttpRequest, job_id: int, item_id: int) -> HttpResponse:
    job, firm = get_job(job_id), Firm.current()
    item = get_item(job, item_id)
    draft = draft_of(item.estimate, firm)
    reasons: list[str] = nothing_to_cut(draft, str(item.pk))
    if not reasons:
        try:
            today, screws = timezone.localdate(), "screws" in request.GET
            pdf = make_pdf(read_cut_sheet_snapshot(item.estimate, firm, draft, item, today, screws))
            return pdf_response(pdf, pdf_file_name(f"cut sheet {item.title[:40]}", job))
        except PangoMissing as error:
            reasons = str(error).splitlines()
    context = {"job": job, "place": "work", "item": item, "reasons": reasons, "draft": draft}
    return render(request, "estimating/boards/no_cut_sheet.html", context, status=409)


def _sizes(
    draft: Draft, item: WorkItem, layout_request: LayoutRequest, material: Material, firm: Firm
) -> tuple[OtherSize, ...]:
    reader = CatalogReader(firm).materials
    boards = [reader[pk] for pk in material.sizes().values_list("pk", flat=True)]
    return other_sizes(draft, str(item.pk), layout_request, boards, firm.metric)


def _layout_request(draft: Draft, item: WorkItem, surface_ref: SurfaceRef) -> LayoutRequest:
    """Return the request for a board of a work item. Raises Http404 where the work has none there."""
    layout_request = layout_request_of(quantities_of(draft, str(item.pk)), surface_ref)
    if layout_request is None:
        raise Http404("This work has no board there.")
    return layout_request


def _context(job: Job, item: WorkItem, draft: Draft, layout_request: LayoutRequest) -> dict[str, Any]:
    room, surface, board = layout_request.surface_ref
    address = [job.pk, item.pk, int(room), surface, board]
    return {
        "job": job,
        "place": "work",
        "item": item,
        "draft": draft,
        "layout_request": layout_request,
        "here": reverse("board", args=address),
        "rules_page": reverse("board-rules", args=address),
        "size_page": reverse("board-size", args=address),
    }
