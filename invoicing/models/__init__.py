"""The tables of billing: the payment schedule, bills, payments, and what is done about late money.

It knows Django and the tables of `estimating`. Columns hold what was chosen or what happened; sums are worked
out by the pure packages (`milestones`, `billing`, `receivables`), of which it imports the types that its rows
turn into. Everything above imports the models from here.
"""

from invoicing.models.invoice import BillDraft, Billed
from invoicing.models.kept_sums import KeptAccount, KeptBill, KeptMonth
from invoicing.models.late_payment import MoneyRules, NoticeRule, Reminder, WorkDays
from invoicing.models.payment import Payment, PaymentFor
from invoicing.models.plan import (
    FinishedWork,
    Milestone,
    MilestonePhoto,
    Pattern,
    PatternStep,
    PaymentPlan,
    PlacedPart,
    PlannedChange,
    PlannedCost,
    PlannedPart,
)
from invoicing.models.waiver import StateWaiver

__all__ = [
    "BillDraft",
    "Billed",
    "FinishedWork",
    "KeptAccount",
    "KeptBill",
    "KeptMonth",
    "Milestone",
    "MilestonePhoto",
    "MoneyRules",
    "NoticeRule",
    "Pattern",
    "PatternStep",
    "Payment",
    "PaymentFor",
    "PaymentPlan",
    "PlacedPart",
    "PlannedChange",
    "PlannedCost",
    "PlannedPart",
    "Reminder",
    "StateWaiver",
    "WorkDays",
]
