"""The punch list of a job: the walk-through, and each item to its end."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from catalog.models import Firm
from closing.forms.items import DoneForm, ItemForm
from closing.models import PunchListItem, PunchListPhoto
from closing.punch_list.items import why_not_over
from closing.punch_list.read import OUT_TO_SIGN, PunchList, get_item, item_of, read_list
from closing.punch_list.write import add_item_photos, close_item, open_again, put_on_list, wish_to_change
from estimating.changes.draft import signed_job
from estimating.changes.issue import NOT_SIGNED
from estimating.forms.photos import takes_photos
from estimating.plain_text import day_in_words
from estimating.views.lookups import get_job
from saving.forms import status_of

DONE_BEFORE = "It was marked done on {} already. Nothing changed but further photos."


def for_item(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Call the view with the item of its address, or answer 404."""

    @wraps(view)
    def answered(request: HttpRequest, item_id: int) -> HttpResponse:
        row = get_item(item_id)
        if row is None:
            raise Http404
        return view(request, row)

    return answered


def for_open_list(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Let a view change an item while its list can change; else lead to the list, which says why not."""

    @for_item
    @wraps(view)
    def answered(request: HttpRequest, row: PunchListItem) -> HttpResponse:
        if fixed := read_list(row.job, lock=True).why_fixed:
            messages.warning(request, fixed)
            return redirect("punch-list", row.job_id)
        return view(request, row)

    return answered


@takes_photos
@require_http_methods(["GET", "POST"])
def punch_list(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show the list, and take a further item while both walk through."""
    job = get_job(job_id)
    shown = read_list(job, lock=request.method == "POST")
    if request.method == "POST" and shown.why_fixed:
        messages.warning(request, shown.why_fixed)
        return redirect("punch-list", job.pk)
    last = shown.rows[-1].row if shown.rows else None
    form = ItemForm(
        request.POST or None,
        request.FILES or None,
        instance=PunchListItem(job=job),
        initial={"room": last.room_id if last else None},
        rooms=job.rooms.all(),
        others=shown.items,
        to_ask=shown.to_ask,
    )
    if form.is_valid():
        row = form.save(commit=False)
        put_on_list(row, timezone.localdate(), form.cleaned_data["photos"])
        messages.success(request, f"“{row}” is on the list.")
        return redirect("punch-list", job.pk)
    return _list_page(request, shown, form)


def _list_page(request: HttpRequest, shown: PunchList, form: ItemForm) -> HttpResponse:
    context = {
        "job": shown.job,
        "place": "days",
        "list": shown,
        "form": form,
        "reasons": () if shown.end else why_not_over(shown.items),
        "out_to_sign": shown.why_fixed == OUT_TO_SIGN,
    }
    return render(request, "closing/punch_list.html", context, status=status_of(form))


@takes_photos
@require_http_methods(["GET", "POST"])
@for_item
def punch_list_item(request: HttpRequest, row: PunchListItem) -> HttpResponse:
    """Show an item with its photos, mark it done, and correct it while the list can change."""
    shown = read_list(row.job, lock=request.method == "POST")
    item = item_of(row)
    form = ItemForm(
        request.POST or None,
        request.FILES or None,
        instance=row,
        rooms=row.job.rooms.all(),
        others=shown.others(row),
        to_ask=shown.to_ask,
        is_signed=item.is_signed,
    )
    if request.method == "POST" and shown.why_fixed:
        messages.warning(request, shown.why_fixed)
        return redirect(row)
    if form.is_valid():
        with transaction.atomic():
            form.save()
            add_item_photos(row, form.cleaned_data["photos"])
        messages.success(request, "Saved.")
        return redirect("punch-list", row.job_id)
    return _item_page(request, row, shown, form, DoneForm())


def _item_page(
    request: HttpRequest, row: PunchListItem, shown: PunchList, form: ItemForm, done: DoneForm
) -> HttpResponse:
    context: dict[str, Any] = {
        "job": row.job,
        "place": "days",
        "row": row,
        "item": item_of(row),
        "photos": row.photos.defer("content", "small"),
        "list": shown,
        "form": form,
        "done": done,
    }
    return render(request, "closing/item.html", context, status=status_of(form, done))


@takes_photos
@require_POST
@for_item
def punch_list_done(request: HttpRequest, row: PunchListItem) -> HttpResponse:
    """Mark an item done, with a photo where there is one; also after the end was signed with it left."""
    item, shown = item_of(row), read_list(row.job)
    form = DoneForm(request.POST, request.FILES)
    if not form.is_valid():
        edit = ItemForm(
            instance=row, rooms=row.job.rooms.all(), others=shown.others(row), to_ask=shown.to_ask
        )
        return _item_page(request, row, shown, edit, form)
    if not item.in_scope:
        messages.warning(request, "It isn't in the scope, so there is nothing to finish of it.")
        return redirect(row)
    today = timezone.localdate()
    if close_item(row, today, form.cleaned_data["photos"]):
        held = f" ${item.holds:,.2f} of what was held back can be billed." if item.holds else ""
        messages.success(request, f"“{row}” is done.{held}")
    else:
        messages.info(request, DONE_BEFORE.format(day_in_words(row.done_on or today)))
    return redirect("punch-list", row.job_id)


@require_POST
@for_open_list
def punch_list_open_again(request: HttpRequest, row: PunchListItem) -> HttpResponse:
    """Take the mark of an item back, while the list can change."""
    open_again(row)
    messages.success(request, f"“{row}” is open again.")
    return redirect(row)


@require_POST
@for_open_list
def punch_list_remove(request: HttpRequest, row: PunchListItem) -> HttpResponse:
    """Remove an item that was put on the list by mistake."""
    if row.change_id:
        messages.warning(request, "It is on a change order: throw that away first.")
        return redirect(row)
    row.delete()
    messages.success(request, f"“{row}” is removed from the list.")
    return redirect("punch-list", row.job_id)


@require_POST
@for_open_list
def punch_list_change(request: HttpRequest, row: PunchListItem) -> HttpResponse:
    """Begin a change order of a new wish, and go to it."""
    if row.whose != PunchListItem.Whose.WISH:
        messages.warning(request, "Only a new wish becomes a change order: what was signed for is finished.")
        return redirect(row)
    signed = signed_job(row.job)
    if signed is None:
        messages.warning(request, NOT_SIGNED)
        return redirect(row)
    return redirect(wish_to_change(row, signed, Firm.current(), timezone.localdate()))


@require_GET
def punch_list_photo(request: HttpRequest, photo_id: int) -> HttpResponse:
    return _picture(get_object_or_404(PunchListPhoto.objects.defer("small"), pk=photo_id).content)


@require_GET
def punch_list_small_photo(request: HttpRequest, photo_id: int) -> HttpResponse:
    return _picture(get_object_or_404(PunchListPhoto.objects.defer("content"), pk=photo_id).small)


def _picture(content: bytes | memoryview) -> HttpResponse:
    headers = {"X-Content-Type-Options": "nosniff", "Cache-Control": "no-store"}
    return HttpResponse(bytes(content), content_type="image/jpeg", headers=headers)
