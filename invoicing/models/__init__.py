"""From a signed price to money in the bank."""

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
    "FinishedWork",
    "Milestone",
    "MilestonePhoto",
    "Pattern",
    "PatternStep",
    "PaymentPlan",
    "PlacedPart",
    "PlannedChange",
    "PlannedCost",
]
