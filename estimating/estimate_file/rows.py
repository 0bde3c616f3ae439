"""The job of an estimate file as rows: priced without being stored, or stored in the database."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from django.db import transaction

from catalog.assemblies.specs import AssemblySpec, MaterialSpec
from catalog.models import Firm
from estimating.estimates.draft import (
    Draft,
    allowance_of,
    condition_of,
    conventions_of,
    draft_wording,
    policy_of,
    price_draft,
    work_of,
)
from estimating.estimates.snapshots import estimate_wording
from estimating.floor_structure.floor import FloorFrame
from estimating.forms.rooms import RoomForms
from estimating.models import (
    Allowance,
    ClientSupply,
    Estimate,
    HiddenCondition,
    Job,
    MeasureOverride,
    Room,
    SetAside,
    WorkItem,
    WorkRoom,
)
from estimating.rooms.plan import RoomPlan
from estimating.snapshots.estimate import estimate_snapshot
from estimating.snapshots.wording import ClientMaterial
from estimating.takeoff.work import RoomUse, Work


@dataclass(frozen=True)
class FileRoom:
    """A room of a file: its forms, filled and valid, and the joists as a room keeps them."""

    forms: RoomForms
    joists: Mapping[str, Any] = field(default_factory=dict)

    @property
    def name(self) -> str:
        name: str = self.forms.room.cleaned_data["name"]
        return name

    @property
    def plan(self) -> RoomPlan:
        """The room as the pure rules take it."""
        return replace(self.forms.plan, joists=FloorFrame(**self.joists) if self.joists else None)

    def save(self, job: Job, position: int, *, metric: bool) -> Room:
        """Store the room as measured. Without what was typed, a metric firm is shown its own units."""
        room = self.forms.save(Room(job=job, position=position, joists=dict(self.joists)))
        if metric:
            room.entry = {}
            room.save(update_fields=["entry"])
        return room


@dataclass(frozen=True)
class FileItem:
    """A work item of a file, not stored. `rooms` maps names to walls as they are stored ("A,B")."""

    item: WorkItem
    assembly: AssemblySpec | None = None
    rooms: Mapping[str, str] | None = None
    overrides: tuple[MeasureOverride, ...] = ()
    supplies: tuple[tuple[MaterialSpec, ClientSupply], ...] = ()

    @property
    def key(self) -> str:
        """The key of the work item, as it has no primary key."""
        return f"work-{self.item.position + 1}"

    @property
    def work(self) -> Work:
        """The work item as the pure rules take it; its rooms are named by their names."""
        uses = [
            RoomUse(name, WorkRoom(walls=walls).chosen_walls()) for name, walls in (self.rooms or {}).items()
        ]
        codes = [material.code for material, _ in self.supplies]
        return work_of(self.item, self.key, self.assembly, uses, self.overrides, codes)

    def brought(self) -> Iterator[ClientMaterial]:
        """Yield what the client brings for this work."""
        for material, supply in self.supplies:
            yield ClientMaterial(self.key, material.code, material.name, supply.needed_by)

    def save(self, estimate: Estimate, rooms: Mapping[str, Room]) -> None:
        """Store the work item with its rooms, measures by hand and client's supplies."""
        self.item.estimate = estimate
        self.item.save()
        WorkRoom.objects.bulk_create(
            WorkRoom(item=self.item, room=rooms[name], walls=walls)
            for name, walls in (self.rooms or {}).items()
        )
        supplies = [supply for _, supply in self.supplies]
        for override in self.overrides:
            override.item = self.item
        for supply in supplies:
            supply.item = self.item
        MeasureOverride.objects.bulk_create(self.overrides)
        ClientSupply.objects.bulk_create(supplies)


@dataclass(frozen=True)
class EstimateFile:
    """A file that was read: rows of the database that aren't stored yet."""

    firm: Firm
    job: Job
    rooms: tuple[FileRoom, ...]
    estimate: Estimate
    items: tuple[FileItem, ...]
    allowances: tuple[Allowance, ...]
    set_aside: Mapping[str, int]  # names of assemblies, and their primary keys
    conditions: tuple[HiddenCondition, ...] = ()

    def draft(self) -> Draft:
        """Take the job off and price it, without a query."""
        policy, conventions = policy_of(self.estimate, self.job), conventions_of(self.firm)
        return price_draft(
            {room.name: room.plan for room in self.rooms},
            [item.work for item in self.items],
            policy,
            conventions,
            [allowance_of(allowance, _allowance_key(allowance)) for allowance in self.allowances],
            conditions=[
                condition_of(condition, f"condition-{condition.position + 1}", None, policy, conventions)
                for condition in self.conditions
            ],
            wording=draft_wording(
                [(item.key, item.item) for item in self.items],
                [(_allowance_key(allowance), allowance) for allowance in self.allowances],
                [material for item in self.items for material in item.brought()],
            ),
            on_hand=self.estimate.stock(),
        )

    @transaction.atomic
    def save(self) -> Estimate:
        """Store the job with its client, rooms and estimate: all of it or nothing."""
        client = self.job.client
        client.save()
        self.job.client = client
        self.job.save()
        rooms = {
            room.name: room.save(self.job, position, metric=self.firm.metric)
            for position, room in enumerate(self.rooms)
        }
        self.estimate.job = self.job
        self.estimate.save()
        for item in self.items:
            item.save(self.estimate, rooms)
        for allowance in self.allowances:
            allowance.estimate = self.estimate
        for condition in self.conditions:
            condition.estimate = self.estimate
        Allowance.objects.bulk_create(self.allowances)
        HiddenCondition.objects.bulk_create(self.conditions)
        SetAside.objects.bulk_create(
            SetAside(estimate=self.estimate, assembly_id=pk) for pk in self.set_aside.values()
        )
        return self.estimate

    def snapshot(self, draft: Draft) -> dict[str, Any]:
        """Return the snapshot of the client's estimate, without a query."""
        wording = estimate_wording(self.estimate, self.firm, draft.wording, set_aside=sorted(self.set_aside))
        return estimate_snapshot(wording, draft)


def _allowance_key(allowance: Allowance) -> str:
    """Return the key of an allowance, as it has no primary key."""
    return f"allowance-{allowance.position + 1}"
