"""What came out of planning: when each step starts and ends, why there, and what couldn't be kept."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from fractions import Fraction


@dataclass(frozen=True)
class Piece:
    """The part of a step that is done in one go: on one day, without a break."""

    step: str
    start: datetime
    end: datetime

    @property
    def hours(self) -> Fraction:
        return Fraction(int((self.end - self.start).total_seconds()), 3600)


@dataclass(frozen=True)
class Reason:
    """Why a step lies where it lies.

    `kind` is "first" (the work begins with it), "waits" (`by` must dry or set until `until`), "after" (it
    comes right after `by`, which must be done before), "surface" (`by` closes a surface that it needs),
    "worker" (he is busy with `by` until then), "fits" (it is done in one go and doesn't fit earlier),
    "not_before" (a day set by hand or by what comes from outside), "pin", "done", or "chosen" (nothing
    holds it: it could be begun earlier).
    """

    kind: str
    by: str = ""
    until: datetime | None = None
    words: str = ""


@dataclass(frozen=True)
class PlacedStep:
    """A step in the plan.

    `latest` is the last start that moves the finish of its job to no later day while the order of the work
    stays: "free to move to". `dry` is when what it closes can be used again; `end` where nothing dries.
    """

    key: str
    start: datetime
    end: datetime
    pieces: tuple[Piece, ...]
    reason: Reason
    latest: datetime
    dry: datetime


@dataclass(frozen=True)
class Unkept:
    """A pin, a promised day or a step in one go that can't be kept, and the sentence that says so."""

    key: str
    kind: str  # "pin", "promise" or "too_long"
    words: str


@dataclass(frozen=True)
class Plan:
    """All steps on their days.

    `makespan` is working quarter hours from the start to the end of the last step, `lower_bound` what no
    plan can be below; `proven` says that no plan ends earlier. `finish` is None where there is no work.
    """

    start: datetime
    placed: Mapping[str, PlacedStep]
    finish: datetime | None
    makespan: int
    lower_bound: int
    proven: bool
    unkept: tuple[Unkept, ...] = ()
    names: Mapping[str, str] = field(default_factory=dict)

    def days(self) -> dict[date, tuple[Piece, ...]]:
        """Return the pieces of work of each day, in their order."""
        pieces = [piece for step in self.placed.values() for piece in step.pieces if piece.end > piece.start]
        by_day: dict[date, list[Piece]] = {}
        for piece in sorted(pieces, key=lambda piece: (piece.start, piece.step)):
            by_day.setdefault(piece.start.date(), []).append(piece)
        return {day: tuple(found) for day, found in by_day.items()}

    @property
    def working_days(self) -> int:
        """On how many days something is worked."""
        return len(self.days())
