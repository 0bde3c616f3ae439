"""URLs of the days, hours and receipts of jobs, and of what is learned from them."""

from django.urls import URLPattern, path

from jobsite.views.clock import clock, clock_drop, clock_start, clock_stop
from jobsite.views.hours import hours, hours_edit, hours_remove, hours_typed
from jobsite.views.outcome import job_made, receipt_photos, records, records_file, year
from jobsite.views.own_jobs import own_jobs, suggestion_put_back, suggestion_set_aside, suggestion_take
from jobsite.views.receipt_lines import receipt_line_new, receipt_line_remove, receipt_price
from jobsite.views.receipts import (
    mileage,
    mileage_edit,
    mileage_remove,
    receipt,
    receipt_photo,
    receipt_remove,
    receipts,
    shopping_tick,
)

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

receipt_urls = [
    path("jobs/<int:job_id>/receipts/", receipts, name="receipts"),
    path("jobs/<int:job_id>/receipts/bought/", shopping_tick, name="shopping-tick"),
    path("receipts/<int:row_id>/", receipt, name="receipt"),
    path("receipts/<int:row_id>/photo.jpg", receipt_photo, name="receipt-photo"),
    path("receipts/<int:row_id>/remove/", receipt_remove, name="receipt-remove"),
    path("receipts/<int:row_id>/line/", receipt_line_new, name="receipt-line-new"),
    path("receipts/lines/<int:line_id>/remove/", receipt_line_remove, name="receipt-line-remove"),
    path("receipts/lines/<int:line_id>/price/", receipt_price, name="receipt-price"),
    path("jobs/<int:job_id>/mileage/", mileage, name="mileage"),
    path("mileage/<int:row_id>/", mileage_edit, name="mileage-edit"),
    path("mileage/<int:row_id>/remove/", mileage_remove, name="mileage-remove"),
]

outcome_urls = [
    path("jobs/<int:job_id>/made/", job_made, name="job-made"),
    path("year/", year, name="year"),
    path("records/", records, name="records"),
    path("records/<slug:name>.csv", records_file, name="records-file"),
    path("records/receipts-<int:year>-<int:month>.zip", receipt_photos, name="receipt-photos"),
]

own_jobs_urls = [
    path("catalog/own-jobs/", own_jobs, name="own-jobs"),
    path("catalog/own-jobs/take/", suggestion_take, name="suggestion-take"),
    path("catalog/own-jobs/set-aside/", suggestion_set_aside, name="suggestion-set-aside"),
    path("catalog/own-jobs/<int:pk>/put-back/", suggestion_put_back, name="suggestion-put-back"),
]

urlpatterns: list[URLPattern] = [
    *clock_urls,
    *hours_urls,
    *receipt_urls,
    *outcome_urls,
    *own_jobs_urls,
]
