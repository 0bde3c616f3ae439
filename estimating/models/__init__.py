"""From a measured room to a priced estimate."""

from estimating.models.document import Counter, Document, DocumentEvent, NotAllowed
from estimating.models.estimate import (
    Allowance,
    ClientSupply,
    Estimate,
    MeasureOverride,
    SetAside,
    WorkItem,
    WorkRoom,
    wall_index,
)
from estimating.models.job import Client, FixedFootprint, Job, Opening, Room

__all__ = [
    "Allowance",
    "Client",
    "ClientSupply",
    "Counter",
    "Document",
    "DocumentEvent",
    "Estimate",
    "FixedFootprint",
    "Job",
    "MeasureOverride",
    "NotAllowed",
    "Opening",
    "Room",
    "SetAside",
    "WorkItem",
    "WorkRoom",
    "wall_index",
]
