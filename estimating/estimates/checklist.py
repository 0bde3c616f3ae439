"""The check of an estimate against the catalog: which work is missing, and which stands out of order."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence, Set
from dataclasses import dataclass

from django.db.models import QuerySet

from catalog.assemblies.specs import nested_codes
from catalog.models import Assembly, Precedence
from catalog.phases import PHASE_ORDER
from estimating.estimates.companions import SuggestedWork, missing_companions
from estimating.estimates.draft import Draft
from estimating.estimates.work_order import (
    OutOfOrder,
    PlacedWork,
    PrecedencePair,
    missing_earlier_work,
    out_of_order,
    suggested_order,
)
from estimating.models import Estimate, SetAside
from estimating.takeoff.work import Work
from reading.prepared import made_of, prepared


@dataclass(frozen=True)
class EstimateCheck:
    """What an estimate lacks beside its work (`companions`) and before it, and what stands too late.

    `order` are the primary keys of all work items in an order in which nothing stands too late within its
    phase; empty where they stand so already.
    """

    companions: Sequence[SuggestedWork]
    before: Sequence[SuggestedWork]
    out_of_order: Sequence[OutOfOrder]
    order: Sequence[int]


def check_estimate(estimate: Estimate, draft: Draft) -> EstimateCheck:
    """Check an estimate against the catalog. Costs six queries, however much work there is."""
    works = sorted(draft.works, key=lambda work: PHASE_ORDER[work.phase])
    items = [_placed(work) for work in works]
    companions = missing_companions(estimate)
    held = {code for item in items for code in item.holds}
    rows = _precedence_rows(held)
    alternatives = _alternative_pairs(rows.values(), held)
    pairs = [
        PrecedencePair(work, earlier, row.earlier.phase, row.reason) for (work, earlier), row in rows.items()
    ]
    offered = [pair for pair in pairs if not rows[pair.work, pair.earlier].earlier.retired]
    answered = frozenset(_set_aside(estimate.pk)).union(companion.assembly.code for companion in companions)
    before = [
        SuggestedWork(
            rows[missing.pair.work, missing.pair.earlier].earlier, missing.title, missing.pair.reason
        )
        for missing in missing_earlier_work(items, [*offered, *alternatives], answered)
    ]
    order = suggested_order(items, [*pairs, *alternatives])
    return EstimateCheck(
        companions,
        before,
        out_of_order(items, [*pairs, *alternatives]),
        [int(works[position].key) for position in order] if list(order) != sorted(order) else (),
    )


def _precedence_rows(codes: Set[str]) -> dict[tuple[str, str], Precedence]:
    """Read what the catalog has done before these assemblies, by the codes of both. Costs a query."""
    return {pair: row for pair, row in _precedence().items() if pair[0] in codes}


@made_of(
    lambda: Precedence.objects.select_related("assembly", "earlier").only(
        "reason",
        "assembly__code",
        "earlier__code",
        "earlier__name",
        "earlier__phase",
        "earlier__purpose",
        "earlier__retired",
    )
)
def _precedence(rows: Sequence[Precedence]) -> Mapping[tuple[str, str], Precedence]:
    return {(row.assembly.code, row.earlier.code): row for row in rows}


@made_of(lambda: Assembly.objects.exclude(purpose="").only("code", "phase", "purpose"))
def _with_a_purpose(assemblies: Sequence[Assembly]) -> Sequence[Assembly]:
    return assemblies


@prepared
def _set_aside(estimate: int) -> QuerySet[SetAside, str]:
    return SetAside.objects.filter(estimate=estimate).values_list("assembly__code", flat=True)


def _alternative_pairs(rows: Iterable[Precedence], held: Set[str]) -> list[PrecedencePair]:
    """Return the pairs with the work that the estimate has in place of the earlier work named.

    An assembly of the same purpose is another way to the same end. Costs a query.
    """
    by_purpose: dict[str, list[Assembly]] = defaultdict(list)
    for assembly in _with_a_purpose():
        if assembly.code in held:
            by_purpose[assembly.purpose].append(assembly)
    return [
        PrecedencePair(row.assembly.code, assembly.code, assembly.phase, row.reason)
        for row in rows
        for assembly in by_purpose.get(row.earlier.purpose, ())
        if assembly not in (row.earlier, row.assembly)
    ]


def _placed(work: Work) -> PlacedWork:
    return PlacedWork(
        title=work.title,
        code=work.assembly.code if work.assembly else "",
        phase=work.phase,
        holds=nested_codes(work.assembly) if work.assembly else frozenset(),
        rooms=frozenset(use.room for use in work.rooms),
    )
