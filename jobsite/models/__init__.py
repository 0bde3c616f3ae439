"""The rows of the site: planned days, hours, receipts, answers to suggestions."""

from jobsite.models.hours import Correction, ForTheJob, HoursWorked, RunningClock, SpentOn
from jobsite.models.learning import SuggestionAnswer
from jobsite.models.receipts import BoughtMaterial, Mileage, ReceiptKept, ReceiptLine, ReceiptPhoto

__all__ = [
    "BoughtMaterial",
    "Correction",
    "ForTheJob",
    "HoursWorked",
    "Mileage",
    "ReceiptKept",
    "ReceiptLine",
    "ReceiptPhoto",
    "RunningClock",
    "SpentOn",
    "SuggestionAnswer",
]
