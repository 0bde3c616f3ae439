"""The boards of a work item: how they lie, what was decided by hand, and the cut sheet."""

from typing import Any

from django.db import models, transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_GET, require_POST

from catalog.models import Firm, Material
from catalog.rows.values import CatalogSpecs
from estimating.boards.layouts import Laying
from estimating.changes.draft import draft_of
from estimating.documents.pdf import PangoMissing, make_pdf
from estimating.estimates.board_page import (
    Size,
    board_page,
    item_boards,
    laying_of,
    rules_in_force,
    sizes,
    starts,
    taken_of,
    usual_for,
)
from estimating.estimates.draft import Draft
from estimating.estimates.saved_layouts import keep
from estimating.estimates.snapshots import cut_sheet_on_paper, paper_name
from estimating.estimates.tile_page import has_tile, tile_page, usual_tile
from estimating.forms.boards import BoardChoiceForm, BoardRulesForm, TileForm
from estimating.models import BoardChoice, BoardRules, BoardSize, Estimate, WorkItem
from estimating.snapshots.cut_sheet import nothing_to_cut
from estimating.views.lookups import get_item, get_job
from estimating.views.pdf import pdf_response

AT_ONCE = 3  # surfaces that are laid in one answer, so that none takes long


def board(
    request: HttpRequest, job_id: int, item_id: int, room_id: int, surface: str, board: str
) -> HttpResponse:
    """One board on one surface: the drawing, its figures, and what he decides by hand.

    With htmx each change is saved and only the result comes back; without, the buttons save.
    """
    job, firm = get_job(job_id), Firm.current()
    item = get_item(job, item_id)
    draft = draft_of(item.estimate, firm, "first")
    laying = _laying(draft, item, (str(room_id), surface, board))
    material = get_object_or_404(Material, code=board)
    chosen = BoardChoice.objects.filter(room_id=room_id, surface=surface, material=material).first()
    form = BoardChoiceForm(
        request.POST if request.method == "POST" else None,
        instance=chosen or BoardChoice(room_id=room_id, surface=surface, material=material),
        laying=laying,
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
            laying = _laying(draft, item, laying.place)
        else:
            status = 422
    context = {
        **_context(job, item, draft, laying),
        "form": form,
        "screws": "screws" in request.GET,
        "page": board_page(draft, str(item.pk), laying, firm.metric, "screws" in request.GET),
        "starts": starts(draft.boards, laying) if "starts" in request.GET else None,
        "has_sizes": bool(material.sizes_of),
        "sizes": _sizes(draft, item, laying, material, firm) if "sizes" in request.GET else None,
        "surfaces": [row for each in item_boards(taken_of(draft, str(item.pk))) for row in each.rows],
        "rules": rules_in_force(
            laying.rules,
            usual_for(taken_of(draft, str(item.pk)), laying.place),
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
    _laying(draft_of(item.estimate, firm, "first"), item, (str(room_id), surface, board))
    laid = get_object_or_404(Material, code=board)
    instead = get_object_or_404(laid.sizes(), code=request.POST.get("instead", ""))
    before = BoardSize.objects.filter(job=job, instead=laid).select_related("board")
    named = [row.board for row in before] or [laid]
    with transaction.atomic():
        for each in named:
            BoardSize.objects.update_or_create(job=job, board=each, defaults={"instead": instead})
        BoardSize.objects.filter(job=job, board=models.F("instead")).delete()
    return redirect("board", job_id, item_id, room_id, surface, instead.code)


def board_rules(
    request: HttpRequest, job_id: int, item_id: int, room_id: int, surface: str, board: str
) -> HttpResponse:
    """The firm's own rules for a board, in every job."""
    job, firm = get_job(job_id), Firm.current()
    item = get_item(job, item_id)
    draft = draft_of(item.estimate, firm, "first")
    laying = _laying(draft, item, (str(room_id), surface, board))
    material = get_object_or_404(Material, code=board)
    form = BoardRulesForm(
        request.POST if request.method == "POST" else None,
        instance=BoardRules.objects.filter(material=material).first() or BoardRules(material=material),
        laying=laying,
        usual=usual_for(taken_of(draft, str(item.pk)), laying.place),
        metric=firm.metric,
    )
    if request.method == "POST" and form.is_valid():
        form.save()
        return redirect("board", job_id, item_id, room_id, surface, board)
    context = {**_context(job, item, draft, laying), "form": form}
    return render(request, "estimating/boards/rules.html", context, status=422 if form.errors else 200)


@require_POST
def boards_best(request: HttpRequest, job_id: int, estimate_id: int) -> HttpResponse:
    """Look for the best layouts of some surfaces of an estimate that have a first one only, and keep them.

    With htmx the page is told to show itself anew; without, it is gone back to.
    """
    estimate = get_object_or_404(Estimate.objects.select_related("change", "job"), pk=estimate_id, job=job_id)
    draft = draft_of(estimate, Firm.current(), "first")
    keep([draft.boards.look(laying, "best") for laying in draft.unsought[:AT_ONCE]], draft.boards.known)
    if request.headers.get("HX-Request"):
        return HttpResponse(status=204, headers={"HX-Trigger": "boards-laid"})
    back = request.POST.get("back", "")
    if url_has_allowed_host_and_scheme(back, allowed_hosts={request.get_host()}):
        return redirect(back)
    return redirect("job-work", job_id)


@require_GET
def tiles(request: HttpRequest, job_id: int, item_id: int) -> HttpResponse:
    """Tile of a work item as it would lie; with htmx each change shows anew."""
    job, firm = get_job(job_id), Firm.current()
    item = get_item(job, item_id)
    draft = draft_of(item.estimate, firm, "first")
    taken = taken_of(draft, str(item.pk))
    if not has_tile(taken):
        raise Http404("This work lays no tile of known size on a room's surface.")
    form = TileForm(request.GET if "start" in request.GET else None, usual_tile(taken), firm.metric)
    page = tile_page(draft, taken, form.wish(), firm.metric)
    live = request.headers.get("HX-Target") == "tile-result"
    context = {"job": job, "place": "work", "item": item, "draft": draft, "form": form, "page": page}
    template = "estimating/boards/_tiles.html" if live else "estimating/boards/tiles.html"
    return render(request, template, context, status=422 if form.errors else 200)


@require_GET
def cut_sheet_pdf(request: HttpRequest, job_id: int, item_id: int) -> HttpResponse:
    job, firm = get_job(job_id), Firm.current()
    item = get_item(job, item_id)
    draft = draft_of(item.estimate, firm)
    reasons: list[str] = nothing_to_cut(draft, str(item.pk))
    if not reasons:
        try:
            today, screws = timezone.localdate(), "screws" in request.GET
            pdf = make_pdf(cut_sheet_on_paper(item.estimate, firm, draft, item, today, screws))
            return pdf_response(pdf, paper_name(f"cut sheet {item.title[:40]}", job))
        except PangoMissing as error:
            reasons = str(error).splitlines()
    context = {"job": job, "place": "work", "item": item, "reasons": reasons, "draft": draft}
    return render(request, "estimating/boards/no_cut_sheet.html", context, status=409)


def _sizes(draft: Draft, item: WorkItem, laying: Laying, material: Material, firm: Firm) -> tuple[Size, ...]:
    specs = CatalogSpecs(firm).materials
    boards = [specs[pk] for pk in material.sizes().values_list("pk", flat=True)]
    return sizes(draft, str(item.pk), laying, boards, firm.metric)


def _laying(draft: Draft, item: WorkItem, place: tuple[str, str, str]) -> Laying:
    found = laying_of(taken_of(draft, str(item.pk)), place)
    if found is None:
        raise Http404("This work has no board there.")
    return found


def _context(job: Any, item: WorkItem, draft: Draft, laying: Laying) -> dict[str, Any]:
    room, surface, board = laying.place
    address = [job.pk, item.pk, int(room), surface, board]
    return {
        "job": job,
        "place": "work",
        "item": item,
        "draft": draft,
        "laying": laying,
        "here": reverse("board", args=address),
        "rules_page": reverse("board-rules", args=address),
        "size_page": reverse("board-size", args=address),
    }
