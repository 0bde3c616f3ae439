"""The clients to choose from: all while there are few, else those of the newest jobs, or found by words."""

import pytest

from estimating.models import Client
from estimating.search import clients
from estimating.search.clients import clients_to_choose_from
from tests.factories import make_client, make_job

pytestmark = pytest.mark.django_db


@pytest.fixture
def more_than_listed(monkeypatch: pytest.MonkeyPatch) -> list[Client]:
    """Four clients where three are listed and two found; the first has the newest job."""
    monkeypatch.setattr(clients, "MOST_LISTED", 3)
    monkeypatch.setattr(clients, "MOST_FOUND", 2)
    made = [make_client(name=f"{name} Birch", phone=f"555-{name}") for name in ("Ana", "Ben", "Cy", "Dot")]
    for client in reversed(made):
        make_job(client=client)
    return made


def test_few_clients_are_all_listed() -> None:
    made = [make_client(name=name) for name in ("Ben", "Ana")]
    choice = clients_to_choose_from("birch")
    assert (choice.clients, choice.are_all) == (tuple(reversed(made)), True)


def test_of_many_those_of_the_newest_jobs_are_listed(more_than_listed: list[Client]) -> None:
    choice = clients_to_choose_from("")
    assert (choice.clients, choice.are_all) == (tuple(more_than_listed[:2]), False)


def test_of_many_those_found_are_listed_behind_the_picked_one_and_the_rest_is_counted(
    more_than_listed: list[Client],
) -> None:
    ana, ben, _, dot = more_than_listed
    choice = clients_to_choose_from("birch", [f"{dot.pk}", "nobody", "9" * 30])
    assert (choice.clients, choice.left_out) == ((dot, ana, ben), 2)
    assert clients_to_choose_from("birch Cy").clients == (more_than_listed[2],)
