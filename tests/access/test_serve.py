"""`manage.py serve`: where it serves, and how it stops."""

import io
import signal
import socket
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command
from django.test import Client
from pytest_django import Settings

from access.management.commands import serve as serve_command
from access.server import is_free, network_addresses
from tests.access.served import page_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def served(monkeypatch: pytest.MonkeyPatch) -> list[tuple[str, int]]:
    """Where the command would serve."""
    places: list[tuple[str, int]] = []
    monkeypatch.setattr(serve_command, "listen", lambda host, port: places.append((host, port)))
    monkeypatch.setattr(serve_command, "serve", lambda listener, rest_after: None)
    return places


@pytest.fixture
def run(tmp_path: Path, settings: Settings) -> Callable[..., list[str]]:
    """Runs the command and gives its lines."""
    settings.STATIC_ROOT = tmp_path / "static"

    def lines(*arguments: str) -> list[str]:
        out = io.StringIO()
        call_command("serve", *arguments, stdout=out, skip_checks=True)
        return out.getvalue().splitlines()

    return lines


def test_it_serves_to_this_machine_alone_with_the_files_collected(
    run: Callable[..., list[str]], served: list[tuple[str, int]], tmp_path: Path
) -> None:
    assert "Open http://127.0.0.1:8014/" in run("--port", "8014")
    assert served == [("127.0.0.1", 8014)]
    assert (tmp_path / "static" / "benchrule.css").exists()


def test_with_lan_a_phone_is_told_the_address_and_let_in(
    run: Callable[..., list[str]],
    served: list[tuple[str, int]],
    settings: Settings,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(serve_command, "network_addresses", lambda: ["192.168.1.7"])
    settings.ALLOWED_HOSTS = ["127.0.0.1"]
    lines = run("--lan", "--port", "8014")
    assert "On a phone on the same Wi-Fi: http://192.168.1.7:8014/" in lines
    assert served == [("0.0.0.0", 8014)]
    page = Client(headers={"host": "192.168.1.7:8014"}).get("/sign-in/")
    assert page.status_code == 200


def test_resting_needs_somebody_who_starts_it_again(run: Callable[..., list[str]]) -> None:
    with pytest.raises(CommandError, match="--rest-after takes whole minutes, where systemd"):
        run("--rest-after", "10")


def test_a_port_in_use_is_said(run: Callable[..., list[str]]) -> None:
    with socket.create_server(("127.0.0.1", 0)) as listener:
        port = listener.getsockname()[1]
        with pytest.raises(CommandError, match=f"Port {port} is in use"):
            run("--port", str(port))


def test_a_port_that_cannot_be_is_refused(run: Callable[..., list[str]]) -> None:
    with pytest.raises(CommandError, match="99999 is no port"):
        run("--port", "99999")


def test_addresses_for_others_are_not_this_machines_own() -> None:
    assert not [address for address in network_addresses() if address.startswith("127.")]


def test_a_port_is_free_again_once_nothing_listens() -> None:
    with socket.create_server(("127.0.0.1", 0)) as listener:
        port = listener.getsockname()[1]
        assert not is_free("127.0.0.1", port)
    assert is_free("127.0.0.1", port)


def test_the_command_serves_pages_and_stops_when_told(process_environment: dict[str, str]) -> None:
    with socket.create_server(("127.0.0.1", 0)) as listener:
        port = listener.getsockname()[1]
    command = [sys.executable, "manage.py", "serve", "--collected", "--port", str(port)]
    server = subprocess.Popen(command, cwd=settings.BASE_DIR, env=process_environment)
    try:
        assert "<h1>Benchrule</h1>" in page_of("/sign-in/", port)
        assert "price-list" not in page_of("/catalog/no/such/page/", port)  # no list of addresses
        server.send_signal(signal.SIGTERM)
        assert server.wait(60) == 0
    finally:
        server.kill()


@pytest.mark.one_database
def test_on_a_socket_that_it_is_given_it_serves_pages(process_environment: dict[str, str]) -> None:
    """As systemd starts it: the socket is number 3, and LISTEN_PID names the process."""
    with socket.create_server(("127.0.0.1", 0)) as listener:
        port = listener.getsockname()[1]
        take = "import os, sys; os.dup2(int(sys.argv[1]), 3); os.environ['LISTEN_PID'] = str(os.getpid()); "
        serve = "'manage.py', 'serve', '--collected', '--rest-after', '9'"
        take += f"os.execv(sys.executable, [sys.executable, {serve}])"
        server = subprocess.Popen(
            [sys.executable, "-c", take, str(listener.fileno())],
            cwd=settings.BASE_DIR,
            env={**process_environment, "LISTEN_FDS": "1"},
            pass_fds=[listener.fileno()],
        )
    try:
        assert "<h1>Benchrule</h1>" in page_of("/sign-in/", port)
    finally:
        server.terminate()
        assert server.wait(60) == 0
