"""URLs of the end of jobs: the punch list, the certificate of completion, call-backs, care."""

from django.urls import URLPattern, path

from closing.views.call_backs import call_back, call_back_remove, call_backs
from closing.views.care import (
    care,
    care_material,
    care_pdf,
    client_care_pdf,
    client_material_paper,
    installed,
    installed_remove,
    material_paper,
    material_paper_remove,
    material_papers,
)
from closing.views.completion import completion
from closing.views.punch_list import (
    punch_list,
    punch_list_change,
    punch_list_done,
    punch_list_item,
    punch_list_open_again,
    punch_list_photo,
    punch_list_remove,
    punch_list_small_photo,
)

urlpatterns: list[URLPattern] = [
    path("jobs/<int:job_id>/punch-list/", punch_list, name="punch-list"),
    path("jobs/<int:job_id>/completion/", completion, name="completion"),
    path("jobs/<int:job_id>/care/", care, name="care"),
    path("jobs/<int:job_id>/care/sheet.pdf", care_pdf, name="care-pdf"),
    path("jobs/<int:job_id>/care/<int:material_id>/", care_material, name="care-material"),
    path("care/<int:row_id>/", installed, name="installed"),
    path("care/<int:row_id>/remove/", installed_remove, name="installed-remove"),
    path("materials/<int:pk>/papers/", material_papers, name="material-papers"),
    path("materials/papers/<int:paper_id>.pdf", material_paper, name="material-paper"),
    path("materials/papers/<int:paper_id>/remove/", material_paper_remove, name="material-paper-remove"),
    path("for-you/<int:link_id>/care.pdf", client_care_pdf, name="client-care-pdf"),
    path("for-you/<int:link_id>/makers-paper.pdf", client_material_paper, name="client-material-paper"),
    path("jobs/<int:job_id>/call-backs/", call_backs, name="call-backs"),
    path("call-backs/<int:row_id>/", call_back, name="call-back"),
    path("call-backs/<int:row_id>/remove/", call_back_remove, name="call-back-remove"),
    path("punch-list/<int:item_id>/", punch_list_item, name="punch-list-item"),
    path("punch-list/<int:item_id>/done/", punch_list_done, name="punch-list-done"),
    path("punch-list/<int:item_id>/open-again/", punch_list_open_again, name="punch-list-open-again"),
    path("punch-list/<int:item_id>/remove/", punch_list_remove, name="punch-list-remove"),
    path("punch-list/<int:item_id>/change/", punch_list_change, name="punch-list-change"),
    path("punch-list/photos/<int:photo_id>.jpg", punch_list_photo, name="punch-list-photo"),
    path("punch-list/photos/<int:photo_id>-small.jpg", punch_list_small_photo, name="punch-list-small-photo"),
]
