"""The server: slow, half-sent and oversized requests hold nobody up, and stopping finishes what was begun."""

import socket
import threading
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest
from django.dispatch import Signal
from waitress.buffers import OverflowableBuffer

from access import server as site
from access.body_limits import KILOBYTE, MEGABYTE, MOST_OF_A_STRANGER
from access.server import Server, listen
from tests.access.cookies import cookie_of

SLOW_SECONDS = 1.0
Connect = Callable[..., socket.socket]


def application(environ: dict[str, Any], start_response: Any) -> Iterable[bytes]:
    """Says how many bytes came; slowly where asked to."""
    size = len(environ["wsgi.input"].read())
    if environ["PATH_INFO"] == "/slow/":
        time.sleep(SLOW_SECONDS)
    start_response("200 OK", [("Content-Type", "text/plain")])
    return [f"took {size}".encode()]


@pytest.fixture
def server() -> Iterator[Server]:
    running = Server(application, listen("127.0.0.1", 0))
    thread = threading.Thread(target=running.run)
    thread.start()
    yield running
    running.stop()
    thread.join(20)
    assert not thread.is_alive()


@pytest.fixture
def connect(server: Server) -> Iterator[Connect]:
    """Opens a connection and sends something."""
    opened: list[socket.socket] = []

    def connected(sent: bytes = b"") -> socket.socket:
        opened.append(socket.create_connection(("127.0.0.1", int(server.effective_port)), timeout=20))
        opened[-1].sendall(sent)
        return opened[-1]

    yield connected
    for each in opened:
        each.close()


def request(path: str = "/", body: bytes = b"", size: int = 0, **headers: str) -> bytes:
    lines = [
        f"POST {path} HTTP/1.1",
        "Host: localhost",
        f"Content-Length: {size or len(body)}",
    ]
    lines += [f"{name.replace('_', '-')}: {value}" for name, value in headers.items()]
    return "\r\n".join([*lines, "", ""]).encode() + body


def answer(connection: socket.socket) -> str:
    """All that comes until the other side closes or is through with its answer."""
    got = b""
    while piece := connection.recv(65_536):
        got += piece
        if b"took" in got or b"</html>" in got:
            break
    return got.decode()


def test_a_request_is_answered(connect: Connect) -> None:
    assert answer(connect(request(body=b"abc"))).endswith("took 3")


@pytest.mark.parametrize("half", [b"POST / HTTP/1.1\r\nHo", request(size=100, body=b"abc"), b""])
def test_half_sent_requests_hold_nobody_up(connect: Connect, half: bytes) -> None:
    for _ in range(4 * site.THREADS):
        connect(half)
    start = time.monotonic()
    assert answer(connect(request(body=b"abc"))).endswith("took 3")
    assert time.monotonic() - start < 2


@pytest.mark.parametrize("half", [b"POST / HTTP/1.1\r\nHo", request(size=100, body=b"abc")])
def test_a_half_sent_request_is_closed_in_time_even_if_bytes_drip_in(
    connect: Connect, monkeypatch: pytest.MonkeyPatch, half: bytes
) -> None:
    monkeypatch.setattr(site, "SECONDS_FOR_HEAD", 1)
    monkeypatch.setattr(site, "SECONDS_FOR_BODY", 1)
    connection = connect(half)
    connection.settimeout(0.3)
    start = time.monotonic()
    while time.monotonic() - start < 10:
        try:
            connection.sendall(b"a")
            if connection.recv(10) == b"":
                break
        except TimeoutError:
            continue
        except ConnectionError:
            break
    assert time.monotonic() - start < 8


def test_beyond_the_most_connections_the_one_that_waited_longest_is_closed(
    connect: Connect, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(site, "MOST_CONNECTIONS", 10)
    waiting = [connect(b"GET") for _ in range(30)]
    assert answer(connect(request(body=b"abc"))).endswith("took 3")
    assert waiting[0].recv(1) == b""
    waiting[-1].settimeout(0.2)
    with pytest.raises(TimeoutError):
        waiting[-1].recv(1)


def test_too_large_a_body_is_refused_in_plain_words_and_kept_nowhere(
    connect: Connect, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept: list[int] = []
    keep = OverflowableBuffer.append

    def append(self: OverflowableBuffer, data: bytes) -> None:
        kept.append(len(data))
        keep(self, data)

    monkeypatch.setattr(OverflowableBuffer, "append", append)
    got = answer(connect(request("/sign-in/", body=b"a" * (3 * MEGABYTE))))
    assert got.startswith("HTTP/1.1 413 ")
    assert "That is too much at once" in got
    assert "Sign in" in got
    assert sum(kept) < 4 * KILOBYTE  # the answer itself


def test_what_no_browser_would_send_is_refused_before_it_is_read(
    connect: Connect,
) -> None:
    assert answer(connect(request(size=site.MOST_BYTES_DROPPED + 1))).startswith("HTTP/1.1 413 ")


def test_who_asks_first_whether_to_send_is_told_at_once(connect: Connect) -> None:
    assert answer(connect(request(size=3 * MEGABYTE, Expect="100-continue"))).startswith("HTTP/1.1 413 ")


def test_a_body_in_pieces_of_unknown_number_ends_at_the_limit(connect: Connect) -> None:
    piece = b"%x\r\n" % (64 * KILOBYTE) + b"a" * (64 * KILOBYTE) + b"\r\n"
    connection = connect(
        b"POST / HTTP/1.1\r\nHost: localhost\r\nTransfer-Encoding: chunked\r\n\r\n" + 2 * piece
    )
    connection.sendall(b"1\r\n")
    with suppress(BrokenPipeError):  # it may have answered, and hung up, after the first of both
        connection.sendall(b"a\r\n0\r\n\r\n")
    assert answer(connection).startswith("HTTP/1.1 413 ")


def test_a_body_of_exactly_the_limit_is_taken(connect: Connect) -> None:
    assert answer(connect(request(body=b"a" * MOST_OF_A_STRANGER))).endswith(f"took {MOST_OF_A_STRANGER}")


def test_a_known_device_may_send_photos_where_photos_go(connect: Connect) -> None:
    body = b"a" * (3 * MEGABYTE)
    assert answer(connect(request("/changes/1/edit/", body, Cookie=cookie_of()))).endswith(
        f"took {len(body)}"
    )
    refused = answer(connect(request("/jobs/new/", body, Cookie=cookie_of())))
    assert refused.startswith("HTTP/1.1 413 ")
    assert "up to 1 MB at once" in refused


def test_stopping_finishes_what_is_being_answered_and_takes_nothing_new(
    connect: Connect, server: Server
) -> None:
    begun = connect(request("/slow/", body=b"abc"))
    time.sleep(SLOW_SECONDS / 4)
    server.stop()
    time.sleep(SLOW_SECONDS / 4)
    with pytest.raises(ConnectionRefusedError):
        connect()
    assert answer(begun).endswith("took 3")


@pytest.mark.parametrize("is_busy", [False, True])
def test_it_rests_once_nobody_is_connected_unless_something_is_left_to_do(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, is_busy: bool
) -> None:
    def busy(**kwargs: Any) -> bool:
        return is_busy

    monkeypatch.setattr(site, "resting", Signal())
    site.resting.connect(busy)
    given = socket.socket(socket.AF_UNIX)
    given.bind(f"{tmp_path / 'firm'}")
    given.listen()
    running = Server(application, given, rest_after=0.3)
    thread = threading.Thread(target=running.run)
    thread.start()
    try:
        with socket.socket(socket.AF_UNIX) as connection:
            connection.connect(f"{tmp_path / 'firm'}")
            connection.sendall(request(body=b"abc"))
            assert answer(connection).endswith("took 3")
            time.sleep(0.6)
            assert thread.is_alive()
        thread.join(5)
        assert thread.is_alive() is is_busy
    finally:
        running.stop()
        thread.join(20)
