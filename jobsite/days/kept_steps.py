"""The steps of a job with what pages say of their work, and the same as JSON."""

from collections.abc import Mapping
from dataclasses import astuple, dataclass, field
from datetime import date
from fractions import Fraction
from functools import cached_property
from typing import Any

from estimating.events.chain import canonical
from estimating.schedule.steps import HoursRange, Step, Wait
from jobsite.days.planned import Supply


@dataclass(frozen=True)
class WorkFacts:
    """What is known of the work that steps belong to.

    `document` and `line` are its place in the contract, document 0 in a draft; `change` is the title of the
    signed change that added it. `is_option` says that it is in no sum yet.
    """

    title: str
    phase: str
    document: int = 0
    line: str = ""
    rooms: str = ""
    change: str = ""
    supplies: tuple[Supply, ...] = ()

    @property
    def place(self) -> tuple[int, str]:
        return self.document, self.line


@dataclass(frozen=True)
class Choice:
    """An allowance or an option of the contract that its client hasn't decided on.

    `by` is the day that the contract gives for it, `phase` the work that it is part of.
    """

    key: str
    title: str
    by: date | None
    phase: str


@dataclass(frozen=True)
class JobSteps:
    """The steps of a job, the facts of their work by its key, and what its client has to decide."""

    job: int
    steps: tuple[Step, ...]
    facts: Mapping[str, WorkFacts] = field(default_factory=dict)
    problems: tuple[str, ...] = ()
    choices: tuple[Choice, ...] = ()

    @cached_property
    def as_text(self) -> str:
        """All of it as one JSON text."""
        return canonical(as_json(self))


def as_json(steps: JobSteps) -> dict[str, Any]:
    """Return the steps of a job as JSON keeps them."""
    return {
        "job": steps.job,
        "steps": [_plain_step(step) for step in steps.steps],
        "facts": {key: _plain_facts(facts) for key, facts in steps.facts.items()},
        "problems": list(steps.problems),
        "choices": [
            [choice.key, choice.title, choice.by.isoformat() if choice.by else None, choice.phase]
            for choice in steps.choices
        ],
    }


def from_json(content: Mapping[str, Any]) -> JobSteps:
    """Return the steps that JSON kept. Raises KeyError, TypeError or ValueError where it isn't any."""
    return JobSteps(
        content["job"],
        tuple(_step(row) for row in content["steps"]),
        {key: _facts(row) for key, row in content["facts"].items()},
        tuple(content["problems"]),
        tuple(
            Choice(key, title, date.fromisoformat(by) if by else None, phase)
            for key, title, by, phase in content["choices"]
        ),
    )


def _plain_step(step: Step) -> dict[str, Any]:
    spread = step.hours
    return {
        "key": step.key,
        "name": step.name,
        "quarters": step.quarters,
        "work_item": step.work_item,
        "job": step.job,
        "splittable": step.splittable,
        "after": [[wait.step, wait.quarters] for wait in step.after],
        "uses": sorted(step.uses),
        "closes": sorted(step.closes),
        "dries": step.dries,
        "hours": [str(hours) for hours in (spread.low, spread.likely, spread.high)] if spread else None,
    }


def _step(row: Mapping[str, Any]) -> Step:
    spread = row["hours"]
    values = {
        **row,
        "after": tuple(Wait(step, quarters) for step, quarters in row["after"]),
        "uses": frozenset(row["uses"]),
        "closes": frozenset(row["closes"]),
        "hours": HoursRange(*map(Fraction, spread)) if spread else None,
    }
    return Step(**values)


def _plain_facts(facts: WorkFacts) -> dict[str, Any]:
    return {
        "title": facts.title,
        "phase": facts.phase,
        "document": facts.document,
        "line": facts.line,
        "rooms": facts.rooms,
        "change": facts.change,
        "supplies": [list(astuple(supply)) for supply in facts.supplies],
    }


def _facts(row: Mapping[str, Any]) -> WorkFacts:
    return WorkFacts(**{**row, "supplies": tuple(Supply(*supply) for supply in row["supplies"])})
