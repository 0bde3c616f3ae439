"""The places of a job in the order of the work, and what has happened in each."""

from collections.abc import Sequence
from dataclasses import dataclass

from estimating.progress.steps import JobProgress

# Each place: its code, its name, the name of its address, and the stages that are reached there.
PLACES = (
    ("rooms", "Rooms", "job-rooms", ("Measured",)),
    ("work", "Work", "job-work", ("Priced",)),
    ("price", "Price", "job-price", ("Priced",)),
    ("papers", "Paperwork", "job-papers", ("Sent", "Signed")),
    ("days", "Days", "days", ("Under way",)),
    ("money", "Money", "job-money", ("Billed", "Paid")),
)


@dataclass(frozen=True)
class Place:
    """A place of a job: where it is, what has happened there in a few words, and whether all of it has."""

    code: str
    name: str
    address: str
    note: str
    is_done: bool


def places(progress: JobProgress, rooms: int, lines: int) -> Sequence[Place]:
    """Return the places of a job with so many rooms and lines of work."""
    happened = {stage.label for stage in progress.stages if stage.state == "done"}
    notes = {"rooms": counted(rooms, "room"), "work": counted(lines, "line")}
    found = []
    for code, name, address, stages in PLACES:
        reached = [stage for stage in stages if stage in happened]
        note = notes.get(code, reached[-1] if reached else "")
        if code == "papers" and not reached:
            note = "Not sent yet"
        found.append(Place(code, name, address, note, len(reached) == len(stages)))
    return found


def counted(count: int, noun: str) -> str:
    """Say how many there are, such as "3 rooms"; empty for none."""
    return f"{count} {noun}{'' if count == 1 else 's'}" if count else ""
