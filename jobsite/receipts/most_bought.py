"""What this firm buys most: a package of each material that its work and its receipts ask for."""

from collections import Counter
from collections.abc import Sequence

from django.db.models import Count

from catalog.models import Component, Package
from estimating.models import WorkItem
from jobsite.models import ReceiptLine

MOST = 40


def most_bought(most: int = MOST) -> list[Package]:
    """Return a package of each of the materials used most, the most used first. Costs four queries.

    A material counts once for each work item whose assembly uses it and for each line of a receipt; where
    neither is there yet, for each assembly that uses it. Of its packages the smallest is taken.
    """
    uses = dict(
        WorkItem.objects.filter(assembly__isnull=False)
        .values_list("assembly_id")
        .annotate(times=Count("pk"))
        .values_list("assembly_id", "times")
    )
    parts: Sequence[tuple[int, int | None, int | None]] = list(
        Component.objects.values_list("assembly_id", "material_id", "part_id")
    )
    for assembly, _, part in parts:  # one level of nesting is what the catalog has
        if part is not None and assembly in uses:
            uses[part] = uses.get(part, 0) + uses[assembly]
    asked: Counter[int] = Counter()
    spread: Counter[int] = Counter()
    for assembly, material, _ in parts:
        if material is not None:
            asked[material] += uses.get(assembly, 0)
            spread[material] += 1
    bought = ReceiptLine.objects.filter(material__isnull=False).values_list("material_id", flat=True)
    asked.update(bought)
    packages: dict[int, Package] = {}
    offered = Package.objects.offered().filter(material__retired=False)
    for package in offered.select_related("material", "supplier").order_by("size", "pk"):
        packages.setdefault(package.material_id, package)
    ranked = sorted(
        packages.values(),
        key=lambda row: (-asked[row.material_id], -spread[row.material_id], row.material.name),
    )
    return ranked[:most]
