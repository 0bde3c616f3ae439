"""The snapshots of a draft's documents, with the parties and words that the database has for them."""

from base64 import b64encode
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from django.db.models import QuerySet
from django.utils.text import slugify

from catalog.models import Assembly, Firm, Package, Supplier
from catalog.phases import Phase
from estimating.estimates.draft import Draft
from estimating.models import Client, Estimate, EstimatePhoto, Job, RoomPhoto, SetAside, WorkItem
from estimating.models.room_photo import photo_places
from estimating.rooms.plan import RoomPlan
from estimating.snapshots.cut_sheet import CutSheetHeader, cut_sheet_snapshot
from estimating.snapshots.estimate import estimate_snapshot
from estimating.snapshots.shopping_list import PackageFacts, Seller, ShoppingListHeader, shopping_snapshot
from estimating.snapshots.wording import DocumentParty, DraftWording, Wording
from reading.prepared import prepared


def read_estimate_snapshot(estimate: Estimate, firm: Firm, draft: Draft) -> dict[str, Any]:
    """Return the snapshot of an estimate. Costs two queries."""
    photos = _printed_photos(estimate.pk)
    draft = replace(draft, rooms=_with_photos(draft.rooms, photos))
    wording = estimate_wording(
        estimate,
        firm,
        draft.wording,
        set_aside=_set_aside(estimate.pk),
        photos=_printed(photo for photo in photos if not photo.is_opened),
        opened_photos=_printed(photo for photo in photos if photo.is_opened),
    )
    return estimate_snapshot(wording, draft)


@prepared
def _printed_photos(estimate: int) -> QuerySet[EstimatePhoto]:
    photos = EstimatePhoto.objects.filter(estimate=estimate, is_printed=True)
    return photos.select_related("of_room").defer("of_room__content")


@prepared
def _set_aside(estimate: int) -> QuerySet[Assembly, str]:
    """Return the names of what was set aside and is printed as not included."""
    asides = SetAside.objects.filter(estimate=estimate, is_printed=True)
    return (
        Assembly.objects.filter(pk__in=asides.values("assembly"))
        .order_by("name")
        .values_list("name", flat=True)
    )


def _printed(photos: Iterable[EstimatePhoto]) -> list[tuple[str, str]]:
    return [(_caption(photo), b64encode(bytes(photo.content)).decode("ascii")) for photo in photos]


def _caption(photo: EstimatePhoto) -> str:
    """Return what a photo shows, after its number on the plan where it has one."""
    return f"{photo.of_room.number}  {photo.caption}".strip() if photo.of_room else photo.caption


def _with_photos(rooms: Mapping[str, RoomPlan], photos: Iterable[EstimatePhoto]) -> Mapping[str, RoomPlan]:
    """Return the rooms with the places of the photos that are printed."""
    placed: dict[str, list[RoomPhoto]] = defaultdict(list)
    for photo in photos:
        if photo.of_room:
            placed[str(photo.of_room.room_id)].append(photo.of_room)
    if not placed:
        return rooms
    return {key: replace(plan, photos=photo_places(placed[key])) for key, plan in rooms.items()}


def estimate_wording(
    estimate: Estimate,
    firm: Firm,
    draft_wording: DraftWording,
    *,
    set_aside: Sequence[str],
    photos: Sequence[tuple[str, str]] = (),
    opened_photos: Sequence[tuple[str, str]] = (),
) -> Wording:
    """Return what an estimate, stored or not, says beside the work and the prices."""
    job = estimate.job
    return Wording(
        firm=firm_party(firm),
        client=client_party(job.client),
        job=job.name,
        address=job.address,
        dated=estimate.dated,
        valid_to=estimate.valid_to,
        year_built=job.year_built,
        state=job.state,
        paper_size=firm.paper_size,
        metric=firm.metric,
        detail=estimate.detail,
        scope_by=estimate.scope_by,
        phases=dict(Phase.choices),
        decide_by=draft_wording.decide_by,
        allowances=draft_wording.allowances,
        brought=draft_wording.brought,
        assumptions=estimate.assumptions,
        exclusions=estimate.exclusions,
        set_aside=set_aside,
        left_as_is=estimate.left_as_is,
        terms=estimate.terms,
        opened=estimate.opened,
        photos=photos,
        opened_photos=opened_photos,
        signing_place=job.signing_place,
        summary=estimate.summary,
        letter=estimate.letter,
        show_walls=estimate.show_walls,
    )


def read_shopping_snapshot(estimate: Estimate, firm: Firm, draft: Draft, today: date) -> dict[str, Any]:
    """Return the snapshot of the shopping list. Costs a query."""
    job = estimate.job
    return shopping_snapshot(
        ShoppingListHeader(
            firm=firm_party(firm),
            client=client_party(job.client),
            job=job.name,
            address=job.address,
            dated=today,
            packages=_packages(draft, firm, today),
            brought=draft.wording.brought,
            paper_size=firm.paper_size,
            metric=firm.metric,
        ),
        draft,
    )


def read_cut_sheet_snapshot(
    estimate: Estimate, firm: Firm, draft: Draft, item: WorkItem, today: date, fasteners: bool = False
) -> dict[str, Any]:
    """Return the snapshot of the cut sheet of one work item, with the fasteners on demand."""
    job = estimate.job
    head = CutSheetHeader(
        firm=firm_party(firm),
        client=client_party(job.client),
        job=job.name,
        address=job.address,
        dated=today,
        paper_size=firm.paper_size,
        metric=firm.metric,
    )
    return cut_sheet_snapshot(head, draft, str(item.pk), fasteners)


def pdf_file_name(kind: str, job: Job) -> str:
    """Return a file name that says what it is, and names the client once: "estimate-okonjo-kitchen.pdf"."""
    kind = kind.replace("_", "-")
    surname = slugify(job.client.name).rpartition("-")[2][:40]
    name = slugify(job.name[:60])
    return slugify(f"{kind} {name}" if surname in name.split("-") else f"{kind} {surname} {name}") + ".pdf"


def firm_party(firm: Firm) -> DocumentParty:
    """Return the firm as documents name it."""
    return DocumentParty(
        firm.name,
        firm.owner,
        firm.license,
        firm.address,
        firm.phone,
        firm.email,
        logo=firm.logo,
        color=firm.color,
    )


def client_party(client: Client) -> DocumentParty:
    """Return a client as documents name him."""
    return DocumentParty(client.name, address=client.address, phone=client.phone, email=client.email)


def packages_bought(draft: Draft) -> QuerySet[Package]:
    """Return the packages that the draft buys, however many of each."""
    keys = {
        offer.key for line in draft.take_off.materials if line.purchase for offer, _ in line.purchase.counts
    }
    return Package.objects.filter(pk__in=keys)


def _packages(draft: Draft, firm: Firm, today: date) -> dict[str, PackageFacts]:
    """Read what the catalog says of the packages bought, by the key of their offer. Costs a query."""
    return {
        str(package.pk): PackageFacts(
            name=package.name,
            seller=_seller(package.supplier),
            priced_on=package.priced_on,
            stale=firm.price_is_stale(package.priced_on, today),
        )
        for package in packages_bought(draft).select_related("supplier")
    }


def _seller(supplier: Supplier | None) -> Seller:
    return Seller(supplier.name, supplier.phone, supplier.note) if supplier else Seller()
