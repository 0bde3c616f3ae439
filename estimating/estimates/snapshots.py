"""What the papers of a draft say, read from the database."""

from base64 import b64encode
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from django.db.models import QuerySet
from django.utils.text import slugify

from catalog.models import Firm, Package
from catalog.phases import Phase
from estimating.contract.cancellation_rule import notice_on_paper
from estimating.estimates.draft import Draft
from estimating.models import Allowance, Client, ClientSupply, Estimate, Job, WorkItem
from estimating.snapshots.cut_sheet import SheetHead, cut_sheet_snapshot
from estimating.snapshots.estimate import estimate_snapshot
from estimating.snapshots.shopping_list import ListHead, PackageFacts, Seller, shopping_snapshot
from estimating.snapshots.wording import AllowanceTerms, Brought, Party, Wording


def estimate_on_paper(estimate: Estimate, firm: Firm, draft: Draft) -> dict[str, Any]:
    """The snapshot that the client's paper is made from. Costs five queries."""
    options = estimate.items.filter(decide_by__isnull=False).values_list("pk", "decide_by")
    wording = estimate_wording(
        estimate,
        firm,
        decide_by={str(pk): day for pk, day in options},
        allowances={f"allowance-{each.pk}": allowance_terms(each) for each in estimate.allowances.all()},
        brought=_brought(estimate),
        set_aside=[assembly.name for assembly in estimate.set_aside.order_by("name")],
        opened_photos=[
            (each.caption, b64encode(bytes(each.content)).decode("ascii"))
            for each in estimate.opened_photos.all()
        ],
    )
    shown = estimate_snapshot(wording, draft)
    place = estimate.job.signing_place
    return shown | {"cancellation": notice_on_paper(place, shown["firm"], shown["total"], shown["options"])}


def decide_by_dates(estimate: Estimate) -> dict[str, date]:
    """Last days by the keys of options and allowances. Costs two queries."""
    options = estimate.items.filter(is_option=True, decide_by__isnull=False)
    allowances = estimate.allowances.filter(decide_by__isnull=False)
    return {str(each.pk): each.decide_by for each in options} | {
        f"allowance-{each.pk}": each.decide_by for each in allowances
    }


def estimate_wording(
    estimate: Estimate,
    firm: Firm,
    *,
    decide_by: Mapping[str, date],
    allowances: Mapping[str, AllowanceTerms],
    brought: Sequence[Brought],
    set_aside: Sequence[str],
    opened_photos: Sequence[tuple[str, str]] = (),
) -> Wording:
    """What the paper of an estimate, stored or not, says beside the work and the sums."""
    job = estimate.job
    return Wording(
        firm=_firm(firm),
        client=_client(job.client),
        job=job.name,
        address=job.address,
        dated=estimate.dated,
        valid_to=estimate.valid_to,
        year_built=job.year_built,
        paper_size=firm.paper_size,
        metric=firm.metric,
        detail=estimate.detail,
        scope_by=estimate.scope_by,
        phases=dict(Phase.choices),
        decide_by=decide_by,
        allowances=allowances,
        brought=brought,
        assumptions=estimate.assumptions,
        exclusions=estimate.exclusions,
        set_aside=set_aside,
        left_as_is=estimate.left_as_is,
        terms=estimate.terms,
        opened=estimate.opened,
        opened_photos=opened_photos,
    )


def allowance_terms(allowance: Allowance) -> AllowanceTerms:
    return AllowanceTerms(allowance.covers_labor, allowance.covers_delivery, allowance.decide_by)


def shopping_on_paper(estimate: Estimate, firm: Firm, draft: Draft, today: date) -> dict[str, Any]:
    """The snapshot that the shopping list is made from. Costs two queries."""
    job = estimate.job
    return shopping_snapshot(
        ListHead(
            firm=_firm(firm),
            client=_client(job.client),
            job=job.name,
            address=job.address,
            dated=today,
            packages=_packages(draft, firm, today),
            brought=_brought(estimate),
            paper_size=firm.paper_size,
            metric=firm.metric,
        ),
        draft,
    )


def cut_sheet_on_paper(
    estimate: Estimate, firm: Firm, draft: Draft, item: WorkItem, today: date, fasteners: bool = False
) -> dict[str, Any]:
    """The snapshot that the cut sheet of one work item is made from, with the fasteners on demand."""
    job = estimate.job
    head = SheetHead(
        _firm(firm), _client(job.client), job.name, job.address, today, firm.paper_size, firm.metric
    )
    return cut_sheet_snapshot(head, draft, str(item.pk), fasteners)


def paper_name(kind: str, job: Job) -> str:
    """A file name that says what it is, and names the client once: "estimate-okonjo-kitchen.pdf"."""
    kind = kind.replace("_", "-")
    surname = slugify(job.client.name).rpartition("-")[2][:40]
    name = slugify(job.name[:60])
    return slugify(f"{kind} {name}" if surname in name.split("-") else f"{kind} {surname} {name}") + ".pdf"


def _firm(firm: Firm) -> Party:
    return Party(firm.name, firm.owner, firm.license, firm.address, firm.phone, firm.email)


def _client(client: Client) -> Party:
    return Party(client.name, address=client.address, phone=client.phone, email=client.email)


def _brought(estimate: Estimate) -> tuple[Brought, ...]:
    supplies = ClientSupply.objects.filter(item__estimate=estimate).select_related("material")
    return tuple(
        Brought(str(each.item_id), each.material.code, each.material.name, each.needed_by)
        for each in supplies.order_by("item__position", "item_id", "pk")
    )


def packages_bought(draft: Draft) -> QuerySet[Package]:
    """The packages that the draft buys, whatever of each."""
    keys = {
        offer.key for line in draft.take_off.materials if line.purchase for offer, _ in line.purchase.counts
    }
    return Package.objects.filter(pk__in=keys)


def _packages(draft: Draft, firm: Firm, today: date) -> dict[str, PackageFacts]:
    return {
        str(each.pk): PackageFacts(
            name=each.name,
            seller=Seller(each.supplier.name, each.supplier.phone, each.supplier.note)
            if each.supplier
            else Seller(),
            priced_on=each.priced_on,
            stale=firm.price_is_stale(each.priced_on, today),
        )
        for each in packages_bought(draft).select_related("supplier")
    }
