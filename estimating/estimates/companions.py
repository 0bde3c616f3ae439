"""Companions: work that an estimate's work usually needs and that the estimate lacks.

Nothing is forgotten silently: each companion is added, or set aside and printed as not included.
"""

from dataclasses import dataclass

from django.db.models import QuerySet

from catalog.models import Assembly, Companion
from catalog.phases import Phase
from estimating.models import Estimate
from estimating.takeoff.cautions import ASBESTOS_CITED, ASBESTOS_SURVEYS, LAST_YEARS, holds


@dataclass(frozen=True)
class SuggestedWork:
    """Work that the estimate lacks, the name of the work that asks for it, and why."""

    assembly: Assembly
    asked_by: str
    reason: str


def missing_companions(estimate: Estimate) -> list[SuggestedWork]:
    """Return the companions that are neither in the estimate nor set aside, each once.

    A companion is left out where the estimate has another assembly for the same purpose. What protects from
    lead or asbestos is asked for in a house old enough to hold it, or where its state asks for a survey of
    any. Costs three queries and the job's.
    """
    present = set(estimate.items.filter(assembly__isnull=False).values_list("assembly_id", flat=True))
    set_aside = set(estimate.asides.values_list("assembly_id", flat=True))
    answered = Assembly.objects.filter(pk__in=present | set_aside).exclude(purpose="")
    missing: dict[int, SuggestedWork] = {}
    rows = (
        _for_house(estimate.job.year_built, estimate.job.state)
        .filter(assembly__in=present, companion__retired=False)
        .exclude(companion__in=present | set_aside)
        .exclude(companion__purpose__in=answered.values("purpose"))
        .select_related("assembly", "companion")
        .order_by("companion__name", "pk")
    )
    for row in rows:
        missing.setdefault(row.companion_id, SuggestedWork(row.companion, row.assembly.name, row.reason))
    return list(missing.values())


def _for_house(year_built: int | None, state: str) -> QuerySet[Companion]:
    """Return the companions that a house of this year may need; one of unknown age may need all."""
    rows = Companion.objects.all()
    for cited in LAST_YEARS:
        asked = cited == ASBESTOS_CITED and state in ASBESTOS_SURVEYS
        if not asked and not holds(cited, year_built):
            rows = rows.exclude(companion__phase=Phase.PROTECT, companion__caution__contains=cited)
    return rows
