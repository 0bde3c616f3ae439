"""The addresses that phones ask."""

from django.urls import URLPattern, path

from phone.views.app import manifest, on_site, worker
from phone.views.contact import contact, kept_jobs
from phone.views.phones import phone_end, phones
from phone.views.records import record, record_kept

urlpatterns: list[URLPattern] = [
    path("app.webmanifest", manifest, name="manifest"),
    path("sw.js", worker, name="worker"),
    path("on-site/", on_site, name="on-site"),
    path("contact/", contact, name="contact"),
    path("phone/jobs/", kept_jobs, name="phone-jobs"),
    path("phone/records/", record, name="phone-records"),
    path("phone/records/<str:key>/", record_kept, name="phone-record"),
    path("phones/", phones, name="phones"),
    path("phones/<int:phone_id>/end/", phone_end, name="phone-end"),
]
