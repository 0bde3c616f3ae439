"""URLs of the days, hours and receipts of jobs, and of what is learned from them."""

from django.urls import URLPattern, path

from jobsite.views.choices import (
    choice,
    choice_edit,
    choice_new,
    choice_offer_remove,
    choice_photo,
    choice_remind,
    choice_remove,
    choice_show,
    choices,
    client_choice_photo,
    client_choose,
    client_option,
)
from jobsite.views.clock import clock, clock_drop, clock_start, clock_stop
from jobsite.views.days import (
    days,
    days_again,
    days_begin,
    days_best,
    days_event,
    days_event_new,
    days_event_remove,
    days_step,
    days_step_done,
)
from jobsite.views.diary import (
    client_diary,
    client_diary_photo,
    client_reference,
    client_reference_photo,
    diary,
    diary_entry,
    diary_photo,
    diary_remove,
    job_references,
    reference_remove,
    references,
)
from jobsite.views.feeds import calendar_feed, feed_new, feed_withdraw
from jobsite.views.firm_days import (
    absence_new,
    absence_remove,
    firm_days,
    job_order,
    lead_time_new,
    lead_time_remove,
    work_week,
)
from jobsite.views.hours import hours, hours_edit, hours_remove, hours_typed
from jobsite.views.outcome import job_made, receipt_photos, records, records_file, year
from jobsite.views.own_jobs import own_jobs, suggestion_put_back, suggestion_set_aside, suggestion_take
from jobsite.views.permits import (
    inspection,
    inspection_new,
    lead_pamphlet_pdf,
    lead_record,
    lead_record_pdf,
    permit,
    permit_new,
    permit_photo,
    permit_remove,
    permits,
)
from jobsite.views.price_walk import price_walk
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
from jobsite.views.telling import (
    client_days_file,
    days_supplies,
    days_tell,
    days_week_door,
    days_week_site,
)

days_urls: list[URLPattern] = [
    path("prices/walk/", price_walk, name="price-walk"),
    path("jobs/<int:job_id>/days/", days, name="days"),
    path("jobs/<int:job_id>/days/again/", days_again, name="days-again"),
    path("jobs/<int:job_id>/days/shorter/", days_best, name="days-best"),
    path("jobs/<int:job_id>/days/begin/", days_begin, name="days-begin"),
    path("jobs/<int:job_id>/days/from-outside/", days_event_new, name="days-event-new"),
    path("jobs/<int:job_id>/days/from-outside/<int:event_id>/", days_event, name="days-event"),
    path(
        "jobs/<int:job_id>/days/from-outside/<int:event_id>/remove/",
        days_event_remove,
        name="days-event-remove",
    ),
    path("jobs/<int:job_id>/days/tell/", days_tell, name="days-tell"),
    path("jobs/<int:job_id>/days/week-for-the-door/", days_week_door, name="days-week-door"),
    path("jobs/<int:job_id>/days/week-on-site/", days_week_site, name="days-week-site"),
    path("jobs/<int:job_id>/days/supply-runs/", days_supplies, name="days-supplies"),
    path("jobs/<int:job_id>/days/step/<path:step>/", days_step, name="days-step"),
    path("jobs/<int:job_id>/days/left/<path:step>/", days_step_done, name="days-step-done"),
]
choice_urls: list[URLPattern] = [
    path("jobs/<int:job_id>/choices/", choices, name="choices"),
    path("jobs/<int:job_id>/choices/new/", choice_new, name="choice-new"),
    path("choices/<int:choice_id>/", choice, name="choice"),
    path("choices/<int:choice_id>/edit/", choice_edit, name="choice-edit"),
    path("choices/<int:choice_id>/remove/", choice_remove, name="choice-remove"),
    path("choices/<int:choice_id>/show/", choice_show, name="choice-show"),
    path("choices/<int:choice_id>/remind/", choice_remind, name="choice-remind"),
    path("choices/offers/<int:offer_id>/remove/", choice_offer_remove, name="choice-offer-remove"),
    path("choices/offers/<int:offer_id>/picture/", choice_photo, name="choice-photo"),
    path("for-you/job/<int:page_id>/choose/<int:choice_id>/", client_choose, name="client-choose"),
    path(
        "for-you/job/<int:page_id>/option/<int:document_id>/<slug:key>/", client_option, name="client-option"
    ),
    path(
        "for-you/job/<int:page_id>/choose/picture/<int:offer_id>/",
        client_choice_photo,
        name="client-choice-photo",
    ),
]
diary_urls: list[URLPattern] = [
    path("jobs/<int:job_id>/diary/", diary, name="diary"),
    path("diary/<int:entry_id>/", diary_entry, name="diary-entry"),
    path("diary/<int:entry_id>/remove/", diary_remove, name="diary-remove"),
    path("diary/photos/<int:photo_id>/<slug:size>/", diary_photo, name="diary-photo"),
    path("for-you/job/<int:page_id>/site/", client_diary, name="client-diary"),
    path(
        "for-you/job/<int:page_id>/site/<int:photo_id>/<slug:size>/",
        client_diary_photo,
        name="client-diary-photo",
    ),
]
reference_urls: list[URLPattern] = [
    path("before-and-after/", references, name="references"),
    path("jobs/<int:job_id>/before-and-after/", job_references, name="job-references"),
    path("before-and-after/<int:reference_id>/remove/", reference_remove, name="reference-remove"),
    path(
        "for-you/job/<int:page_id>/before-and-after/<int:reference_id>/",
        client_reference,
        name="client-reference",
    ),
    path(
        "for-you/job/<int:page_id>/before-and-after/<int:reference_id>/<slug:side>.jpg",
        client_reference_photo,
        name="client-reference-photo",
    ),
]
permit_urls: list[URLPattern] = [
    path("jobs/<int:job_id>/permits/", permits, name="permits"),
    path("jobs/<int:job_id>/permits/new/", permit_new, name="permit-new"),
    path("permits/<int:permit_id>/", permit, name="permit"),
    path("permits/<int:permit_id>/remove/", permit_remove, name="permit-remove"),
    path("permits/<int:permit_id>/inspections/new/", inspection_new, name="inspection-new"),
    path("permits/photos/<int:photo_id>/", permit_photo, name="permit-photo"),
    path("inspections/<int:event_id>/", inspection, name="inspection"),
    path("jobs/<int:job_id>/lead/", lead_record, name="lead-record"),
    path("jobs/<int:job_id>/lead/pamphlet.pdf", lead_pamphlet_pdf, name="lead-pamphlet-pdf"),
    path("jobs/<int:job_id>/lead/record.pdf", lead_record_pdf, name="lead-record-pdf"),
]
firm_days_urls: list[URLPattern] = [
    path("days/", firm_days, name="firm-days"),
    path("days/hours/", work_week, name="work-week"),
    path("days/off/", absence_new, name="absence-new"),
    path("days/off/<int:absence_id>/remove/", absence_remove, name="absence-remove"),
    path("days/lead-times/", lead_time_new, name="lead-time-new"),
    path("days/lead-times/<int:lead_time_id>/remove/", lead_time_remove, name="lead-time-remove"),
    path("days/calendars/", feed_new, name="feed-new"),
    path("days/calendars/<int:feed_id>/withdraw/", feed_withdraw, name="feed-withdraw"),
    path("calendar/<str:secret>/days.ics", calendar_feed, name="calendar-feed"),
    path("for-you/<int:link_id>/days.ics", client_days_file, name="client-days-file"),
    path("days/order/<int:job_id>/", job_order, name="job-order"),
]

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
    *days_urls,
    *firm_days_urls,
    *clock_urls,
    *hours_urls,
    *receipt_urls,
    *choice_urls,
    *diary_urls,
    *reference_urls,
    *permit_urls,
    *outcome_urls,
    *own_jobs_urls,
]
