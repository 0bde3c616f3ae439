"""Companions: work that an estimate's work usually needs and that the estimate lacks.

Nothing is forgotten silently: each companion is added, or set aside and printed as not included.
"""

from collections.abc import Callable, Collection
from dataclasses import dataclass
from functools import cache
from typing import Any

from django.db.models import QuerySet

from catalog.models import Assembly, Companion
from catalog.phases import Phase
from estimating.models import Estimate, SetAside, WorkItem
from estimating.takeoff.cautions import ASBESTOS_CITED, ASBESTOS_SURVEYS, LAST_YEARS, holds
from reading.prepared import prepared


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
    present, set_aside = set(_present(estimate.pk)), set(_set_aside(estimate.pk))
    house = estimate.job
    left_out = tuple(cited for cited in LAST_YEARS if not _asked(cited, house.year_built, house.state))
    missing: dict[int, SuggestedWork] = {}
    for row in _asked_for(left_out)(present, present | set_aside):
        missing.setdefault(row.companion_id, SuggestedWork(row.companion, row.assembly.name, row.reason))
    return list(missing.values())


def _asked(cited: str, year_built: int | None, state: str) -> bool:
    """Tell whether a house of this year may need what a rule asks for; one of unknown age may need all."""
    return holds(cited, year_built) or (cited == ASBESTOS_CITED and state in ASBESTOS_SURVEYS)


@prepared
def _present(estimate: int) -> QuerySet[WorkItem, Any]:
    items = WorkItem.objects.filter(estimate=estimate, assembly__isnull=False).order_by()
    return items.values_list("assembly_id", flat=True)


@prepared
def _set_aside(estimate: int) -> QuerySet[SetAside, int]:
    return SetAside.objects.filter(estimate=estimate).values_list("assembly_id", flat=True)


@cache
def _asked_for(left_out: tuple[str, ...]) -> Callable[[Collection[int], Collection[int]], list[Companion]]:
    """Return what reads the companions of work, but for those that answer it and what these rules ask for."""

    @prepared
    def read(present: Collection[int], answering: Collection[int]) -> QuerySet[Companion]:
        rows = Companion.objects.filter(assembly__in=present, companion__retired=False)
        for cited in left_out:
            rows = rows.exclude(companion__phase=Phase.PROTECT, companion__caution__contains=cited)
        answered = Assembly.objects.filter(pk__in=answering).exclude(purpose="")
        return (
            rows.exclude(companion__in=answering)
            .exclude(companion__purpose__in=answered.values("purpose"))
            .select_related("assembly", "companion")
            .only("reason", "assembly__name", "companion__code", "companion__name")
            .order_by("companion__name", "pk")
        )

    return read
