"""What a signed job wants next of its money. Bills belong to the app above, which imports us and not we it:
its `ready` puts its answer into this slot. Empty, the tape says what it says without bills."""

from collections.abc import Callable, Sequence

from estimating.document_states import ACCEPTED
from estimating.models import Job
from estimating.tape import Step

ASK: list[Callable[[Job], Step]] = []


def money_step(job: Job, events: Sequence[str]) -> Step | None:
    """The step of a job whose estimate in force had these events; None before it is signed and once the job
    is put away. It costs the queries of whoever answers, about ten."""
    if job.closed or ACCEPTED not in events:
        return None
    return next((ask(job) for ask in ASK), None)
