"""URLs of jobs, rooms, work, prices, documents, changes and the client's page."""

from django.urls import URLPattern, path

from estimating.views.boards import board, board_rules, board_size, boards_best, cut_sheet_pdf, tiles
from estimating.views.changes.drafts import (
    change_discard,
    change_edit,
    change_issue,
    change_new,
    change_page,
    change_pdf,
    change_photo,
    change_photo_remove,
    change_terms,
    contract_pdf,
)
from estimating.views.changes.lines import (
    change_agreed_new,
    change_brought_new,
    change_choice,
    change_difference,
    change_line_new,
    change_line_remove,
    change_take_out,
    change_work_add,
)
from estimating.views.changes.unit_prices import change_found, change_option
from estimating.views.client.extension import document_late
from estimating.views.client.files import checker, client_pdf, client_signed_file, client_signed_pdf
from estimating.views.client.go_ahead import document_go_ahead
from estimating.views.client.job_page import client_job, job_link, job_link_withdraw
from estimating.views.client.page import (
    client_ask,
    client_cancel,
    client_decline,
    client_open,
    client_opened,
    client_page,
    client_sign,
    client_sum,
)
from estimating.views.client.sending import (
    document_answer,
    document_cancel,
    document_paper_signature,
    document_receipts,
    document_send,
    document_signed_file,
    document_signed_pdf,
    document_withdraw,
    link_withdraw,
    signature_scan,
)
from estimating.views.compare import compare_assemblies
from estimating.views.documents import document_issue, document_page, document_pdf
from estimating.views.hidden_conditions import (
    condition_edit,
    condition_from_catalog,
    condition_new,
    condition_remove,
    hidden_conditions,
)
from estimating.views.jobs import client_edit, job_comes_to, job_edit, job_new
from estimating.views.lengths import length_reading
from estimating.views.papers import (
    estimate_pdf,
    estimate_photo,
    estimate_photo_remove,
    estimate_photos,
    job_papers,
    letterhead,
    shopping_list_pdf,
)
from estimating.views.prices import (
    allowance_edit,
    allowance_new,
    allowance_remove,
    hours_basis,
    hours_together,
    job_price,
    job_words,
    margin_keep,
    on_hand,
)
from estimating.views.rooms import (
    job_rooms,
    room_delete,
    room_edit,
    room_floor,
    room_move,
    room_new,
    room_photo,
    room_photo_remove,
    room_plan,
)
from estimating.views.search import clients, jobs, papers, search
from estimating.views.today import first_step, mail_again, mail_drop, today
from estimating.views.work import (
    companion_add,
    companion_set_aside,
    work_add,
    work_item,
    work_line_new,
    work_remove,
)
from estimating.views.work_list import job_work, work_marked, work_move, work_order, work_row, work_undo

job_urls: list[URLPattern] = [
    path("", today, name="today"),
    path("mail-again/", mail_again, name="mail-again"),
    path("mail/<int:mail_id>/drop/", mail_drop, name="mail-drop"),
    path("first-steps/<slug:code>/", first_step, name="first-step"),
    path("jobs/", jobs, name="jobs"),
    path("search/", search, name="search"),
    path("clients/", clients, name="clients"),
    path("paperwork/", papers, name="papers"),
    path("jobs/new/", job_new, name="job-new"),
    path("jobs/<int:job_id>/edit/", job_edit, name="job-edit"),
    path("jobs/<int:job_id>/comes-to/", job_comes_to, name="job-comes-to"),
    path("clients/<int:client_id>/", client_edit, name="client-edit"),
    path("jobs/<int:job_id>/rooms/", job_rooms, name="job-rooms"),
    path("jobs/<int:job_id>/rooms/new/", room_new, name="room-new"),
    path("jobs/<int:job_id>/rooms/plan/", room_plan, name="room-plan"),
    path("rooms/<int:room_id>/", room_edit, name="room-edit"),
    path("rooms/<int:room_id>/floor/", room_floor, name="room-floor"),
    path("rooms/photos/<int:photo_id>.jpg", room_photo, name="room-photo"),
    path("rooms/photos/<int:photo_id>/remove/", room_photo_remove, name="room-photo-remove"),
    path("rooms/<int:room_id>/delete/", room_delete, name="room-delete"),
    path("rooms/<int:room_id>/move/", room_move, name="room-move"),
    path("length/", length_reading, name="length-reading"),
]
work_urls: list[URLPattern] = [
    path("jobs/<int:job_id>/work/", job_work, name="job-work"),
    path("jobs/<int:job_id>/work/add/", work_add, name="work-add"),
    path("jobs/<int:job_id>/work/order/", work_order, name="work-order"),
    path("jobs/<int:job_id>/work/line/", work_line_new, name="work-line-new"),
    path("jobs/<int:job_id>/work/<int:item_id>/", work_item, name="work-item"),
    path("jobs/<int:job_id>/work/marked/", work_marked, name="work-marked"),
    path("jobs/<int:job_id>/work/undo/", work_undo, name="work-undo"),
    path("jobs/<int:job_id>/work/<int:item_id>/row/", work_row, name="work-row"),
    path("jobs/<int:job_id>/work/<int:item_id>/remove/", work_remove, name="work-remove"),
    path("jobs/<int:job_id>/work/<int:item_id>/move/", work_move, name="work-move"),
    path("jobs/<int:job_id>/companions/<int:assembly_id>/add/", companion_add, name="companion-add"),
    path(
        "jobs/<int:job_id>/companions/<int:assembly_id>/set-aside/",
        companion_set_aside,
        name="companion-set-aside",
    ),
    path("jobs/<int:job_id>/price/", job_price, name="job-price"),
    path("jobs/<int:job_id>/price/hours/", hours_basis, name="job-hours-basis"),
    path("jobs/<int:job_id>/price/keep/", margin_keep, name="margin-keep"),
    path("jobs/<int:job_id>/price/together/", hours_together, name="hours-together"),
    path("jobs/<int:job_id>/words/", job_words, name="job-words"),
    path("jobs/<int:job_id>/on-hand/", on_hand, name="on-hand"),
    path("jobs/<int:job_id>/allowances/new/", allowance_new, name="allowance-new"),
    path("jobs/<int:job_id>/allowances/<int:allowance_id>/", allowance_edit, name="allowance"),
    path(
        "jobs/<int:job_id>/allowances/<int:allowance_id>/remove/", allowance_remove, name="allowance-remove"
    ),
]
paper_urls: list[URLPattern] = [
    path("firm/letterhead/", letterhead, name="letterhead"),
    path("jobs/<int:job_id>/paperwork/", job_papers, name="job-papers"),
    path("jobs/<int:job_id>/photos/", estimate_photos, name="estimate-photos"),
    path("photos/<int:photo_id>.jpg", estimate_photo, name="estimate-photo"),
    path("photos/<int:photo_id>/remove/", estimate_photo_remove, name="estimate-photo-remove"),
    path("jobs/<int:job_id>/paperwork/estimate.pdf", estimate_pdf, name="estimate-pdf"),
    path("jobs/<int:job_id>/paperwork/shopping-list.pdf", shopping_list_pdf, name="shopping-list-pdf"),
]
document_urls: list[URLPattern] = [
    path("jobs/<int:job_id>/paperwork/issue/", document_issue, name="document-issue"),
    path("documents/<int:document_id>/", document_page, name="document"),
    path("documents/<int:document_id>/paper.pdf", document_pdf, name="document-pdf"),
    path("documents/<int:document_id>/late/", document_late, name="document-late"),
]
sending_urls: list[URLPattern] = [
    path("documents/<int:document_id>/send/", document_send, name="document-send"),
    path("documents/<int:document_id>/answer/", document_answer, name="document-answer"),
    path("documents/<int:document_id>/withdraw/", document_withdraw, name="document-withdraw"),
    path("documents/<int:document_id>/cancel/", document_cancel, name="document-cancel"),
    path("documents/<int:document_id>/receipts/", document_receipts, name="document-receipts"),
    path("documents/<int:document_id>/signed.pdf", document_signed_pdf, name="document-signed-pdf"),
    path("documents/<int:document_id>/signed.json", document_signed_file, name="document-signed-file"),
    path("documents/<int:document_id>/go-ahead/", document_go_ahead, name="go-ahead"),
    path("documents/<int:document_id>/paper-signature/", document_paper_signature, name="paper-signature"),
    path("documents/<int:document_id>/paper-signature/scan", signature_scan, name="signature-scan"),
    path("jobs/<int:job_id>/client-page/<int:page_id>/", job_link, name="job-link"),
    path(
        "jobs/<int:job_id>/client-page/<int:page_id>/withdraw/", job_link_withdraw, name="job-link-withdraw"
    ),
    path("documents/<int:document_id>/links/<int:link_id>/withdraw/", link_withdraw, name="link-withdraw"),
]
# Without sign-in. The addresses begin with these two words alone: config/log_secrets.py cuts the secret
# after the first out of every log.
client_urls: list[URLPattern] = [
    path("open/<str:secret>/", client_open, name="client-open"),
    path("for-you/verify_signed.py", checker, name="checker"),
    path("for-you/job/<int:page_id>/", client_job, name="client-job"),
    path("for-you/<int:link_id>/", client_page, name="client-page"),
    path("for-you/<int:link_id>/sum/", client_sum, name="client-sum"),
    path("for-you/<int:link_id>/opened/", client_opened, name="client-opened"),
    path("for-you/<int:link_id>/sign/", client_sign, name="client-sign"),
    path("for-you/<int:link_id>/decline/", client_decline, name="client-decline"),
    path("for-you/<int:link_id>/cancel/", client_cancel, name="client-cancel"),
    path("for-you/<int:link_id>/ask/", client_ask, name="client-ask"),
    path("for-you/<int:link_id>/paper.pdf", client_pdf, name="client-pdf"),
    path("for-you/<int:link_id>/signed.pdf", client_signed_pdf, name="client-signed-pdf"),
    path("for-you/<int:link_id>/signed.json", client_signed_file, name="client-signed-file"),
]
_BOARD = "jobs/<int:job_id>/work/<int:item_id>/boards/<int:room_id>/<slug:surface>/<slug:board>/"
board_urls: list[URLPattern] = [
    path("jobs/<int:job_id>/boards/<int:estimate_id>/best/", boards_best, name="boards-best"),
    path("jobs/<int:job_id>/work/<int:item_id>/cut-sheet.pdf", cut_sheet_pdf, name="cut-sheet-pdf"),
    path("jobs/<int:job_id>/work/<int:item_id>/tile/", tiles, name="tiles"),
    path(_BOARD, board, name="board"),
    path(f"{_BOARD}rules/", board_rules, name="board-rules"),
    path(f"{_BOARD}size/", board_size, name="board-size"),
]
change_urls: list[URLPattern] = [
    path("jobs/<int:job_id>/changes/new/", change_new, name="change-new"),
    path("jobs/<int:job_id>/changes/terms/", change_terms, name="change-terms"),
    path("jobs/<int:job_id>/paperwork/contract.pdf", contract_pdf, name="contract-pdf"),
    path("changes/<int:change_id>/", change_page, name="change"),
    path("changes/<int:change_id>/edit/", change_edit, name="change-edit"),
    path("changes/<int:change_id>/discard/", change_discard, name="change-discard"),
    path("changes/<int:change_id>/issue/", change_issue, name="change-issue"),
    path("changes/<int:change_id>/draft.pdf", change_pdf, name="change-pdf"),
    path("changes/<int:change_id>/work/", change_work_add, name="change-work-add"),
    path("changes/<int:change_id>/line/", change_line_new, name="change-line-new"),
    path("changes/<int:change_id>/agreed/", change_agreed_new, name="change-agreed-new"),
    path("changes/<int:change_id>/difference/", change_difference, name="change-difference"),
    path("changes/<int:change_id>/take-out/", change_take_out, name="change-take-out"),
    path("changes/<int:change_id>/brought/", change_brought_new, name="change-brought-new"),
    path("changes/<int:change_id>/found/<slug:key>/", change_found, name="change-found"),
    path("changes/<int:change_id>/option/<slug:key>/", change_option, name="change-option"),
    path("changes/<int:change_id>/choice/<int:document_id>/<slug:key>/", change_choice, name="change-choice"),
    path("changes/lines/<int:line_id>/remove/", change_line_remove, name="change-line-remove"),
    path("changes/photos/<int:photo_id>.jpg", change_photo, name="change-photo"),
    path("changes/photos/<int:photo_id>/remove/", change_photo_remove, name="change-photo-remove"),
]
found_urls: list[URLPattern] = [
    path("jobs/<int:job_id>/hidden-conditions/", hidden_conditions, name="hidden-conditions"),
    path("jobs/<int:job_id>/hidden-conditions/new/", condition_new, name="condition-new"),
    path(
        "jobs/<int:job_id>/hidden-conditions/from-catalog/",
        condition_from_catalog,
        name="condition-from-catalog",
    ),
    path("jobs/<int:job_id>/hidden-conditions/<int:condition_id>/", condition_edit, name="condition"),
    path(
        "jobs/<int:job_id>/hidden-conditions/<int:condition_id>/remove/",
        condition_remove,
        name="condition-remove",
    ),
]
compare_urls: list[URLPattern] = [path("compare/", compare_assemblies, name="compare")]

urlpatterns = [
    *job_urls,
    *work_urls,
    *board_urls,
    *paper_urls,
    *document_urls,
    *sending_urls,
    *client_urls,
    *change_urls,
    *found_urls,
    *compare_urls,
]
