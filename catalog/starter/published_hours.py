"""Published figures that stand beside the shipped hours, and what the hours of a rate rest on.

`published/hours.json` keeps each figure as printed, its source with grade and place, what it includes, and
how our hours were made of it. A figure that a rate isn't held to says why under `apart`. Imports no rows;
reads the files once.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any

from catalog.assemblies.specs import OperationSpec
from catalog.measures.rates import parse_rate
from catalog.starter.files import read_files

FILE = Path(__file__).parent / "published" / "hours.json"


class Grade(StrEnum):
    """How far a source can be trusted. An unsigned page is a cross-check: no rate rests on it alone."""

    OFFICIAL = "official"
    TRADE = "trade"
    PRACTITIONER = "practitioner"
    UNSIGNED = "unsigned"

    @property
    def words(self) -> str:
        return _GRADES[self]


_GRADES = {
    Grade.OFFICIAL: "official",
    Grade.TRADE: "trade text or body",
    Grade.PRACTITIONER: "one practitioner's account",
    Grade.UNSIGNED: "page without an author, a cross-check only",
}


class RestsOn(StrEnum):
    """What hours rest on: a published figure, the firm's own number, or a guess."""

    PUBLISHED = "published"
    OWN = "own"
    GUESSED = "guessed"


@dataclass(frozen=True)
class HoursSource:
    """A publication that tells hours."""

    title: str
    grade: Grade
    address: str


@dataclass(frozen=True)
class Figure:
    """A published figure. `hours` is the same as a rate; `apart` says why no rate is held to it.

    `together` names every step that the figure holds, by code, where there are more than this one, with how
    often it is done ("coat x 2") or how much of it one unit takes; with `set_ups` their set-ups are in it.
    """

    printed: str
    hours: str
    source: HoursSource
    place: str
    includes: str
    apart: str = ""
    together: tuple[str, ...] = ()
    set_ups: bool = False

    @property
    def counts(self) -> bool:
        """Whether a rate may rest on it."""
        return not self.apart and self.source.grade is not Grade.UNSIGNED

    def per_unit(self, unit: str) -> Fraction:
        return parse_rate(self.hours, "hour", unit).per_unit


@dataclass(frozen=True)
class BesideHours:
    """How the shipped hours of an operation were made, and the figures that stand beside them."""

    made: str
    figures: tuple[Figure, ...] = ()


NOTHING_BESIDE = BesideHours("A guess: no published figure was found for it.")


@cache
def published_hours() -> Mapping[str, BesideHours]:
    """Return what stands beside the shipped hours, by the code of the operation."""
    data = json.loads(FILE.read_text("utf-8"))
    sources = {
        key: HoursSource(source["title"], Grade(source["grade"]), source["address"])
        for key, source in data["sources"].items()
    }
    return {
        code: BesideHours(
            entry["made"],
            tuple(
                Figure(
                    figure["printed"],
                    figure["hours"],
                    sources[figure["source"]],
                    figure["place"],
                    figure["includes"],
                    figure.get("apart", ""),
                    tuple(figure.get("together", ())),
                    figure.get("set_ups", False),
                )
                for figure in entry["figures"]
            ),
        )
        for code, entry in data["operations"].items()
    }


def rests_on(operation: OperationSpec) -> RestsOn:
    """Return what the hours for one unit of an operation rest on; its set-up is judged by `set_up_rests_on`.

    Hours of the firm's own, or with a source of its own, are its own. Shipped ones rest on a published
    figure where one that counts lies within their best and worst; all others are guesses. A figure for
    several steps together is held to the sum of their shipped hours.
    """
    if is_own(operation):
        return RestsOn.OWN
    beside = published_hours().get(operation.code, NOTHING_BESIDE)
    best = operation.low if operation.low is not None else operation.rate.per_unit
    worst = operation.high if operation.high is not None else operation.rate.per_unit
    for figure in beside.figures:
        if not figure.counts:
            continue
        least, most = _sums(figure) if figure.together else (best, worst)
        if least <= figure.per_unit(operation.unit) <= most:
            return RestsOn.PUBLISHED
    return RestsOn.GUESSED


def _sums(figure: Figure) -> tuple[Fraction, Fraction]:
    """Return the best and the worst hours of all steps of a figure together, as shipped."""
    sums = []
    for key in ("low", "high"):
        total = Fraction(0)
        for step in figure.together:
            code, _, times = step.partition(" x ")
            entry = _shipped_operations()[code]
            total += parse_rate(entry[key], "hour", entry["unit"]).per_unit * Fraction(times or 1)
            total += Fraction(entry.get("set_up_hours", "0")) if figure.set_ups else 0
        sums.append(total)
    return sums[0], sums[1]


def set_up_rests_on(operation: OperationSpec) -> RestsOn:
    """Return what the set-up of an operation rests on. No source tells one: shipped, it is a guess."""
    return RestsOn.OWN if is_own(operation) else RestsOn.GUESSED


def is_own(operation: OperationSpec) -> bool:
    """Tell whether the hours are the firm's own: they or their source aren't those that are shipped."""
    return _shipped_hours().get(operation.code) != (operation.rate.per_unit, operation.source)


@cache
def _shipped_hours() -> Mapping[str, tuple[Fraction, str]]:
    """Return the hours for one unit and their source, as shipped, by the code of the operation."""
    return {
        code: (parse_rate(data["hours"], "hour", data["unit"]).per_unit, data["source"])
        for code, data in _shipped_operations().items()
    }


@cache
def _shipped_operations() -> Mapping[str, Mapping[str, Any]]:
    operations = read_files(Path(__file__).parent).entries["operations"]
    return {entry.code: entry.data for entry in operations}
