"""From a measured room to a priced estimate."""

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
    "Estimate",
    "FixedFootprint",
    "Job",
    "MeasureOverride",
    "Opening",
    "Room",
    "SetAside",
    "WorkItem",
    "WorkRoom",
    "wall_index",
]
