"""Rooms of a job: the list, the form of one room, its plan while it is typed."""

from dataclasses import replace

from django.contrib import messages
from django.db import transaction
from django.db.models import Prefetch, ProtectedError
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from catalog.models import Firm
from catalog.rows.ordering import move, next_position
from estimating.floor_structure.floor import CAUTION, judge
from estimating.forms.room_entry import Entry, entry_of, with_rows_changed, with_spare_rows
from estimating.forms.rooms import FloorForm, RoomForms
from estimating.models import Job, Room, RoomPhoto, WorkItem
from estimating.models.room_photo import photo_places
from estimating.rooms.description import ceiling_height_in_words
from estimating.rooms.outline import PlanError
from estimating.rooms.summary import RoomSummary, summarize_room, total_figures
from saving.forms import as_query, read_opened, status_of
from saving.once import saved_nothing, saves_nothing

PHOTOS = Prefetch("photos", RoomPhoto.objects.defer("content"))
NOTHING_YET = "Type the lengths of the walls, and the plan is drawn here."


@require_GET
def job_rooms(request: HttpRequest, job_id: int) -> HttpResponse:
    job, firm = _job(job_id), Firm.current()
    rooms = [
        (room, _summary(room, firm), ceiling_height_in_words(room.plan(), firm.metric))
        for room in job.rooms.prefetch_related("openings", "footprints", PHOTOS)
    ]
    totals = total_figures((summary for _, summary, _ in rooms), firm.deduct_rule, firm.metric)
    context = {"job": job, "place": "rooms", "rooms": rooms, "totals": totals}
    return render(request, "estimating/rooms/rooms.html", context)


def room_new(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show a new room: blank but for the ceiling height of the last, or a copy of one without its name."""
    job, firm = _job(job_id), Firm.current()
    copied = request.GET.get("copy", "")
    entry: Entry = {}
    if copied.isdecimal():
        entry = entry_of(get_object_or_404(job.rooms, pk=copied), firm.metric)
        entry = {**entry, "room": {**entry["room"], "name": ""}}
    elif last := job.rooms.last():
        entry = {"room": {"height": entry_of(last, firm.metric)["room"]["height"]}}
    return _room_page(request, Room(job=job, position=next_position(job.rooms.all())), firm, entry)


def room_edit(request: HttpRequest, room_id: int) -> HttpResponse:
    room, firm = _room(room_id), Firm.current()
    return _room_page(request, room, firm, entry_of(room, firm.metric))


def _room_page(request: HttpRequest, room: Room, firm: Firm, entry: Entry) -> HttpResponse:
    """Show or save the form of a room, new or stored; it starts out filled with `entry`."""
    status = 200
    blank = RoomForms(metric=firm.metric, entry=with_spare_rows(entry))
    stored = blank.texts() if room.pk else {}
    if request.method == "POST" and "rows" in request.POST:
        typed = RoomForms(metric=firm.metric, data=request.POST)
        summary = _summary_of_typed(typed, firm)
        changed = with_rows_changed(typed.typed, request.POST["rows"])
        forms = RoomForms(metric=firm.metric, entry=changed, stored=read_opened(request.POST))
    elif request.method == "POST":
        forms = RoomForms(metric=firm.metric, data=request.POST, stored=stored)
        summary = _summary_of_typed(forms, firm)
        if forms.is_valid():
            return _saved(request, forms.save(room))
        status = 409 if forms.conflicts else 422
        summary = replace(summary, remarks=())  # the list of errors has them
    else:
        forms = blank
        forms.stored = stored
        summary = RoomSummary(waiting=NOTHING_YET)
        if room.pk:  # of its rows as they stand in the form, which what is tapped on the plan goes by
            summary = _summary_of_typed(RoomForms(metric=firm.metric, data=as_query(stored)), firm)
    context = {
        "job": room.job,
        "place": "rooms",
        "room_name": room.name,
        "room": room if room.pk else None,
        "forms": forms,
        "form": forms.room,
        "summary": summary,
        "wrong": status != 200,
    }
    page = render(request, "estimating/rooms/form.html", context, status=status)
    return saved_nothing(page)  # rows were added or taken out, or something is wrong


def _saved(request: HttpRequest, room: Room) -> HttpResponse:
    messages.success(request, f"{room.name} is saved.")
    for use in room.work.select_related("item"):
        if use.has_lost_walls():
            messages.warning(
                request,
                f"{use.item.title} is on walls that {room.name} no longer has ({use.walls}):"
                " choose its walls again.",
            )
    return _to_room(room)


@saves_nothing
@require_POST
def room_plan(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show the plan and the measures of what is typed so far, as a fragment of the page."""
    get_object_or_404(Job, pk=job_id)
    firm = Firm.current()
    summary = _summary_of_typed(RoomForms(metric=firm.metric, data=request.POST), firm)
    return render(request, "estimating/rooms/_summary.html", {"summary": summary})


def room_floor(request: HttpRequest, room_id: int) -> HttpResponse:
    """Show or save what is known of the joists under a room's floor, and whether they carry tile."""
    room, metric = _room(room_id), Firm.current().metric
    form = FloorForm(request.POST or None, room=room, metric=metric)
    if request.method == "POST" and form.is_valid():
        room.joists = form.joists()
        room.save(update_fields=["joists"])
        messages.success(request, f"The floor of {room.name} is saved.")
        return redirect("room-floor", room.pk)
    floor = room.plan_with((), ()).joists
    context = {
        "job": room.job,
        "place": "rooms",
        "room": room,
        "form": form,
        "answer": judge(floor, metric) if floor and not form.is_bound else None,
        "caution": CAUTION,
    }
    return render(request, "estimating/rooms/floor.html", context, status=status_of(form))


def room_delete(request: HttpRequest, room_id: int) -> HttpResponse:
    room = _room(room_id)
    if request.method == "POST":
        try:
            room.delete()
        except ProtectedError:
            messages.error(request, f"{room.name} stays: work is on it. Take the work off first.")
        else:
            messages.success(request, f"{room.name} is deleted.")
        return redirect(room.job)
    work = WorkItem.objects.filter(in_rooms__room=room)
    context = {"job": room.job, "place": "rooms", "room": room, "work": work}
    return render(request, "estimating/rooms/delete.html", context)


@require_POST
@transaction.atomic
def room_move(request: HttpRequest, room_id: int) -> HttpResponse:
    """Move a room up or down by one in the list."""
    room = _room(room_id)
    move(room.job.rooms.all(), room, "up" if request.POST.get("to") == "up" else "down")
    return _to_room(room)


@require_GET
def room_photo(request: HttpRequest, photo_id: int) -> HttpResponse:
    photo = get_object_or_404(RoomPhoto, pk=photo_id)
    headers = {"X-Content-Type-Options": "nosniff", "Cache-Control": "no-store"}
    return HttpResponse(bytes(photo.content), content_type="image/jpeg", headers=headers)


@require_POST
def room_photo_remove(request: HttpRequest, photo_id: int) -> HttpResponse:
    """Remove a photo from its room; where it is on an estimate, it stays there."""
    photo = get_object_or_404(RoomPhoto.objects.select_related("room").defer("content"), pk=photo_id)
    photo.delete()
    messages.success(request, f"Photo {photo.number} is removed from {photo.room.name}.")
    return _to_room(photo.room)


def _job(job_id: int) -> Job:
    return get_object_or_404(Job.objects.select_related("client"), pk=job_id)


def _room(room_id: int) -> Room:
    return get_object_or_404(Room.objects.select_related("job__client"), pk=room_id)


def _to_room(room: Room) -> HttpResponseRedirect:
    return redirect(f"{reverse('job-rooms', args=[room.job_id])}#room-{room.pk}")


def _summary(room: Room, firm: Firm) -> RoomSummary:
    plan = replace(room.plan(), photos=photo_places(room.photos.all()))
    return summarize_room(
        plan, firm.deduct_rule, firm.cabinets_hide_walls, firm.metric, ident=f"plan-{room.pk}"
    )


def _summary_of_typed(forms: RoomForms, firm: Firm) -> RoomSummary:
    """Return the summary of what is typed so far; where it can't be drawn, the reason."""
    forms.read()
    try:
        summary = summarize_room(forms.plan, firm.deduct_rule, firm.cabinets_hide_walls, firm.metric)
        return replace(summary, unread_rows=forms.unread_rows)
    except PlanError as fault:
        return RoomSummary(remarks=(str(fault),))
    except KeyError:
        return RoomSummary(waiting=NOTHING_YET)
