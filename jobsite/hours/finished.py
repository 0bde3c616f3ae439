"""Finished work items, each with its priced hours by operation and the hours that it took."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from estimating.contract.work_lines import ContractWorkLine, PricedOperation

Place = tuple[int, str]


@dataclass(frozen=True)
class FinishedItem:
    """A finished line of signed work.

    `job` and `document` are primary keys, `key` is the line's in the basis. `priced` are the hours that it
    was priced at: those of its `operations`, and what was typed on it by hand. `taken` are the hours entered
    on the line itself; hours on its phase or its job belong to no line and aren't in it.
    """

    job: int
    document: int
    key: str
    title: str
    phase: str
    finished_on: date
    priced: Fraction
    taken: Fraction
    operations: tuple[PricedOperation, ...]


def finished_items(
    job: int,
    lines: Iterable[ContractWorkLine],
    finished: Mapping[Place, date],
    taken: Mapping[Place, Fraction],
) -> Iterator[FinishedItem]:
    """Yield the finished lines of a job's contract on which hours were entered.

    Where no hours were entered on a line, nothing is known of it: that isn't a line that took none.
    """
    for line in lines:
        place = line.line.place
        if place in finished and taken.get(place):
            yield FinishedItem(
                job,
                *place,
                line.line.title,
                line.phase,
                finished[place],
                line.hours,
                taken[place],
                line.operations,
            )
