"""What signed jobs want next of their money. Bills belong to the app above, which imports us and not we it:
its `ready` puts its answer into this slot. Empty, the tape says what it says without bills."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date

from estimating.events.states import ACCEPTED, state_after
from estimating.models import Job
from estimating.progress.steps import Step

ASK: list[Callable[[Sequence[Job], date], Mapping[int, Step]]] = []


def money_steps(jobs: Iterable[tuple[Job, Sequence[str]]], today: date) -> Mapping[int, Step]:
    """The steps of those jobs, by job, whose estimate in force had these events; none for a job that isn't
    signed or is put away. It costs the queries of whoever answers, about ten for all jobs together."""
    signed = [job for job, events in jobs if not job.closed and state_after(events) == ACCEPTED]
    return next((ask(signed, today) for ask in ASK), {}) if signed else {}
