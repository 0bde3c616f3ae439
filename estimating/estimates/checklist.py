"""The check of an estimate against the catalog: what its work usually needs, and in which order it goes."""

from collections import defaultdict
from collections.abc import Iterable, Sequence, Set
from dataclasses import dataclass

from catalog.assemblies.expansion import nested_codes
from catalog.models import Assembly, Precedence
from catalog.phases import PHASE_ORDER
from estimating.estimates.companions import Wanted, wanted
from estimating.estimates.draft import Draft
from estimating.estimates.work_order import Pair, Placed, TooLate, lacking, put_in_order, too_late
from estimating.models import Estimate
from estimating.takeoff.takeoff import Work


@dataclass(frozen=True)
class EstimateCheck:
    """Companions that lack, pieces that lack before others, and work that stands too late.

    `order` are the primary keys of all work items in an order in which nothing stands too late within its
    phase; empty where they stand so already.
    """

    companions: Sequence[Wanted]
    before: Sequence[Wanted]
    too_late: Sequence[TooLate]
    order: Sequence[int]


def check_estimate(estimate: Estimate, draft: Draft) -> EstimateCheck:
    """Costs six queries, however much work there is."""
    works = sorted(draft.works, key=lambda each: PHASE_ORDER[each.phase])
    placed = [_placed(each) for each in works]
    companions = wanted(estimate)
    held = {code for each in placed for code in each.holds}
    rows = Precedence.objects.filter(assembly__code__in=held)
    rows = {(row.assembly.code, row.earlier.code): row for row in rows.select_related("assembly", "earlier")}
    others = _other_ways(rows.values(), held)
    pairs = [Pair(*codes, row.earlier.phase, row.reason) for codes, row in rows.items()]
    offered = [pair for pair in pairs if not rows[pair.work, pair.earlier].earlier.retired]
    aside = estimate.asides.values_list("assembly__code", flat=True)
    answered = frozenset(aside).union(each.assembly.code for each in companions)
    before = [
        Wanted(rows[each.pair.work, each.pair.earlier].earlier, each.title, each.pair.reason)
        for each in lacking(placed, [*offered, *others], answered)
    ]
    order = put_in_order(placed, [*pairs, *others])
    return EstimateCheck(
        companions,
        before,
        too_late(placed, [*pairs, *others]),
        [int(works[place].key) for place in order] if list(order) != sorted(order) else (),
    )


def _other_ways(rows: Iterable[Precedence], held: Set[str]) -> list[Pair]:
    """The same for work that the estimate has in place of what is named: another way to the same end."""
    ways: dict[str, list[Assembly]] = defaultdict(list)
    for each in Assembly.objects.filter(code__in=held).exclude(purpose=""):
        ways[each.purpose].append(each)
    return [
        Pair(row.assembly.code, each.code, each.phase, row.reason)
        for row in rows
        for each in ways.get(row.earlier.purpose, ())
        if each not in (row.earlier, row.assembly)
    ]


def _placed(work: Work) -> Placed:
    return Placed(
        title=work.title,
        code=work.assembly.code if work.assembly else "",
        phase=work.phase,
        holds=nested_codes(work.assembly) if work.assembly else frozenset(),
        rooms=frozenset(use.room for use in work.rooms),
    )
