"""Rooms of a job: the list, the form of one room, its plan while it is typed."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from estimating.models import Job, Room


def job_rooms(request: HttpRequest, job_id: int) -> HttpResponse:
    job = get_object_or_404(Job.objects.select_related("client"), pk=job_id)
    return render(request, "estimating/rooms.html", {"job": job, "place": "rooms"})


def room_new(request: HttpRequest, job_id: int) -> HttpResponse:
    job = get_object_or_404(Job.objects.select_related("client"), pk=job_id)
    return render(request, "estimating/room_form.html", {"job": job, "place": "rooms"})


def room_edit(request: HttpRequest, room_id: int) -> HttpResponse:
    room = get_object_or_404(Room.objects.select_related("job__client"), pk=room_id)
    return render(request, "estimating/room_form.html", {"job": room.job, "room": room, "place": "rooms"})


@require_POST
def room_plan(request: HttpRequest, job_id: int) -> HttpResponse:
    get_object_or_404(Job, pk=job_id)
    return HttpResponse("")


def room_delete(request: HttpRequest, room_id: int) -> HttpResponse:
    return redirect(get_object_or_404(Room, pk=room_id).job)


@require_POST
def room_move(request: HttpRequest, room_id: int) -> HttpResponse:
    return redirect(get_object_or_404(Room, pk=room_id).job)
