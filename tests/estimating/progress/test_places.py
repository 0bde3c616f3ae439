"""The places of a job, and what has happened in each."""

from estimating.progress.places import Place, places
from estimating.progress.steps import job_progress


def notes(*events: str) -> dict[str, str]:
    return {place.code: place.note for place in places(job_progress(1, 29, events), 1, 29)}


def test_a_place_says_what_is_there_and_what_has_happened() -> None:
    assert notes() == {
        "rooms": "1 room",
        "work": "29 lines",
        "price": "Priced",
        "papers": "Not sent yet",
        "days": "",
        "money": "",
    }
    assert notes("issued", "sent")["papers"] == "Sent"
    assert notes("issued", "accepted")["papers"] == "Signed"


def test_a_place_is_done_once_all_of_its_stages_are() -> None:
    def done(*events: str) -> list[str]:
        rows: list[Place] = list(places(job_progress(1, 29, events), 1, 29))
        return [place.code for place in rows if place.is_done]

    assert done("issued", "sent") == ["rooms", "work", "price"]
    assert done("issued", "accepted") == ["rooms", "work", "price", "papers"]
