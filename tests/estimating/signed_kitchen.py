"""The invented kitchen, signed, and the changes that came to it."""

import io
import json
from datetime import date, datetime
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

from django.conf import settings
from PIL import Image

from catalog.rows.values import CatalogReader
from demo.firm import load_firm
from estimating.changes.draft import SignedJob, signed_job
from estimating.changes.edit import begin_change
from estimating.changes.issue import issue_change, prepare_change
from estimating.client.signing import enter_paper_signature
from estimating.client.uploads import CleanScan, clean_scan
from estimating.contract.contract_sum import Contract, contract_sum
from estimating.documents.estimate import prepare_estimate
from estimating.documents.issue import issue
from estimating.estimate_file.reading import read
from estimating.estimates.draft import read_draft
from estimating.models import Acceptance, ChangeLine, ChangeOrder, Document, Estimate, Job, WorkItem
from tests.estimating.issuing import AT, DAY

FIXTURE = Path(settings.BASE_DIR) / "demo_fixtures" / "kitchen_by_lines.json"


def photo(side: int = 60, **saved: Any) -> io.BytesIO:
    """A picture as a phone sends one."""
    taken = io.BytesIO()
    Image.new("RGB", (side, side // 2), (120, 90, 60)).save(taken, "JPEG", **saved)
    taken.seek(0)
    return taken


@cache
def _scan() -> CleanScan:
    """The signed page, drawn anew in a process of its own as every upload is."""
    scan = photo()
    return clean_scan(scan, scan.getbuffer().nbytes)


def sign_on_paper(document: Document, on: date = DAY, at: datetime = AT) -> Acceptance:
    return enter_paper_signature(document, "Marisol Okonjo", on, (), _scan(), "pat", at)


def kitchen_estimate(**changed: Any) -> Estimate:
    """The kitchen by lines as the demo has it, a draft; `changed` are its terms for changes."""
    firm, _ = load_firm()
    job = read(FIXTURE.read_text("utf-8"), firm, CatalogReader(firm)).save().job
    Estimate.objects.filter(job=job).update(dated=DAY, **changed)
    return job.estimates.get()


def issued_now(estimate: Estimate) -> Document:
    firm, _ = load_firm()
    return issue(prepare_estimate(estimate, firm, read_draft(estimate, firm)), AT)


def signed_kitchen(**changed: Any) -> Job:
    """The same, issued and signed on paper: $25,211.16."""
    document = issued_now(kitchen_estimate(**changed))
    sign_on_paper(document)
    return document.job


def contract(job: Job) -> SignedJob:
    signed = signed_job(job)
    assert signed is not None
    return signed


def contract_to_date(job: Job) -> Contract:
    """What is signed of a job, nothing where that is nothing."""
    signed = signed_job(job)
    return signed.contract if signed else contract_sum(())


def make_change(job: Job, title: str = "Rotten subfloor", **values: Any) -> ChangeOrder:
    values.setdefault("reason", "hidden")
    change = ChangeOrder(job=job, title=title, **values)
    firm, _ = load_firm()
    begin_change(change, contract(job), firm, DAY)
    return change


def quick_line(change: ChangeOrder, title: str, hours: str, material: str = "0", **more: Any) -> WorkItem:
    item = WorkItem.objects.create(
        estimate=change.estimate,
        title=title,
        phase="rough",
        extra_hours=Decimal(hours),
        material_cost=Decimal(material),
    )
    if more.get("at_most"):
        change.time_and_material.add(item)
    return item


def agreed(change: ChangeOrder, title: str, quantity: str, unit: str, price: str) -> ChangeLine:
    return change.lines.create(
        kind="agreed", title=title, quantity=Decimal(quantity), unit=unit, amount=Decimal(price)
    )


def settle(change: ChangeOrder, kind: str, title: str, amount: str = "0") -> ChangeLine:
    """Settle the line of the contract with this title."""
    line = next(line for line in contract(change.job).lines if line.title == title)
    return change.lines.create(
        kind=kind, title=title, document_id=line.document, key=line.key, amount=Decimal(amount)
    )


def rotten_subfloor(job: Job) -> ChangeOrder:
    """Found on day 4: $750.25 and two working days."""
    change = make_change(job, days=2, found="The dishwasher leaked under the sink run.", asked_by="Wren")
    agreed(change, "Replace subfloor, 4 x 6 ft", "24", "sq ft", "14.00")
    quick_line(change, "Sister one joist, 8 ft", "4", "26.80", at_most=True)
    agreed(change, "One drying fan", "2", "days", "30.00")
    return change


def cabinets_chosen(job: Job) -> ChangeOrder:
    """The cabinets against their allowance: $485.64, no days."""
    change = make_change(job, "Cabinets chosen", reason="client")
    settle(change, "choice", "Cabinets", "6780.00")
    return change


def trims_by_clients(job: Job) -> ChangeOrder:
    """The clients bring the light trims: a credit of $161.03; the work stays."""
    change = make_change(job, "Light trims by you", reason="client")
    settle(change, "brought", "Swap 6 recessed light trims (existing wiring)", "126.00")
    return change


def issued_change(change: ChangeOrder, on: date = DAY, at: datetime = AT) -> Document:
    firm, _ = load_firm()
    paper = prepare_change(change, firm, on)
    return issue_change(change, paper, at)


def signed_change(change: ChangeOrder) -> Document:
    document = issued_change(change)
    sign_on_paper(document)
    return document


def shown(document: Document) -> str:
    """All that the paper says, as text."""
    return json.dumps(document.read_snapshot())
