"""The addresses that phones ask."""

from django.urls import URLPattern, path

from phone.views.app import manifest, on_site, worker
from phone.views.contact import contact, kept_jobs
from phone.views.devices import device_end, devices, devices_end, phone_end
from phone.views.records import record, record_kept

urlpatterns: list[URLPattern] = [
    path("app.webmanifest", manifest, name="manifest"),
    path("sw.js", worker, name="worker"),
    path("on-site/", on_site, name="on-site"),
    path("contact/", contact, name="contact"),
    path("phone/jobs/", kept_jobs, name="phone-jobs"),
    path("phone/records/", record, name="phone-records"),
    path("phone/records/<str:key>/", record_kept, name="phone-record"),
    path("firm/devices/", devices, name="devices"),
    path("firm/devices/end/", devices_end, name="devices-end"),
    path("firm/devices/<str:name>/end/", device_end, name="device-end"),
    path("firm/devices/signed-out/<int:phone_id>/end/", phone_end, name="phone-end"),
]
