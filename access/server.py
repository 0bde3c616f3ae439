"""Serving the site: one process, which owns the SQLite file, behind a loop that reads requests whole.

A thread is given a request only once all of it has come, so that slow and half-sent ones hold none. How much
a body may hold is looked up by its address before any of it is stored. When connections are many, the one
that has waited longest is closed.
"""

import contextlib
import copy
import gc
import ipaddress
import os
import signal
import socket
import threading
import time
from collections.abc import Callable, Iterable
from types import FrameType
from typing import Any

from django.core.servers.basehttp import get_internal_wsgi_application
from django.db import connections
from django.dispatch import Signal
from django.template.loader import render_to_string
from waitress import wasyncore
from waitress.adjustments import Adjustments
from waitress.channel import HTTPChannel
from waitress.parser import HTTPRequestParser
from waitress.receiver import FixedStreamReceiver
from waitress.server import TcpWSGIServer
from waitress.task import ThreadedTaskDispatcher
from waitress.utilities import RequestEntityTooLarge

from access.body_limits import KILOBYTE, MEGABYTE, MOST_OF_A_STRANGER, most_bytes

THREADS = 8
MOST_CONNECTIONS = 500
MOST_BYTES_OF_HEAD = 32 * KILOBYTE
# A browser shows an answer only once it has sent all: up to here, what is too much is read and dropped.
MOST_BYTES_DROPPED = 256 * MEGABYTE
SECONDS_IDLE = 60
SECONDS_FOR_HEAD = 20
SECONDS_FOR_BODY = 30
SLOWEST_SENDING = 50 * KILOBYTE  # a second, on top of the seconds for any body
SECONDS_FOR_DROPPED = 120
SECONDS_TO_FINISH = 30
SECONDS_TO_CLOSE = 5

Application = Callable[[dict[str, Any], Any], Iterable[bytes]]

LISTEN_FD = 3  # the first that systemd hands on, sd_listen_fds(3)

starting = Signal()
ending = Signal()
resting = Signal()  # a receiver that still has something to do returns True


class _TooMuch(RequestEntityTooLarge):  # type: ignore[misc]  # the library has no types
    """The answer to a body beyond its limit: a page."""

    def __init__(self, limit: int) -> None:
        super().__init__("")
        self.limit = limit

    def to_response(self, ident: str | None = None) -> tuple[str, list[tuple[str, str]], bytes]:
        context = {"megabytes": self.limit // MEGABYTE, "stranger": self.limit <= MOST_OF_A_STRANGER}
        page = render_to_string("413.html", context).encode()
        return (
            f"{self.code} {self.reason}",
            [("Content-Type", "text/html; charset=utf-8"), ("Cache-Control", "no-store")],
            page,
        )


class _Nowhere:
    """Stands in for the file that a body is written to, and drops it."""

    def append(self, data: bytes) -> None:
        pass

    def close(self) -> None:
        pass


class _Request(HTTPRequestParser):  # type: ignore[misc]  # the library has no types
    """A request on its way in, which knows what it may hold and until when it must have come."""

    expect_continue: bool
    error: Any

    def __init__(self, adj: Adjustments) -> None:
        super().__init__(copy.copy(adj))
        self.began = time.time()
        self.due = self.began + SECONDS_FOR_HEAD
        self.limit = MOST_OF_A_STRANGER
        self.is_dropped = False

    def parse_header(self, header_plus: bytes) -> None:
        super().parse_header(header_plus)
        path = self.path.encode("latin-1").decode(errors="replace")
        self.limit = most_bytes(path, self.headers.get("COOKIE", ""))
        size = self.content_length
        self.due = time.time() + SECONDS_FOR_BODY + min(size, self.limit) / SLOWEST_SENDING
        self.adj.max_request_body_size = self.limit + 1
        if size <= self.limit:
            return
        if size <= MOST_BYTES_DROPPED and not self.expect_continue:
            self.is_dropped = True
            self.due = time.time() + SECONDS_FOR_DROPPED
            self.adj.max_request_body_size = size + 1
            self.body_rcv = FixedStreamReceiver(size, _Nowhere())
        self.expect_continue = False

    def received(self, data: bytes) -> int:
        consumed: int = super().received(data)
        if self.completed and (self.is_dropped or isinstance(self.error, RequestEntityTooLarge)):
            self.error = _TooMuch(self.limit)
        return consumed


class _Connection(HTTPChannel):  # type: ignore[misc]  # the library has no types
    parser_class = _Request

    @property
    def waits_since(self) -> float:
        """When the request began that is still to come, or when the last one ended."""
        return float(self.request.began if self.request else self.last_activity)

    @property
    def is_served(self) -> bool:
        """Whether a request of it is being answered."""
        return bool(self.requests or self.total_outbufs_len)


class _Threads(ThreadedTaskDispatcher):  # type: ignore[misc]  # the library has no types
    """The threads that answer, each with a connection to the database that it closes at its end."""

    def __init__(self, count: int) -> None:
        super().__init__()
        self.started: list[threading.Thread] = []
        self.set_thread_count(count)

    def start_new_thread(self, target: Callable[[int], None], thread_no: int) -> None:
        def answer() -> None:
            target(thread_no)
            connections.close_all()

        self.started.append(threading.Thread(target=answer, name=f"answers-{thread_no}", daemon=True))
        self.started[-1].start()

    def shutdown(self, cancel_pending: bool = True, timeout: float = SECONDS_TO_CLOSE) -> bool:
        """End the threads, and with the last of them what SQLite keeps beside its file."""
        deadline = time.monotonic() + timeout
        canceled = bool(super().shutdown(cancel_pending, timeout))
        for thread in self.started:
            thread.join(max(0, deadline - time.monotonic()))
        return canceled


class Server(TcpWSGIServer):  # type: ignore[misc]  # the library has no types
    """Serves an application on a socket that listens, of TCP or of a file, until asked to stop.

    With seconds to rest after it stops by itself once nobody has been connected for so long, and whoever
    holds the socket starts another at the next request.
    """

    channel_class = _Connection

    def __init__(
        self, application: Application, listener: socket.socket, rest_after: float | None = None
    ) -> None:
        self.stopping = False
        self.rest_after = rest_after
        self.last_connected = time.monotonic()
        super().__init__(
            application,
            map={},
            _sock=listener,
            bind_socket=False,
            sockinfo=(listener.family, listener.type, listener.proto, listener.getsockname()),
            dispatcher=_Threads(THREADS),
            ident=None,
            recv_bytes=64 * KILOBYTE,
            max_request_header_size=MOST_BYTES_OF_HEAD,
            channel_timeout=SECONDS_IDLE,
            cleanup_interval=2,
            connection_limit=2 * MOST_CONNECTIONS,  # never reached: the longest waiting goes before
            # A thread hands a long answer over and goes on, however slowly it is read.
            outbuf_high_watermark=256 * MEGABYTE,
            clear_untrusted_proxy_headers=False,  # settings.PROXIES decides what is believed
        )

    def maintenance(self, now: float) -> None:
        """Close what lies idle, and requests that don't come in time."""
        super().maintenance(now)
        for connection in self.active_channels.values():
            if connection.request and now > connection.request.due:
                connection.will_close = True

    def handle_accept(self) -> None:
        """Take a new connection; beyond the most, close the one that has waited longest."""
        super().handle_accept()
        waiting = [each for each in self.active_channels.values() if not (each.is_served or each.will_close)]
        if len(waiting) > MOST_CONNECTIONS:
            min(waiting, key=lambda connection: connection.waits_since).will_close = True

    def getsockname(self) -> tuple[str, Any]:
        """Return host and port, or the path of a socket that is a file."""
        return ("unix", self.socket.getsockname()) if self._is_file else super().getsockname()

    def set_socket_options(self, conn: socket.socket) -> None:
        if not self._is_file:
            super().set_socket_options(conn)

    def fix_addr(self, addr: Any) -> Any:
        """Return whom a connection came from: of a file, nobody but the proxy in front of it."""
        return ("localhost", None) if self._is_file else addr

    @property
    def _is_file(self) -> bool:
        return bool(self.family == socket.AF_UNIX)

    def run(self) -> None:
        """Serve until asked to stop; then take nothing more, and finish what is being answered."""
        while not (self.stopping or self._may_rest()):
            self._turn()
        wasyncore.dispatcher.close(self)
        deadline = time.monotonic() + SECONDS_TO_FINISH
        while time.monotonic() < deadline and any(each.is_served for each in self.active_channels.values()):
            self._turn()
        self.task_dispatcher.shutdown()
        wasyncore.close_all(self._map)

    def stop(self) -> None:
        """Ask to stop; from any thread or a signal."""
        self.stopping = True
        with contextlib.suppress(OSError):  # it has come to its end already
            self.pull_trigger()

    def _may_rest(self) -> bool:
        """Return whether nobody has been connected for long enough, and nothing is left to do."""
        if self.rest_after is None:
            return False
        now = time.monotonic()
        if self.active_channels:
            self.last_connected = now
        if now - self.last_connected < self.rest_after:
            return False
        self.last_connected = now  # asked again only after as long
        is_busy = any(busy for _, busy in resting.send_robust(sender=None))  # so is who failed to say
        connections.close_all()
        return not is_busy

    def _turn(self) -> None:
        wasyncore.loop(timeout=1, use_poll=True, map=self._map, count=1)


def network_addresses() -> list[str]:
    """Return the IPv4 addresses under which other machines of the network may reach this one."""
    addresses = _addresses_of_hostname()
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            # Nothing is sent: the system only says which of its addresses it would send from.
            probe.connect(("192.0.2.1", 9))
            addresses.add(probe.getsockname()[0])
        except OSError:
            pass
    return sorted(address for address in addresses if not ipaddress.ip_address(address).is_loopback)


def _addresses_of_hostname() -> set[str]:
    try:
        infos = socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)
    except OSError:
        return set()
    return {str(info[4][0]) for info in infos}


def is_free(host: str, port: int) -> bool:
    """Return whether a server can listen there."""
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, port))
        except OSError:
            return False
    return True


def given_listener() -> socket.socket | None:
    """Return the socket that systemd listens on for this process; None where it gave none."""
    if os.environ.get("LISTEN_PID") != f"{os.getpid()}" or os.environ.get("LISTEN_FDS") != "1":
        return None
    return socket.socket(fileno=LISTEN_FD)


def listen(host: str, port: int) -> socket.socket:
    """Return a socket that listens at an address. Raises OSError where another does."""
    return socket.create_server((host, port))


def serve(listener: socket.socket, rest_after: float | None = None) -> None:
    """Serve the site until told to stop by Ctrl+C or SIGTERM, told twice at once, or until it may rest.

    `starting` is sent first, for what runs beside the pages, with whether this may rest; `ending` last.
    """
    connections.close_all()
    server = Server(get_internal_wsgi_application(), listener, rest_after)
    starting.send(sender=None, rests=rest_after is not None)

    def stop(number: int, frame: FrameType | None) -> None:
        signal.signal(number, signal.SIG_DFL)
        server.stop()

    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, stop)
    gc.collect()
    gc.freeze()  # what is loaded stays: looked through again and again, it held up every third long page
    server.run()
    ending.send(sender=None)
