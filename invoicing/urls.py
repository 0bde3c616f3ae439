"""Addresses of the payment schedule, invoices and money in."""

from django.urls import URLPattern, path

from invoicing.views.accounts import (
    books,
    books_file,
    client_account,
    job_file_pdf,
    statement_pdf,
    statement_send,
)
from invoicing.views.cash import cost_edit, cost_new, cost_remove, plan_cash_page
from invoicing.views.invoices import (
    bill,
    bill_discard,
    bill_issue,
    bill_pdf,
    bill_start,
    credit_new,
    late_charge_start,
    returned_fee_start,
)
from invoicing.views.issued import client_pay, client_receipt, invoice_xml, receipt_pdf
from invoicing.views.milestones import (
    asks_reading,
    milestone_edit,
    milestone_move,
    milestone_new,
    milestone_photo,
    milestone_photo_remove,
    milestone_reached,
    milestone_remove,
)
from invoicing.views.money import job_money
from invoicing.views.payments import (
    credit_apply,
    invoice_paid,
    payment_new,
    payment_page,
    payment_void,
    refund_new,
)
from invoicing.views.plan import (
    change_placement,
    plan_discard,
    plan_keep,
    plan_set_up,
    plan_terms,
    template_remove,
    work_done,
)
from invoicing.views.receivables import firm_figure, firm_money
from invoicing.views.reminders import (
    invoice_remind,
    letter_pdf,
    money_rules,
    notice_rule_new,
    notice_rule_remove,
    reminder_pdf,
    work_days,
)
from invoicing.views.time_and_material import change_settle, entry_remove, time_and_material
from invoicing.views.waivers import state_waiver_new, state_waiver_remove, waiver_new

plan_urls: list[URLPattern] = [
    path("jobs/<int:job_id>/money/", job_money, name="job-money"),
    path("jobs/<int:job_id>/plan/set-up/", plan_set_up, name="plan-set-up"),
    path("jobs/<int:job_id>/plan/terms/", plan_terms, name="plan-terms"),
    path("jobs/<int:job_id>/plan/discard/", plan_discard, name="plan-discard"),
    path("jobs/<int:job_id>/plan/keep/", plan_keep, name="plan-keep"),
    path(
        "jobs/<int:job_id>/plan/templates/<int:pattern_id>/remove/", template_remove, name="template-remove"
    ),
    path("jobs/<int:job_id>/plan/cash/", plan_cash_page, name="plan-cash"),
    path("jobs/<int:job_id>/plan/costs/new/", cost_new, name="planned-cost-new"),
    path("planned-costs/<int:cost_id>/", cost_edit, name="planned-cost"),
    path("planned-costs/<int:cost_id>/remove/", cost_remove, name="planned-cost-remove"),
    path("changes/<int:change_id>/goes/", change_placement, name="change-goes"),
    path("jobs/<int:job_id>/plan/work/", work_done, name="work-done"),
    path("jobs/<int:job_id>/plan/milestones/new/", milestone_new, name="milestone-new"),
    path("jobs/<int:job_id>/plan/asks/", asks_reading, name="asks-reading"),
    path("milestones/<int:milestone_id>/", milestone_edit, name="milestone"),
    path("milestones/<int:milestone_id>/move/", milestone_move, name="milestone-move"),
    path("milestones/<int:milestone_id>/remove/", milestone_remove, name="milestone-remove"),
    path("milestones/<int:milestone_id>/complete/", milestone_reached, name="milestone-reached"),
    path("milestones/photos/<int:photo_id>.jpg", milestone_photo, name="milestone-photo"),
    path("milestones/photos/<int:photo_id>/remove/", milestone_photo_remove, name="milestone-photo-remove"),
]
invoice_urls: list[URLPattern] = [
    path("jobs/<int:job_id>/bill/", bill, name="bill"),
    path("jobs/<int:job_id>/bill/start/", bill_start, name="bill-start"),
    path("jobs/<int:job_id>/bill/issue/", bill_issue, name="bill-issue"),
    path("jobs/<int:job_id>/bill/discard/", bill_discard, name="bill-discard"),
    path("jobs/<int:job_id>/bill/draft.pdf", bill_pdf, name="bill-pdf"),
    path("jobs/<int:job_id>/measured/<int:document_id>/", time_and_material, name="measured"),
    path("jobs/<int:job_id>/measured/<int:document_id>/remove/", entry_remove, name="measured-remove"),
    path("jobs/<int:job_id>/measured/<int:document_id>/settle/", change_settle, name="measured-settle"),
    path("invoices/<int:document_id>/credit/", credit_new, name="credit-new"),
    path("invoices/<int:document_id>/lien-waiver/", waiver_new, name="waiver-new"),
    path("invoices/<int:document_id>/receipt.pdf", receipt_pdf, name="receipt-pdf"),
    path("for-you/<int:link_id>/receipt.pdf", client_receipt, name="client-receipt"),
    path("for-you/<int:link_id>/pay/", client_pay, name="client-pay"),
    path("invoices/<int:document_id>/<slug:syntax>.xml", invoice_xml, name="invoice-xml"),
]
money_urls: list[URLPattern] = [
    path("jobs/<int:job_id>/payments/new/", payment_new, name="payment-new"),
    path("jobs/<int:job_id>/refunds/new/", refund_new, name="refund-new"),
    path("jobs/<int:job_id>/credit/apply/", credit_apply, name="credit-apply"),
    path("jobs/<int:job_id>/work-days/", work_days, name="work-days"),
    path("jobs/<int:job_id>/file.pdf", job_file_pdf, name="job-file-pdf"),
    path("invoices/<int:document_id>/paid/", invoice_paid, name="invoice-paid"),
    path("invoices/<int:document_id>/remind/", invoice_remind, name="invoice-remind"),
    path("invoices/<int:document_id>/remind/letter.pdf", letter_pdf, name="letter-pdf"),
    path("reminders/<int:reminder_id>.pdf", reminder_pdf, name="reminder-pdf"),
    path("invoices/<int:document_id>/late-charge/", late_charge_start, name="late-charge-start"),
    path("payments/<int:payment_id>/", payment_page, name="payment"),
    path("payments/<int:payment_id>/fee/", returned_fee_start, name="returned-fee-start"),
    path("payments/<int:payment_id>/void/", payment_void, name="payment-void"),
    path("money/", firm_money, name="firm-money"),
    path("money/books/", books, name="books"),
    path("money/books/<slug:name>.csv", books_file, name="books-file"),
    path("money/rules/", money_rules, name="money-rules"),
    path("money/rules/waivers/new/", state_waiver_new, name="state-waiver-new"),
    path("money/rules/waivers/<int:waiver_id>/remove/", state_waiver_remove, name="state-waiver-remove"),
    path("money/rules/dates/new/", notice_rule_new, name="notice-rule-new"),
    path("money/rules/dates/<int:rule_id>/remove/", notice_rule_remove, name="notice-rule-remove"),
    path("money/<slug:name>/", firm_figure, name="firm-figure"),
    path("clients/<int:client_id>/account/", client_account, name="client-account"),
    path("clients/<int:client_id>/statement.pdf", statement_pdf, name="statement-pdf"),
    path("clients/<int:client_id>/statement/", statement_send, name="statement-send"),
]

urlpatterns = [*plan_urls, *invoice_urls, *money_urls]
