"""Which work a milestone stands for: what is usually finished when it is reached, whole phases at a time."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from estimating.contract.work_lines import ContractWorkLine
from invoicing.milestones.earned_value import weights_by_cost
from invoicing.milestones.plan import NO_MONEY, Plan, sum_money


@dataclass(frozen=True)
class WorkGroup:
    """Work of the contract that is done together: a phase, or that of a change with a milestone of its own.

    `key` is the phase, or "change-7" for the change order that is document 7.
    """

    key: str
    lines: tuple[ContractWorkLine, ...]

    @property
    def is_finished(self) -> bool:
        return all(line.is_finished for line in self.lines)

    @property
    def price(self) -> Decimal:
        """What the work comes to in the contract."""
        return sum_money(line.line.left for line in self.lines)


def work_groups(
    lines: Sequence[ContractWorkLine], order: Mapping[str, int], apart: Mapping[int, str] | None = None
) -> tuple[WorkGroup, ...]:
    """Return the work by phase, in their order; then the changes that are billed `apart`.

    `apart` are the documents of changes with a milestone of their own, with the keys of these milestones.
    """
    apart = apart or {}
    groups: dict[str, list[ContractWorkLine]] = {}
    for line in sorted(lines, key=lambda line: order.get(line.phase, len(order))):
        if line.line.document not in apart:
            groups.setdefault(line.phase, []).append(line)
    for line in lines:
        if line.line.document in apart:
            groups.setdefault(f"change-{line.line.document}", []).append(line)
    return tuple(WorkGroup(key, tuple(members)) for key, members in groups.items())


def groups_reached(
    plan: Plan, milestone: str, groups: Sequence[WorkGroup], apart: Mapping[int, str] | None = None
) -> frozenset[str]:
    """Return the keys of the groups that a milestone stands for, as far as the money tells.

    With the last milestone all phases are done; before it, as many whole phases, in the order of the work, as
    come nearest to the share of the sum that is paid with it. The milestone of a change stands for its work,
    a deposit for none.
    """
    apart = apart or {}
    if milestone in apart.values():
        return frozenset(f"change-{document}" for document, key in apart.items() if key == milestone)
    if plan.milestone(milestone).is_deposit:
        return frozenset()
    own = [row for row in plan.milestones if row.key not in apart.values()]
    phases = [group for group in groups if not group.key.startswith("change-")]
    if own[-1].key == milestone:
        return frozenset(group.key for group in phases)
    position = [row.key for row in own].index(milestone)
    paid, whole = sum_money(row.base for row in own[: position + 1]), plan.signed_sum
    share = Fraction(paid) / Fraction(whole) if whole != NO_MONEY else Fraction(0)
    return frozenset(group.key for group in phases[: _nearest(share, _shares_done(phases))])


def _shares_done(phases: Sequence[WorkGroup]) -> list[Fraction]:
    """Return the share of the work, by its cost, that is done before each phase and after the last."""
    lines = [line for phase in phases for line in phase.lines]
    weights = [work.weight for work in weights_by_cost(lines)]
    total, done, shares = sum(weights, Fraction(0)), Fraction(0), [Fraction(0)]
    remaining = iter(weights)
    for phase in phases:
        done += sum((next(remaining) for _ in phase.lines), Fraction(0))
        shares.append(done / total if total else Fraction(1))
    return shares


def _nearest(share: Fraction, shares: Sequence[Fraction]) -> int:
    """Return how many phases come nearest to a share; the fewer of two that are as near."""
    return min(range(len(shares)), key=lambda count: (abs(shares[count] - share), count))
