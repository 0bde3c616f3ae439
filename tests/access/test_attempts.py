"""Who guesses waits; the owner on his own device never waits for others."""

import threading
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.contrib.auth.hashers import check_password
from django.contrib.auth.models import User
from django.db import connection
from django.db.models import F
from django.test import Client
from django.test.utils import CaptureQueriesContext

from access import attempts
from access.models import FailedSignIn

RIGHT = {"username": "pat", "password": "a tape and a pencil"}
HERE, ELSEWHERE = "203.0.113.9", "198.51.100.7"

pytestmark = pytest.mark.django_db


def guess(client: Client, number: int, address: str = HERE, username: str = "pat") -> list[int]:
    typed = [{"username": username, "password": f"guess {index}"} for index in range(number)]
    return [client.post("/sign-in/", each, REMOTE_ADDR=address).status_code for each in typed]


def later(**time: int) -> None:
    """Let time pass: what was counted moves back."""
    FailedSignIn.objects.update(last_at=F("last_at") - timedelta(**time))


def test_sixty_guesses_at_once_are_five(client: Client, owner: User) -> None:
    assert guess(client, 60) == [422] * 5 + [429] * 55


def test_what_comes_too_early_costs_one_query_and_no_look_at_the_password(
    client: Client, owner: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    guess(client, 5)
    looked_at: list[Any] = []

    def look(*args: Any, **kwargs: Any) -> bool:
        looked_at.append(args)
        return check_password(*args, **kwargs)

    monkeypatch.setattr("django.contrib.auth.base_user.check_password", look)
    monkeypatch.setattr(User, "set_password", look)  # what Django does for a name that nobody has
    with CaptureQueriesContext(
        connection,
    ) as queries:
        answer = client.post("/sign-in/", RIGHT, REMOTE_ADDR=HERE)
    assert (answer.status_code, looked_at, len(queries)) == (429, [], 1)
    assert 1 <= int(answer["Retry-After"]) <= 15
    page = answer.content.decode()
    assert "Try again in 15 seconds" in page
    assert "<title>Error: Sign in" in page
    assert 'value="pat"' in page


def test_after_the_wait_the_right_password_works_and_the_count_is_gone(client: Client, owner: User) -> None:
    guess(client, 5)
    later(seconds=16)
    assert client.post("/sign-in/", RIGHT, REMOTE_ADDR=HERE).status_code == 302
    assert not FailedSignIn.objects.exists()


def test_the_next_wait_is_twice_as_long(client: Client, owner: User) -> None:
    guess(client, 5)
    later(seconds=16)
    assert guess(client, 2) == [422, 429]
    later(seconds=16)
    assert guess(client, 1) == [429]
    later(seconds=15)
    assert guess(client, 1) == [422]


def test_the_account_waits_wherever_the_guesses_come_from(client: Client, owner: User) -> None:
    assert [guess(client, 1, f"203.0.113.{number}")[0] for number in range(7)] == [422] * 5 + [429] * 2


@pytest.mark.parametrize("spelling", ["PAT", " pat ", "\uff50\uff41\uff54"])
def test_all_spellings_of_a_name_are_one_account(client: Client, owner: User, spelling: str) -> None:
    guess(client, 5)
    assert guess(client, 1, ELSEWHERE, spelling) == [429]


def test_a_network_waits_whichever_account_is_guessed(client: Client, owner: User) -> None:
    answers = [guess(client, 1, f"2001:db8:1:2::{number}", f"pat{number}")[0] for number in range(7)]
    assert answers == [422] * 5 + [429] * 2
    assert guess(client, 1, "2001:db8:1:3::1", "pat8") == [422]


def test_the_owner_gets_in_from_his_own_device_while_others_guess(client: Client, owner: User) -> None:
    assert client.post("/sign-in/", RIGHT, REMOTE_ADDR=HERE).status_code == 302
    client.post("/sign-out/")
    guess(Client(), 20)
    assert Client().post("/sign-in/", RIGHT, REMOTE_ADDR=HERE).status_code == 429
    assert client.post("/sign-in/", RIGHT, REMOTE_ADDR=HERE).status_code == 302
    assert guess(Client(), 1) == [429]  # which helps nobody else


def test_guessing_on_his_device_waits_too(client: Client, owner: User) -> None:
    client.post("/sign-in/", RIGHT)
    client.post("/sign-out/")
    assert guess(client, 7) == [422] * 5 + [429] * 2


def test_a_device_is_known_for_its_own_account_alone(client: Client, owner: User) -> None:
    client.post("/sign-in/", RIGHT)
    client.post("/sign-out/")
    User.objects.create_user("lee", password="another pencil")
    guess(Client(), 5, ELSEWHERE, "lee")
    assert guess(client, 1, HERE, "lee") == [429]


def test_passwords_of_strangers_are_looked_at_one_at_a_time(
    client: Client, owner: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    own = Client()
    own.post("/sign-in/", RIGHT)
    own.post("/sign-out/")
    monkeypatch.setattr(attempts, "_of_strangers", threading.Semaphore(0))
    answer = client.post("/sign-in/", RIGHT)
    assert (answer.status_code, answer["Retry-After"]) == (429, "2")
    assert not FailedSignIn.objects.exists()
    assert own.post("/sign-in/", RIGHT).status_code == 302


def test_it_is_counted_before_the_password_is_looked_at(
    client: Client, owner: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    counts: list[list[int]] = []
    look: Callable[..., bool] = User.check_password

    def looked_at(self: User, password: str) -> bool:
        counts.append(list(FailedSignIn.objects.values_list("count", flat=True)))
        return look(self, password)

    monkeypatch.setattr(User, "check_password", looked_at)
    guess(client, 2)
    assert counts == [[1, 1], [2, 2]]


def test_failures_are_forgotten_after_a_day(client: Client, owner: User) -> None:
    guess(client, 5)
    later(hours=24)
    assert guess(client, 6, ELSEWHERE) == [422] * 5 + [429]


def test_nothing_that_was_typed_is_kept(client: Client, owner: User) -> None:
    client.post("/sign-in/", {"username": "a tape and a pencil", "password": "pat"})
    kept = " ".join(FailedSignIn.objects.values_list("who_sha256", flat=True))
    assert kept
    assert "pencil" not in kept
