"""The check of an estimate against the catalog: what its work usually needs, and in which order it goes."""

from collections.abc import Sequence
from dataclasses import dataclass

from catalog.expansion import nested_codes
from catalog.models import Precedence
from catalog.phases import PHASE_ORDER
from estimating.companions import Wanted, wanted
from estimating.drafts import Draft
from estimating.models import Estimate
from estimating.order_check import Pair, Placed, TooLate, lacking, too_late


@dataclass(frozen=True)
class EstimateCheck:
    """Companions that lack, pieces that lack before others, and work that stands too late."""

    companions: Sequence[Wanted]
    before: Sequence[Wanted]
    too_late: Sequence[TooLate]


def check_estimate(estimate: Estimate, draft: Draft) -> EstimateCheck:
    """Costs five queries, however much work there is."""
    placed = _placed(draft)
    companions = wanted(estimate)
    rows = Precedence.objects.filter(assembly__code__in={code for each in placed for code in each.holds})
    rows = {(row.assembly.code, row.earlier.code): row for row in rows.select_related("assembly", "earlier")}
    pairs = [Pair(*codes, row.earlier.phase, row.reason) for codes, row in rows.items()]
    offered = [pair for pair in pairs if not rows[pair.work, pair.earlier].earlier.retired]
    aside = estimate.asides.values_list("assembly__code", flat=True)
    answered = frozenset(aside).union(each.assembly.code for each in companions)
    before = [
        Wanted(rows[each.pair.work, each.pair.earlier].earlier, each.title, each.pair.reason)
        for each in lacking(placed, offered, answered)
    ]
    return EstimateCheck(companions, before, too_late(placed, pairs))


def _placed(draft: Draft) -> list[Placed]:
    """The work that comes from the catalog, in the order in which it goes."""
    placed = [
        Placed(
            title=work.title,
            code=work.assembly.code,
            phase=work.phase,
            holds=nested_codes(work.assembly),
            rooms=frozenset(use.room for use in work.rooms),
        )
        for work in draft.works
        if work.assembly is not None
    ]
    return sorted(placed, key=lambda each: PHASE_ORDER[each.phase])
