"""What was bought for a job against what was priced to be bought, by phase and work item.

A receipt's line that is charged to a material goes to the work items that need it, in proportion to what was
priced of it for each, with its part of the receipt's tax. A receipt of a change goes to the change. All else
stands under the job, and uses up what is left of the work items, as nobody knows which of them it is for.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from catalog.money.amounts import format_price, round_cents, split_cents
from estimating.contract.work_lines import ContractWorkLine
from estimating.plain_text import list_in_words
from jobsite.hours.finished import Place
from jobsite.hours.progress import NOTABLE, place_of
from jobsite.receipts.needs import Needs

NOTHING = Decimal("0.00")
LEAST_OVER = Decimal(5)  # dollars; less is the price of a roll of tape (a judgement of ours)


@dataclass(frozen=True)
class WorkCost:
    """What was priced to be bought for a line of signed work, and what receipts charge to it."""

    title: str
    phase: str
    priced: Decimal
    spent: Decimal
    is_finished: bool

    @property
    def left(self) -> Decimal:
        return NOTHING if self.is_finished else max(self.priced - self.spent, NOTHING)

    @property
    def expected(self) -> Decimal:
        """What it comes to at the end. Finished work that nothing is charged to counts as it was priced."""
        return self.priced if self.is_finished and not self.spent else self.spent + self.left

    @property
    def warning(self) -> str:
        """A sentence on a line that is over; empty for any other.

        Buying ends at what was priced where all goes well, so that nearing it is nothing to say.
        """
        over = self.spent - self.priced
        if over < LEAST_OVER or self.spent <= self.priced * Decimal(NOTABLE.numerator) / NOTABLE.denominator:
            return ""
        return f"Bought for {self.title}: {format_price(self.spent)} of {format_price(self.priced)}."


@dataclass(frozen=True)
class PhaseCost:
    """A phase with its lines."""

    label: str
    lines: tuple[WorkCost, ...]

    @property
    def priced(self) -> Decimal:
        return sum((line.priced for line in self.lines), NOTHING)

    @property
    def spent(self) -> Decimal:
        return sum((line.spent for line in self.lines), NOTHING)

    @property
    def left(self) -> Decimal:
        return sum((line.left for line in self.lines), NOTHING)

    @property
    def expected(self) -> Decimal:
        return sum((line.expected for line in self.lines), NOTHING)


@dataclass(frozen=True)
class Bought:
    """Material, equipment and subcontracts of a job, with the tax paid on them.

    `priced` is what the price holds for them, `spent` what receipts come to, returns taken off.
    """

    priced: Decimal
    spent: Decimal
    is_closed: bool = False
    phases: tuple[PhaseCost, ...] = ()

    @property
    def for_job(self) -> Decimal:
        """What is charged to no work item."""
        return self.spent - sum((phase.spent for phase in self.phases), NOTHING)

    @property
    def left(self) -> Decimal:
        """What is still to be bought, or still to be entered of finished work."""
        if self.is_closed:
            return NOTHING
        elsewhere = self.priced - sum((phase.priced for phase in self.phases), NOTHING)
        to_come = sum((phase.expected - phase.spent for phase in self.phases), elsewhere)
        return max(to_come - self.for_job, NOTHING)

    @property
    def expected(self) -> Decimal:
        """What it comes to at the end: what is spent and what is left to spend."""
        return self.spent + self.left

    @property
    def over(self) -> Decimal:
        """By how much more is spent than was priced."""
        return max(self.spent - self.priced, NOTHING)

    @property
    def warnings(self) -> tuple[str, ...]:
        """What costs more than was priced: the job as a whole, then its work, the largest first."""
        lines = [line for phase in self.phases for line in phase.lines if line.warning]
        words = [line.warning for line in sorted(lines, key=lambda line: line.priced - line.spent)]
        if self.over >= LEAST_OVER:
            words.insert(
                0, f"All that is bought comes to {format_price(self.spent)} of {format_price(self.priced)}."
            )
        return tuple(words)


def bought_of(
    lines: Sequence[ContractWorkLine],
    needs: Needs,
    charged: Mapping[str, Decimal],
    of_changes: Mapping[int, Decimal],
    spent: Decimal,
    phases: Sequence[tuple[str, str]],
    is_closed: bool,
) -> Bought:
    """Return what was bought for a job.

    `charged` is what receipts charge to materials by their codes, with tax; `of_changes` what is for a
    change by the hour as a whole, by its document; `spent` all of it, with what is charged to neither.
    """
    by_place: dict[Place, list[ContractWorkLine]] = {}
    for line in lines:
        by_place.setdefault(place_of(line), []).append(line)
    sums = dict.fromkeys(by_place, NOTHING)
    for document, amount in of_changes.items():
        if (document, "") in sums:
            sums[document, ""] += amount
    for code, amount in charged.items():
        weights = {place: weight for place, weight in needs.get(code, {}).items() if place in sums}
        if weights:
            for place, part in zip(weights, split_cents(amount, list(weights.values())), strict=True):
                sums[place] += part
    groups: dict[str, list[WorkCost]] = {}
    for place, of_place in by_place.items():
        cost = WorkCost(
            list_in_words([line.line.title for line in of_place]),
            of_place[0].phase,
            sum((round_cents(line.bought) for line in of_place), NOTHING),
            sums[place],
            all(line.is_finished for line in of_place),
        )
        if cost.priced or cost.spent:
            groups.setdefault(cost.phase, []).append(cost)
    found = tuple(
        PhaseCost(label, tuple(groups[code]))
        for code, label in (*phases, ("", "Changes and other work"))
        if code in groups
    )
    return Bought(sum((phase.priced for phase in found), NOTHING), spent, is_closed, found)
