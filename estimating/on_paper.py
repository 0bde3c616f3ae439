"""What the papers of a draft say, read from the database."""

from datetime import date
from typing import Any

from django.utils.text import slugify

from catalog.models import Firm, Package
from catalog.phases import Phase
from estimating.drafts import Draft
from estimating.models import Client, ClientSupply, Estimate, Job
from estimating.shopping import ListHead, PackageFacts, Seller, shopping_snapshot
from estimating.snapshot import estimate_snapshot
from estimating.wording import AllowanceTerms, Brought, Party, Wording


def estimate_on_paper(estimate: Estimate, firm: Firm, draft: Draft) -> dict[str, Any]:
    """The snapshot that the client's paper is made from. Costs four queries."""
    job = estimate.job
    return estimate_snapshot(
        Wording(
            firm=_firm(firm),
            client=_client(job.client),
            job=job.name,
            address=job.address,
            dated=estimate.dated,
            valid_to=estimate.valid_to,
            year_built=job.year_built,
            paper=firm.paper,
            metric=firm.metric,
            detail=estimate.detail,
            scope_by=estimate.scope_by,
            phases=dict(Phase.choices),
            decide_by={
                str(pk): day
                for pk, day in estimate.items.filter(decide_by__isnull=False).values_list("pk", "decide_by")
            },
            allowances={
                f"allowance-{each.pk}": AllowanceTerms(
                    each.covers_labour, each.covers_delivery, each.decide_by
                )
                for each in estimate.allowances.all()
            },
            brought=_brought(estimate),
            assumptions=estimate.assumptions,
            exclusions=estimate.exclusions,
            set_aside=[assembly.name for assembly in estimate.set_aside.order_by("name")],
            left_as_is=estimate.left_as_is,
            terms=estimate.terms,
        ),
        draft,
    )


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
            paper=firm.paper,
            metric=firm.metric,
        ),
        draft,
    )


def paper_name(kind: str, job: Job) -> str:
    """A file name that says what it is: "estimate-okonjo-kitchen.pdf"."""
    surname = job.client.name.split()[-1] if job.client.name.split() else ""
    return slugify(f"{kind} {surname[:40]} {job.name[:60]}") + ".pdf"


def _firm(firm: Firm) -> Party:
    return Party(firm.name, firm.owner, firm.licence, firm.address, firm.phone, firm.email)


def _client(client: Client) -> Party:
    return Party(client.name, address=client.address, phone=client.phone, email=client.email)


def _brought(estimate: Estimate) -> tuple[Brought, ...]:
    supplies = ClientSupply.objects.filter(item__estimate=estimate).select_related("material")
    return tuple(
        Brought(str(each.item_id), each.material.code, each.material.name, each.needed_by)
        for each in supplies.order_by("item__position", "item_id", "pk")
    )


def _packages(draft: Draft, firm: Firm, today: date) -> dict[str, PackageFacts]:
    keys = {
        offer.key for line in draft.take_off.materials if line.purchase for offer, _ in line.purchase.counts
    }
    return {
        str(each.pk): PackageFacts(
            name=each.name,
            seller=Seller(each.supplier.name, each.supplier.phone, each.supplier.note)
            if each.supplier
            else Seller(),
            priced_on=each.priced_on,
            stale=firm.price_is_stale(each.priced_on, today),
        )
        for each in Package.objects.filter(pk__in=keys).select_related("supplier")
    }
