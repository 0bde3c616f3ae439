"""The tape of a job: how far it is out, and what the next mark needs."""

from dataclasses import dataclass

from estimating import document_states as states

MARKS = ("Measured", "Priced", "Sent", "Signed", "Under way", "Billed", "Paid")

_WITH_ESTIMATE = {
    states.ISSUED: (2, "hand the estimate to the client"),
    states.SENT: (3, "have the estimate signed"),
    states.OPENED: (3, "have the estimate signed"),
    states.ACCEPTED: (4, "do the work"),
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


def tape(rooms: int, work_items: int, state: str = "") -> Tape:
    """How far a job is, from how many rooms are measured, how many work items are on them, and the state
    of the estimate in force; empty before one is issued."""
    if not rooms and not work_items:
        reached, words, page = 0, "measure the first room", "room-new"
    elif not work_items:
        reached, words, page = 1, "put work on the rooms", "work-add"
    else:
        reached, words = _WITH_ESTIMATE.get(state, (2, "read the estimate through and issue it"))
        page = "job-papers"
    states = ["done" if place < reached else "later" for place in range(len(MARKS))]
    states[reached] = "now"
    return Tape(tuple(map(Mark, MARKS, states)), words, page)
