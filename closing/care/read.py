"""What a job's care sheet is made of, read from the database."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.utils.text import slugify

from catalog.models import Firm, Material
from closing.care.sheet import CareEntry, CareHeader, care_snapshot
from closing.models import Installed, MaterialPaper
from closing.punch_list.end import read_ends
from estimating.estimates.snapshots import client_party, firm_party
from estimating.models import Acceptance, Job
from jobsite.choices.choosing import choices_in_force
from jobsite.models import ChoiceMade

MOST_ENCLOSED = 20 * 1024 * 1024  # beyond it a mail hardly carries the sheet, and the papers are only linked
FACTS = (("color", "Color or finish"), ("lot", "Lot"), ("grout", "With"), ("says", "Note"))


@dataclass(frozen=True)
class CareRow:
    """A material of a job with what was filled in of it, and its maker's papers without their contents; or
    what the client chose on his page, of which nothing is filled in.
    """

    material: Material | None
    installed: Installed | None
    papers: Sequence[MaterialPaper] = ()
    made: ChoiceMade | None = None

    @property
    def name(self) -> str:
        return self.material.name if self.material else str(self.made.choice if self.made else self.installed)

    @property
    def entry(self) -> CareEntry:
        row = self.installed
        texts = [(label, getattr(row, name, "")) for name, label in FACTS]
        if self.made:
            texts += [("Chosen", self.made.offer.title), ("Note", self.made.offer.says)]
        return CareEntry(
            self.name,
            tuple((label, text) for label, text in texts if text),
            row.on if row else None,
            self.material.care if self.material else "",
            tuple(paper.name for paper in self.papers),
        )


def read_care(job: Job) -> list[CareRow]:
    """Return the materials of a job's contract, what else was installed, and what its client chose.

    What stands on the sheet comes first, then what cost most: tile and paint before tape and blades.

    Costs five queries.
    """
    signed = Acceptance.objects.binding(job).select_related("document")
    bases = (row.document.read_basis() for row in signed.defer("document__pdf", "document__snapshot"))
    costs: dict[str, Decimal] = {}
    for kept in (kept for basis in bases for kept in basis.get("materials", ())):
        costs[kept["code"]] = costs.get(kept["code"], Decimal(0)) + Decimal(kept["cost"])
    installed = list(Installed.objects.filter(job=job).select_related("material"))
    of_material = {row.material_id: row for row in installed if row.material_id}
    materials = Material.objects.filter(code__in=costs, kind=Material.Kind.MATERIAL)
    used = {material.pk: material for material in materials}
    used |= {row.material.pk: row.material for row in installed if row.material}
    papers: dict[int, list[MaterialPaper]] = {}
    for paper in MaterialPaper.objects.filter(material__in=used).defer("content"):
        papers.setdefault(paper.material_id, []).append(paper)
    rows = [
        CareRow(material, of_material.get(pk), papers.get(pk, []))
        for pk, material in sorted(used.items(), key=lambda item: -costs.get(item[1].code, Decimal(0)))
    ]
    rows += [CareRow(None, row) for row in installed if row.material_id is None]
    filled_in = {row.name.casefold() for row in rows if row.installed}
    chosen = (CareRow(None, None, made=made) for made in choices_in_force(job))
    rows += [row for row in chosen if row.name.casefold() not in filled_in]
    return sorted(rows, key=lambda row: not row.entry.says_something)


def read_care_snapshot(job: Job, firm: Firm, today: date) -> dict[str, Any]:
    """Return what the care sheet of a job shows today. Costs seven queries."""
    end = read_ends([job]).get(job.pk)
    head = CareHeader(
        firm=firm_party(firm),
        client=client_party(job.client),
        job=job.name,
        address=job.address,
        rooms=list(job.rooms.values_list("name", flat=True)),
        dated=today,
        paper_size=firm.paper_size,
        ended_on=end.on if end else None,
        warranty_to=end.warranty_to if end else None,
    )
    return care_snapshot(head, [row.entry for row in read_care(job)])


def papers_of(job: Job) -> list[MaterialPaper]:
    """Return the makers' papers of what stands on a job's care sheet, in its order. Costs five queries."""
    return [paper for row in read_care(job) if row.entry.says_something for paper in row.papers]


def read_enclosed(papers: Sequence[MaterialPaper]) -> list[tuple[str, bytes]]:
    """Return the names and contents of makers' papers as files inside the care sheet, in their order.

    None where all together are more than a mail carries. Costs a query.
    """
    rows = MaterialPaper.objects.filter(pk__in=[paper.pk for paper in papers])
    contents = {pk: bytes(content) for pk, content in rows.values_list("pk", "content")}
    if sum(map(len, contents.values())) > MOST_ENCLOSED:
        return []
    return [
        (f"{number} {slugify(paper.name) or 'paper'}.pdf", contents[paper.pk])
        for number, paper in enumerate(papers, 1)
    ]
