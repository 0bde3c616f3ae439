"""The progress of a job: the stage it is at, and what the next one needs."""

from collections.abc import Sequence
from dataclasses import dataclass

from estimating.documents.progress_step import ProgressStep
from estimating.events import states

STAGES = ("Measured", "Priced", "Sent", "Signed", "Under way", "Billed", "Paid")

_SIGNED = STAGES.index("Signed") + 1  # how many stages are behind a job that is only signed

_WITH_ESTIMATE = {
    states.ISSUED: (2, "hand the estimate to the client"),
    states.SENT: (3, "have the estimate signed"),
    states.OPENED: (3, "have the estimate signed"),
    states.ACCEPTED: (4, "plan the work"),
    states.DECLINED: (2, "the client declined: issue it anew, or close the job"),
    states.CANCELED: (2, "the client canceled: issue it anew, or close the job"),
}


@dataclass(frozen=True)
class Stage:
    """A stage of the progress bar; `state` is "done" once it has happened, then "next" or "later"."""

    label: str
    state: str


@dataclass(frozen=True)
class JobProgress:
    """The stages in order, and the next thing to do with the name of the URL where it is done.

    `next_words` are empty where nothing is left to do.
    """

    stages: tuple[Stage, ...]
    next_words: str
    next_page: str

    @property
    def reached(self) -> str:
        """The last stage that is behind the job, in a word; "Asked for" before the first."""
        done = [stage.label for stage in self.stages if stage.state == "done"]
        return done[-1] if done else "Asked for"

    @property
    def is_sent(self) -> bool:
        """Whether the estimate went out, so that no promise of one is left."""
        return self.stages[STAGES.index("Sent")].state == "done"

    @property
    def is_paid(self) -> bool:
        """Whether every stage is behind the job."""
        return self.reached == STAGES[-1]

    @property
    def is_under_way(self) -> bool:
        """Whether the job is signed, so that it opens where its next step is and no longer at its rooms."""
        return self.stages[STAGES.index("Signed")].state == "done"


def job_progress(
    rooms: int,
    work_items: int,
    events: Sequence[str] = (),
    changes_waiting: int = 0,
    must_wait: str = "",
    billing_step: ProgressStep | None = None,
    expired: bool = False,
    refund: str = "",
    closed: bool = False,
    asked: bool = False,
) -> JobProgress:
    """Return how far a job is.

    `rooms` and `work_items` count what is measured and what is to be done; `events` are those of the
    estimate in force in their order, none before one is issued. `changes_waiting` counts the changes that
    wait for a signature; `must_wait` says which signed work should wait while the client can still cancel
    it; `billing_step` is what billing names as next, once the job is signed; `expired` says that the
    estimate is unsigned and past its last day; `refund` says what goes back to a client who canceled; `asked`
    that a question of his waits. A `closed` job wants nothing but money that is owed and an answer; its
    stages stay what has happened.
    """
    step = _step_by_estimate(rooms, work_items, events, expired)
    if states.state_after(events) == states.ACCEPTED:
        step = _step_when_signed(billing_step or step, changes_waiting, must_wait)
    words, page = step.words, step.page
    if closed:
        words = billing_step.words if billing_step else ""
    if refund:
        words, page = refund, "job-money"
    if asked:
        words, page = "a question waits: answer the client", "job-papers"
    ticks = ["done" if index < step.reached else "later" for index in range(len(STAGES))]
    if step.reached < len(STAGES):
        ticks[step.reached] = "next"
    return JobProgress(tuple(map(Stage, STAGES, ticks)), words, page)


def _step_by_estimate(rooms: int, work_items: int, events: Sequence[str], expired: bool) -> ProgressStep:
    """Return the step of an unsigned job, by what is measured, priced and issued."""
    page = "job-papers"
    if not rooms and not work_items:
        reached, words, page = 0, "measure the first room", "room-new"
    elif not work_items:
        reached, words, page = 1, "put work on the rooms", "work-add"
    else:
        reached, words = _WITH_ESTIMATE.get(
            states.state_after(events), (2, "read the estimate through and issue it")
        )
    if expired:
        words = "the estimate is past its last day: look prices up again"
    return ProgressStep(reached, words, page)


def _step_when_signed(step: ProgressStep, changes_waiting: int, must_wait: str) -> ProgressStep:
    """Return a signed job's step, or what must be settled before it.

    Under way, a job that must wait stays where its step is: he comes for a bill or a payment.
    """
    if changes_waiting:
        many = "s wait" if changes_waiting > 1 else " waits"
        return ProgressStep(step.reached, f"{changes_waiting} change{many} for a signature", "job-papers")
    if must_wait:
        page = step.page if step.reached > _SIGNED else "job-papers"
        return ProgressStep(step.reached, must_wait, page)
    return step
