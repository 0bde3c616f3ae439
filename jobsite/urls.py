"""URLs of the days, hours and receipts of jobs."""

from django.urls import URLPattern, path

from jobsite.views.clock import clock, clock_drop, clock_start, clock_stop
from jobsite.views.hours import hours, hours_edit, hours_remove, hours_typed

clock_urls = [
    path("clock/", clock, name="clock"),
    path("clock/stop/", clock_stop, name="clock-stop"),
    path("clock/drop/", clock_drop, name="clock-drop"),
    path("jobs/<int:job_id>/clock/", clock_start, name="clock-start"),
]

hours_urls = [
    path("jobs/<int:job_id>/hours/", hours, name="hours"),
    path("hours/typed/", hours_typed, name="hours-typed"),
    path("hours/<int:row_id>/", hours_edit, name="hours-edit"),
    path("hours/<int:row_id>/remove/", hours_remove, name="hours-remove"),
]

urlpatterns: list[URLPattern] = [*clock_urls, *hours_urls]
