"""The tables of this app: clients, jobs, rooms, estimates, changes, issued documents and signatures.

A model knows its columns, its named queries and how its row becomes a value of the pure rules; the rules
themselves are in the pure packages. It may import `catalog` and the pure packages up to `estimating.events`.
"""

from estimating.models.acceptance import Acceptance, Scan, SignedCopy
from estimating.models.board_layout import BoardChoice, BoardRules, BoardSize, KeptLayout
from estimating.models.change_order import ChangeLine, ChangeOrder, ChangePhoto
from estimating.models.client_link import ClientLink, JobLink
from estimating.models.document import Counter, Document, DocumentEvent, NotAllowed
from estimating.models.estimate import (
    Allowance,
    ClientSupply,
    Estimate,
    MeasureOverride,
    SetAside,
    UndoStep,
    WorkItem,
    WorkRoom,
    wall_index,
)
from estimating.models.hidden_condition import EstimatePhoto, HiddenCondition
from estimating.models.job import (
    Client,
    FirstStepTick,
    FixedFootprint,
    Job,
    Opening,
    Room,
    SigningPlace,
)
from estimating.models.room_photo import RoomPhoto
from estimating.models.waiting_mail import WaitingMail

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
    "EstimatePhoto",
    "FirstStepTick",
    "FixedFootprint",
    "HiddenCondition",
    "Job",
    "JobLink",
    "KeptLayout",
    "MeasureOverride",
    "NotAllowed",
    "Opening",
    "Room",
    "RoomPhoto",
    "Scan",
    "SetAside",
    "SignedCopy",
    "SigningPlace",
    "UndoStep",
    "WaitingMail",
    "WorkItem",
    "WorkRoom",
    "wall_index",
]
