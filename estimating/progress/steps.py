"""The tape of a job: how far it is out, and what the next mark needs."""

from collections.abc import Sequence
from dataclasses import dataclass

from estimating.events import states

MARKS = ("Measured", "Priced", "Sent", "Signed", "Under way", "Billed", "Paid")

_WITH_ESTIMATE = {
    states.ISSUED: (2, "hand the estimate to the client"),
    states.SENT: (3, "have the estimate signed"),
    states.OPENED: (3, "have the estimate signed"),
    states.ACCEPTED: (4, "plan the work"),
    states.DECLINED: (2, "the client declined: issue it anew, or put the job away"),
    states.CANCELED: (2, "the client canceled: issue it anew, or put the job away"),
}


@dataclass(frozen=True)
class Mark:
    """A tick of the tape; `state` is "done", "now" or "later"."""

    label: str
    state: str


@dataclass(frozen=True)
class Tape:
    """The marks in order, and the next thing to do with the name of the page where it is done."""

    marks: tuple[Mark, ...]
    next_words: str
    next_page: str


@dataclass(frozen=True)
class Step:
    """How far a signed job is by its money: the mark that it is at, and what comes next on which page."""

    reached: int
    words: str
    page: str


def tape(
    rooms: int,
    work_items: int,
    events: Sequence[str] = (),
    waiting: int = 0,
    waits: str = "",
    money: Step | None = None,
    expired: bool = False,
) -> Tape:
    """How far a job is, from how many rooms are measured, how many work items are on them, and the events
    of the estimate in force in their order; none before one is issued. `waiting` counts the changes that
    wait for a signature; `waits` says what of the signed should wait while it can be canceled; `money` is
    what the app above knows of bills, once it is signed; `expired` says that the estimate is past its last
    day and unsigned."""
    state = states.state_after(events)
    if not rooms and not work_items:
        reached, words, page = 0, "measure the first room", "room-new"
    elif not work_items:
        reached, words, page = 1, "put work on the rooms", "work-add"
    else:
        reached, words = _WITH_ESTIMATE.get(state, (2, "read the estimate through and issue it"))
        page = "job-papers"
    if expired:
        words = "the estimate is past its last day: look prices up again"
    if money and state == states.ACCEPTED:
        reached, words, page = money.reached, money.words, money.page
    if waits and state == states.ACCEPTED:
        words, page = waits, "job-papers"
    if waiting and state == states.ACCEPTED:
        many = "s wait" if waiting > 1 else " waits"
        words = f"{waiting} change{many} for a signature"
        page = "job-papers"
    if states.question_waits(events):
        words, page = "a question waits: answer the client", "job-papers"
    ticks = ["done" if place < reached else "later" for place in range(len(MARKS))]
    ticks[reached] = "now"
    return Tape(tuple(map(Mark, MARKS, ticks)), words, page)
