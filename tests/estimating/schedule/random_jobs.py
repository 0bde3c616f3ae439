"""Jobs drawn by lot: rooms in which walls are painted, floors tiled, walls taped and trim set."""

import json
import random
from dataclasses import dataclass
from datetime import date, datetime, time
from pathlib import Path
from typing import Any

from estimating.schedule.calendar import WorkCalendar, week_of
from estimating.schedule.steps import Step, Wait

EIGHT = week_of(time(8), (8, 8, 8, 8, 8, 0, 0))
# Name, hours from and to, whether it is splittable, and hours to wait after it.
CHAINS: dict[str, tuple[tuple[str, float, float, bool, tuple[int, ...]], ...]] = {
    "paint": (
        ("prime", 0.75, 2.5, False, (2, 4)),
        ("coat 1", 0.75, 2.5, False, (4, 6)),
        ("coat 2", 0.75, 2.5, False, (4, 6)),
    ),
    "tape": (
        ("bed", 1, 4, False, (16, 24)),
        ("fill", 1, 3, False, (16, 24)),
        ("finish", 1, 3, False, (16, 24)),
        ("sand", 0.5, 2, True, (0,)),
    ),
    "tile": (
        ("board", 2, 6, False, (16, 24)),
        ("seams", 0.5, 1.5, False, (4, 16)),
        ("tile", 3, 12, True, (24,)),
        ("grout", 1, 3, False, (24, 48)),
    ),
    "trim": (("trim", 1, 5, True, (0,)), ("caulk", 0.5, 1.5, False, (2,)), ("paint", 1, 2, False, (6,))),
}


@dataclass(frozen=True)
class RandomJob:
    steps: tuple[Step, ...]
    calendar: WorkCalendar
    start: datetime


def random_job(seed: int, least: int = 12, most: int = 40) -> RandomJob:
    """Draw a job of so many steps: `protect`, then in every room some chains after its preparing."""
    lot = random.Random(seed)
    count = lot.randint(least, most)
    steps = [Step("protect", "protect", lot.randint(2, 6), splittable=False)]
    room = 0
    while len(steps) < count:
        room += 1
        prep = Step(f"r{room} prep", f"r{room} prep", lot.randint(4, 14), after=(Wait("protect"),))
        steps.append(prep)
        ends: list[str] = []
        for chain in lot.sample(sorted(CHAINS), lot.randint(1, 3)):
            before = Wait(prep.key)
            for name, low, high, splittable, waits in CHAINS[chain]:
                key = f"r{room} {chain} {name}"
                quarters = lot.randint(round(low * 4), round(high * 4))
                also = tuple(Wait(end, 0) for end in ends if lot.random() < 0.15)
                steps.append(Step(key, key, quarters, splittable=splittable, after=(before, *also)))
                before = Wait(key, lot.choice(waits) * 4)
            ends.append(before.step)
    steps = steps[:count]
    holidays = frozenset({date(2026, 5, 25)})
    start = datetime.combine(date(2026, lot.randint(4, 5), lot.randint(1, 28)), time(8))
    return RandomJob(tuple(steps), WorkCalendar(EIGHT, holidays=holidays), start)


def worked_cases() -> list[dict[str, Any]]:
    """The cases whose optimum is proven, as they stand beside this file."""
    cases: list[dict[str, Any]] = json.loads((Path(__file__).parent / "worked_cases.json").read_text())
    return cases
