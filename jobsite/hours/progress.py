"""Hours of a job by line and phase: priced, so far, left, and expected at the end.

What is left of a line is what was priced and isn't used, and nothing once it is ticked as finished. Hours on
a whole phase use up what is left of its lines. What is expected at the end is what it took so far and what
is left: a line that is over already is expected to be done, and is named.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from catalog.measures.lengths import half_up
from catalog.measures.units import format_number
from estimating.contract.work_lines import ContractWorkLine
from estimating.plain_text import list_in_words
from estimating.takeoff.work import ZERO
from jobsite.hours.finished import Place
from jobsite.hours.targets import BY_THE_HOUR

NEAR = Fraction(9, 10)  # of what was priced: then an unfinished line is named (a judgement of ours)
NOTABLE = Fraction(11, 10)  # of what was priced: then a finished line, or a whole job, is named
ON_TRIPS = ("travel", "cleaning")  # on the job itself: what supply runs and return visits take
LEAST = Fraction(1, 2)  # hours; less is named nowhere


@dataclass(frozen=True)
class LineHours:
    """A line of signed work, with the hours that it was priced at and those entered on it."""

    title: str
    phase: str
    priced: Fraction
    taken: Fraction
    is_finished: bool

    @property
    def left(self) -> Fraction:
        return ZERO if self.is_finished else max(self.priced - self.taken, ZERO)

    @property
    def expected(self) -> Fraction:
        """Hours at the end. A line that is finished without hours of its own counts as it was priced."""
        if self.is_finished and not self.taken:
            return self.priced
        return self.taken + self.left

    @property
    def warning(self) -> str:
        """A sentence on a line that is over, or about to be; empty for any other."""
        if self.taken < LEAST or self.taken < self.priced * NEAR:
            return ""
        so_far, priced = tenths(self.taken), tenths(self.priced)
        if self.is_finished:
            return f"{self.title} took {so_far} h of {priced}." if _is_over(self.taken, self.priced) else ""
        return f"{self.title} is at {so_far} h of {priced} and not ticked as finished."


@dataclass(frozen=True)
class PhaseHours:
    """A phase with its lines; `taken_whole` are hours entered on the phase as a whole."""

    label: str
    lines: tuple[LineHours, ...]
    taken_whole: Fraction

    @cached_property
    def priced(self) -> Fraction:
        return sum((line.priced for line in self.lines), ZERO)

    @cached_property
    def taken(self) -> Fraction:
        return sum((line.taken for line in self.lines), self.taken_whole)

    @cached_property
    def left(self) -> Fraction:
        return max(sum((line.left for line in self.lines), ZERO) - self.taken_whole, ZERO)

    @cached_property
    def expected(self) -> Fraction:
        """Hours at the end. Where no hours are on lines that are finished, those on the phase are theirs."""
        silent = sum((line.expected for line in self.lines if line.is_finished and not line.taken), ZERO)
        return self.taken + self.left + max(silent - self.taken_whole, ZERO)

    @property
    def is_finished(self) -> bool:
        return bool(self.lines) and all(line.is_finished for line in self.lines)

    @property
    def warning(self) -> str:
        """A sentence on a phase with hours of its own that is over, or about to be; empty for any other."""
        if self.taken_whole < LEAST:
            return ""
        so_far, priced = tenths(self.taken), tenths(self.priced)
        if not self.lines:
            return f"{self.label} has {so_far} h and nothing of it was priced."
        if self.is_finished:
            return f"{self.label} took {so_far} h of {priced}." if _is_over(self.taken, self.priced) else ""
        if self.taken < self.priced * NEAR:
            return ""
        return f"{self.label} is at {so_far} h of {priced} and not all of it is ticked as finished."


@dataclass(frozen=True)
class JobHours:
    """All hours of a job; `for_job` are those on the job itself, each with its label and hours so far.

    `priced_trips` are the hours of supply runs and return visits that the price holds; `taken_trips` those
    that went to driving, setting up and cleaning.
    """

    phases: tuple[PhaseHours, ...]
    for_job: tuple[tuple[str, Fraction], ...]
    priced_trips: Fraction
    taken_trips: Fraction
    is_closed: bool

    @cached_property
    def priced(self) -> Fraction:
        return sum((phase.priced for phase in self.phases), self.priced_trips)

    @cached_property
    def taken(self) -> Fraction:
        on_job = sum((hours for _, hours in self.for_job), ZERO)
        return sum((phase.taken for phase in self.phases), on_job)

    @property
    def left_trips(self) -> Fraction:
        return ZERO if self.is_closed else max(self.priced_trips - self.taken_trips, ZERO)

    @cached_property
    def left(self) -> Fraction:
        if self.is_closed:
            return ZERO
        return sum((phase.left for phase in self.phases), self.left_trips)

    @cached_property
    def expected(self) -> Fraction:
        """Hours at the end; those entered, once the job is closed."""
        if self.is_closed:
            return self.taken
        on_job = sum((hours for _, hours in self.for_job), ZERO)
        return sum((phase.expected for phase in self.phases), on_job + self.left_trips)

    @property
    def warnings(self) -> tuple[str, ...]:
        """What isn't finished and is over, or about to be: the largest first; then the job as a whole."""
        words = self._named(is_finished=False)
        if self.is_closed:
            return words
        if self.taken_trips - self.priced_trips >= LEAST:
            words += (
                f"Supply runs and return visits are at {tenths(self.taken_trips)} h"
                f" of {tenths(self.priced_trips)}.",
            )
        if self.taken and _is_over(self.expected, self.priced):
            words += (f"As it stands the job takes {tenths(self.expected)} h of {tenths(self.priced)}.",)
        return words

    @property
    def missed(self) -> tuple[str, ...]:
        """What is finished and took more than was priced: the largest first."""
        return self._named(is_finished=True)

    def _named(self, *, is_finished: bool) -> tuple[str, ...]:
        every: list[LineHours | PhaseHours] = [*self.phases]
        every += [line for phase in self.phases for line in phase.lines]
        every = [each for each in every if each.is_finished == is_finished]
        every.sort(key=lambda each: each.priced - each.taken)
        return tuple(filter(None, (each.warning for each in every)))


def _is_over(taken: Fraction, priced: Fraction) -> bool:
    """Whether hours are more than was priced by enough to be named."""
    return taken > priced * NOTABLE and taken - priced >= LEAST


def tenths(hours: Fraction) -> str:
    """Return hours to a tenth, as people say them."""
    return format_number(Fraction(half_up(hours * 10), 10))


def job_hours(
    lines: Sequence[ContractWorkLine],
    taken: Mapping[Place, Fraction],
    by_phase: Mapping[str, Fraction],
    for_job: Iterable[tuple[str, str, Fraction]],
    phases: Sequence[tuple[str, str]],
    priced_trips: Fraction,
    is_closed: bool,
) -> JobHours:
    """Return the hours of a job.

    `taken` are hours by document and key, with no key those on a change as a whole; `by_phase` those on whole
    phases; `for_job` those on the job itself as code, label and hours.
    """
    by_place: dict[Place, list[ContractWorkLine]] = {}
    for line in lines:
        by_place.setdefault(place_of(line), []).append(line)
    groups: dict[str, list[LineHours]] = {}
    for place, of_place in by_place.items():
        counted = _line(of_place, taken.get(place, ZERO))
        if of_place[0].line.kind != "allowance" or counted.priced or counted.taken:
            groups.setdefault(counted.phase, []).append(counted)
    others = sum((hours for place, hours in taken.items() if place not in by_place), ZERO)
    labels = (*phases, ("", "Changes and other work"))
    by_label = [
        PhaseHours(label, tuple(groups.get(code, ())), by_phase.get(code, ZERO) + (ZERO if code else others))
        for code, label in labels
    ]
    on_job = list(for_job)
    return JobHours(
        tuple(phase for phase in by_label if phase.lines or phase.taken),
        tuple((label, hours) for _, label, hours in on_job if hours),
        priced_trips,
        sum((hours for code, _, hours in on_job if code in ON_TRIPS), ZERO),
        is_closed,
    )


def _line(lines: Sequence[ContractWorkLine], taken: Fraction) -> LineHours:
    """Return a line with its hours; the lines of a change that go by the hour share theirs, and are one."""
    return LineHours(
        list_in_words([line.line.title for line in lines]),
        lines[0].phase,
        sum((line.hours for line in lines), ZERO),
        taken,
        all(line.is_finished for line in lines),
    )


def place_of(line: ContractWorkLine) -> Place:
    """Return where the hours of a line are entered: for a part by the hour, on its change."""
    return (line.line.document, "") if line.line.kind == BY_THE_HOUR else line.line.place
