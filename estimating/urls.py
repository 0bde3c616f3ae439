"""Addresses of jobs, rooms, work, prices and papers."""

from django.urls import path

from estimating.views.jobs import client_edit, job_edit, job_new
from estimating.views.lengths import length_reading
from estimating.views.rooms import job_rooms, room_delete, room_edit, room_move, room_new, room_plan
from estimating.views.today import today

job_urls: list = [
    path("", today, name="today"),
    path("jobs/new/", job_new, name="job-new"),
    path("jobs/<int:job_id>/edit/", job_edit, name="job-edit"),
    path("clients/<int:client_id>/", client_edit, name="client-edit"),
    path("jobs/<int:job_id>/rooms/", job_rooms, name="job-rooms"),
    path("jobs/<int:job_id>/rooms/new/", room_new, name="room-new"),
    path("jobs/<int:job_id>/rooms/plan/", room_plan, name="room-plan"),
    path("rooms/<int:room_id>/", room_edit, name="room-edit"),
    path("rooms/<int:room_id>/delete/", room_delete, name="room-delete"),
    path("rooms/<int:room_id>/move/", room_move, name="room-move"),
    path("length/", length_reading, name="length-reading"),
]
work_urls: list = []
paper_urls: list = []

urlpatterns = [*job_urls, *work_urls, *paper_urls]
