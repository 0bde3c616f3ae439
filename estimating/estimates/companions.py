"""What the work of an estimate usually needs beside it and the estimate lacks. Nothing is forgotten
silently: each is added, or set aside and printed as not included."""

from dataclasses import dataclass

from django.db.models import QuerySet

from catalog.models import Assembly, Companion
from catalog.phases import Phase
from estimating.models import Estimate
from estimating.takeoff.cautions import LAST_YEARS


@dataclass(frozen=True)
class Wanted:
    """A companion that the estimate lacks, who asks for it, and why."""

    assembly: Assembly
    asked_by: str
    reason: str


def wanted(estimate: Estimate) -> list[Wanted]:
    """Companions that are neither in the estimate nor set aside, each once, unless the estimate has another
    way to the same end. What protects from lead or asbestos is asked for in a house old enough to hold
    it. Costs three queries and the job's."""
    present = set(estimate.items.filter(assembly__isnull=False).values_list("assembly_id", flat=True))
    aside = set(estimate.asides.values_list("assembly_id", flat=True))
    in_hand = Assembly.objects.filter(pk__in=present | aside).exclude(purpose="")
    missing: dict[int, Wanted] = {}
    rows = (
        _concerning(estimate.job.year_built)
        .filter(assembly__in=present, companion__retired=False)
        .exclude(companion__in=present | aside)
        .exclude(companion__purpose__in=in_hand.values("purpose"))
        .select_related("assembly", "companion")
        .order_by("companion__name", "pk")
    )
    for row in rows:
        missing.setdefault(row.companion_id, Wanted(row.companion, row.assembly.name, row.reason))
    return list(missing.values())


def _concerning(year_built: int | None) -> QuerySet[Companion]:
    """Companions that a house of this year may need; one of unknown age may need all."""
    rows = Companion.objects.all()
    for cited, last_year in LAST_YEARS.items():
        if year_built is not None and year_built > last_year:
            rows = rows.exclude(companion__phase=Phase.PROTECT, companion__caution__contains=cited)
    return rows


def asides(estimate: Estimate) -> list[Assembly]:
    """What was set aside, by name: each prints as an exclusion."""
    return list(Assembly.objects.filter(pk__in=estimate.asides.values("assembly_id")))
