"""From a signed price to money in the bank."""

from invoicing.models.invoice import BillDraft, Billed, HoursWorked, ReceiptKept
from invoicing.models.late import MoneyRules, NoticeRule, Reminder, WorkDays
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
)

__all__ = [
    "BillDraft",
    "Billed",
    "FinishedWork",
    "HoursWorked",
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
    "ReceiptKept",
    "Reminder",
    "WorkDays",
]
