"""From a measured room to a priced estimate."""

from estimating.models.acceptance import Acceptance, Scan, SignedCopy
from estimating.models.board_layout import BoardChoice, BoardRules, BoardSize, KeptLayout
from estimating.models.change_order import ChangeLine, ChangeOrder, ChangePhoto
from estimating.models.client_link import ClientLink, MissedGuess
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
from estimating.models.hidden_condition import HiddenCondition, OpenedPhoto
from estimating.models.job import Client, FixedFootprint, Job, Opening, Room, SigningPlace

__all__ = [
    "Acceptance",
    "Allowance",
    "BoardChoice",
    "BoardRules",
    "BoardSize",
    "ChangeLine",
    "ChangeOrder",
    "ChangePhoto",
    "Client",
    "ClientLink",
    "ClientSupply",
    "Counter",
    "Document",
    "DocumentEvent",
    "Estimate",
    "FixedFootprint",
    "HiddenCondition",
    "Job",
    "KeptLayout",
    "MeasureOverride",
    "MissedGuess",
    "NotAllowed",
    "OpenedPhoto",
    "Opening",
    "Room",
    "Scan",
    "SetAside",
    "SignedCopy",
    "SigningPlace",
    "WorkItem",
    "WorkRoom",
    "wall_index",
]
