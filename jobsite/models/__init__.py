"""The rows of the site: planned days, hours, receipts, answers to suggestions."""

from jobsite.models.call_backs import CallBack
from jobsite.models.choices import Choice, ChoiceMade, ChoiceOffer
from jobsite.models.days import (
    Absence,
    JobDays,
    LeadTime,
    OutsideEvent,
    StepDate,
    StepProgress,
    WorkWeek,
)
from jobsite.models.diary import DiaryEntry, DiaryPhoto, Reference
from jobsite.models.hours import Correction, ForTheJob, HoursWorked, RunningClock, SpentOn
from jobsite.models.learning import SuggestionAnswer
from jobsite.models.permits import LeadRecord, Permit, PermitPhoto
from jobsite.models.plan import CalendarEntry, CalendarFeed, KeptPlan, KeptSteps, ToldDates
from jobsite.models.receipts import BoughtMaterial, Mileage, ReceiptKept, ReceiptLine, ReceiptPhoto

__all__ = [
    "Absence",
    "BoughtMaterial",
    "CalendarEntry",
    "CalendarFeed",
    "CallBack",
    "Choice",
    "ChoiceMade",
    "ChoiceOffer",
    "Correction",
    "DiaryEntry",
    "DiaryPhoto",
    "ForTheJob",
    "HoursWorked",
    "JobDays",
    "KeptPlan",
    "KeptSteps",
    "LeadRecord",
    "LeadTime",
    "Mileage",
    "OutsideEvent",
    "Permit",
    "PermitPhoto",
    "ReceiptKept",
    "ReceiptLine",
    "ReceiptPhoto",
    "Reference",
    "RunningClock",
    "SpentOn",
    "StepDate",
    "StepProgress",
    "SuggestionAnswer",
    "ToldDates",
    "WorkWeek",
]
