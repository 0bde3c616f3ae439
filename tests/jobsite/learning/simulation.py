"""Firms whose true rates are known, with jobs whose hours are drawn by them."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log
from random import Random
from statistics import mean

from estimating.ranges.spread import Spread
from jobsite.learning.model import JobRatio, learn

OPERATIONS = 12
PRIOR = Spread(0.65, 1.0, 1.65)  # about the median of the shipped rates


@dataclass(frozen=True)
class World:
    """How firms and jobs are drawn: log deviations, and how often a work item goes wrong by how much."""

    pace: float = 0.0  # of a whole firm from the catalog
    rate: float = 0.15  # of one operation from its firm's pace
    job: float = 0.10
    item: float = 0.20
    wrong: float = 0.05
    wrong_by: float = 2.0
    alone: float = 0.4  # how many work items are one operation alone


@dataclass(frozen=True)
class Errors:
    """Mean distances from the true rates, in logs, over all operations that were done."""

    catalog: float
    plain: float
    learned: float


def one_firm(world: World, jobs: int, draw: Random) -> Errors:
    """Draw a firm and its jobs, learn from these, and compare with the truth."""
    pace = draw.gauss(0, world.pace)
    true = [pace + draw.gauss(0, world.rate) for _ in range(OPERATIONS)]
    evidence: dict[str, list[JobRatio]] = {}
    hours: dict[str, list[tuple[float, float]]] = {}
    for job in range(jobs):
        sums: dict[int, list[float]] = {}
        slow = draw.gauss(0, world.job)
        for _ in range(draw.randint(3, 6)):
            count = 1 if draw.random() < world.alone else draw.randint(2, 3)
            priced = {operation: draw.uniform(1, 12) for operation in draw.sample(range(OPERATIONS), count)}
            luck = draw.gauss(0, world.item)
            if draw.random() < world.wrong:
                luck += log(world.wrong_by)
            taken = sum(part * exp(true[operation] + slow + luck) for operation, part in priced.items())
            whole = sum(priced.values())
            for operation, part in priced.items():
                entry = sums.setdefault(operation, [0.0, 0.0, 0.0])
                entry[0] += taken * part / whole
                entry[1] += part
                entry[2] += part * part / whole
        for operation, (taken, part, shared) in sums.items():
            code = str(operation)
            evidence.setdefault(code, []).append(JobRatio(job, taken / part, part, shared / part))
            hours.setdefault(code, []).append((taken, part))
    found = learn({code: (PRIOR, ratios) for code, ratios in evidence.items()})
    plain = {code: log(sum(t for t, _ in rows) / sum(p for _, p in rows)) for code, rows in hours.items()}
    return Errors(
        mean(abs(true[int(code)]) for code in found),
        mean(abs(plain[code] - true[int(code)]) for code in found),
        mean(abs(log(learned.ratio) - true[int(code)]) for code, learned in found.items()),
    )


def errors(world: World, jobs: int, firms: int, seed: int = 13) -> Errors:
    """Return the mean errors over many firms."""
    draw = Random(f"{seed} {jobs}")
    all_firms: Sequence[Errors] = [one_firm(world, jobs, draw) for _ in range(firms)]
    return Errors(
        mean(firm.catalog for firm in all_firms),
        mean(firm.plain for firm in all_firms),
        mean(firm.learned for firm in all_firms),
    )
