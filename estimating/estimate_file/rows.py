"""A job in one file: read whole, priced without being stored, or stored as rows of the database.

Each text is read by the form that reads it on the site, so that a file and a page say the same of it.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.db import transaction

from catalog.assemblies.expansion import AssemblySpec, MaterialSpec
from catalog.models import Firm
from estimating.contract.cancellation_rule import notice_on_paper
from estimating.estimates.draft import (
    Draft,
    allowance_of,
    condition_of,
    conventions_of,
    policy_of,
    work_of,
    work_out,
)
from estimating.estimates.snapshots import allowance_terms, estimate_wording
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
from estimating.rooms.measures import RoomPlan
from estimating.snapshots.estimate import estimate_snapshot
from estimating.snapshots.wording import Brought
from estimating.takeoff.takeoff import RoomUse, Work


@dataclass(frozen=True)
class FileRoom:
    """A room of a file: its forms, filled and valid."""

    forms: RoomForms

    @property
    def name(self) -> str:
        return self.forms.room.cleaned_data["name"]

    @property
    def plan(self) -> RoomPlan:
        """The room for the pure rules."""
        return self.forms.plan

    def save(self, job: Job, position: int, *, metric: bool) -> Room:
        """Store the room as measured. A metric firm gets what was typed in its own units."""
        room = self.forms.save(Room(job=job, position=position))
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
        return f"work-{self.item.position + 1}"

    @property
    def work(self) -> Work:
        """The work item for the pure rules; rooms go by their names."""
        uses = [
            RoomUse(name, WorkRoom(walls=walls).chosen_walls()) for name, walls in (self.rooms or {}).items()
        ]
        codes = [material.code for material, _ in self.supplies]
        return work_of(self.item, self.key, self.assembly, uses, self.overrides, codes)

    def brought(self) -> Iterator[Brought]:
        """What the client brings for this work."""
        for material, supply in self.supplies:
            yield Brought(self.key, material.code, material.name, supply.needed_by)

    def save(self, estimate: Estimate, rooms: Mapping[str, Room]) -> None:
        self.item.estimate = estimate
        self.item.save()
        WorkRoom.objects.bulk_create(
            WorkRoom(item=self.item, room=rooms[name], walls=walls)
            for name, walls in (self.rooms or {}).items()
        )
        supplies = [supply for _, supply in self.supplies]
        for row in (*self.overrides, *supplies):
            row.item = self.item
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
        """The job taken off and priced, without a query."""
        policy, conventions = policy_of(self.estimate, self.job), conventions_of(self.firm)
        return work_out(
            {room.name: room.plan for room in self.rooms},
            [each.work for each in self.items],
            policy,
            conventions,
            [allowance_of(each, allowance_key(each)) for each in self.allowances],
            conditions=[
                condition_of(each, f"condition-{each.position + 1}", None, policy, conventions)
                for each in self.conditions
            ],
        )

    @transaction.atomic
    def save(self) -> Estimate:
        """Store the job with its client, rooms and estimate: all of it or nothing."""
        client = self.job.client
        client.save()
        self.job.client = client
        self.job.save()
        rooms = {
            room.name: room.save(self.job, place, metric=self.firm.metric)
            for place, room in enumerate(self.rooms)
        }
        self.estimate.job = self.job
        self.estimate.save()
        for item in self.items:
            item.save(self.estimate, rooms)
        for row in (*self.allowances, *self.conditions):
            row.estimate = self.estimate
        Allowance.objects.bulk_create(self.allowances)
        HiddenCondition.objects.bulk_create(self.conditions)
        SetAside.objects.bulk_create(
            SetAside(estimate=self.estimate, assembly_id=pk) for pk in self.set_aside.values()
        )
        return self.estimate

    def paper(self, draft: Draft) -> dict[str, Any]:
        """The snapshot that the client's paper is made from, without a query."""
        wording = estimate_wording(
            self.estimate,
            self.firm,
            decide_by={each.key: each.item.decide_by for each in self.items if each.item.decide_by},
            allowances={allowance_key(each): allowance_terms(each) for each in self.allowances},
            brought=[brought for each in self.items for brought in each.brought()],
            set_aside=sorted(self.set_aside),
        )
        shown = estimate_snapshot(wording, draft)
        place = self.estimate.job.signing_place
        return shown | {
            "cancellation": notice_on_paper(place, shown["firm"], shown["total"], shown["options"])
        }


def allowance_key(allowance: Allowance) -> str:
    """What an allowance that isn't stored goes by."""
    return f"allowance-{allowance.position + 1}"
