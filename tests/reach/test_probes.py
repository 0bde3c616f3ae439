"""Looking at the network, against servers of this machine alone."""

import shutil
import socket
import ssl
import struct
import subprocess
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import timedelta
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path

import pytest

from reach.findings import Answer
from reach.probes import NTP_TO_UNIX, MailServer, ask_site, clock_off, mail_fault

NOBODY = 1  # a port at which nothing listens


@contextmanager
def listening(answer: Callable[[socket.socket], None], kind: int = socket.SOCK_STREAM) -> Iterator[int]:
    """A server that answers once, and its port."""
    with socket.socket(socket.AF_INET, kind) as server:
        server.bind(("127.0.0.1", 0))
        if kind == socket.SOCK_STREAM:
            server.listen()
        thread = threading.Thread(target=answer, args=(server,))
        thread.start()
        yield int(server.getsockname()[1])
        thread.join(10)


@pytest.fixture(scope="module")
def certificate(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A certificate for localhost that signs itself, with its key."""
    if not shutil.which("openssl"):
        pytest.skip("openssl isn't installed")
    file = tmp_path_factory.mktemp("certificate") / "both.pem"
    command = ["openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:P-256", "-nodes"]
    command += ["-subj", "/CN=localhost", "-addext", "subjectAltName=DNS:localhost", "-days", "2"]
    subprocess.run([*command, "-keyout", file, "-out", f"{file}.crt"], check=True, capture_output=True)
    file.write_text(file.read_text() + Path(f"{file}.crt").read_text())
    return file


@pytest.fixture
def https_port(certificate: Path) -> Iterator[int]:
    """A web server that says "ours"."""

    class Ours(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            self.send_response(200)
            self.end_headers()
            self.wfile.write(b"ours")

        def log_message(self, *args: object) -> None:
            pass

    class Quiet(HTTPServer):
        def handle_error(self, *args: object) -> None:
            pass

    server = Quiet(("127.0.0.1", 0), Ours)
    context = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
    context.load_cert_chain(certificate)
    server.socket = context.wrap_socket(server.socket, server_side=True, do_handshake_on_connect=False)
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    yield server.server_port
    server.shutdown()
    thread.join()
    server.server_close()


def test_a_name_is_ours_only_by_its_proof_and_a_trusted_certificate(
    https_port: int, certificate: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert ask_site("localhost", "/proof/", "ours", https_port) is Answer.CERTIFICATE
    monkeypatch.setenv("SSL_CERT_FILE", f"{certificate}.crt")
    assert ask_site("localhost", "/proof/", "ours", https_port) is Answer.OURS
    assert ask_site("localhost", "/proof/", "theirs", https_port) is Answer.OTHER


def test_a_name_that_leads_nowhere_is_told_from_a_closed_port() -> None:
    assert ask_site("no..name", "/", "", NOBODY) is Answer.UNKNOWN_NAME
    assert ask_site("localhost", "/", "", NOBODY) is Answer.CLOSED


def mail_server(port: int) -> MailServer:
    return MailServer("127.0.0.1", port, "anna", "wrong", tls_at_once=False, starttls=False)


@pytest.mark.parametrize(
    ("to_sign_in", "fault"),
    [
        ("535 no", "127.0.0.1 doesn't take the user and password."),
        ("421 too busy", "127.0.0.1 refuses: too busy."),
        ("235 welcome", ""),
    ],
)
def test_a_mail_server_is_signed_in_to_and_nothing_is_sent(to_sign_in: str, fault: str) -> None:
    heard: list[str] = []
    answers = {"EHLO": "250-here\n250 AUTH PLAIN", "AUTH": to_sign_in, "QUIT": "221 bye"}

    def answer(server: socket.socket) -> None:
        connection, _ = server.accept()
        with connection, connection.makefile("rw", newline="\r\n") as talk:
            talk.write("220 here\n")
            talk.flush()
            for line in talk:
                heard.append(line.split()[0].upper())
                said = answers.get(heard[-1], "250 well")
                talk.write(f"{said}\n")
                talk.flush()
                if heard[-1] == "QUIT":
                    break

    with listening(answer) as port:
        assert mail_fault(mail_server(port)) == fault
    assert set(heard) <= {"EHLO", "AUTH", "NOOP", "QUIT"}


def test_a_mail_server_that_isnt_there_is_named() -> None:
    assert mail_fault(mail_server(NOBODY)) == "127.0.0.1 doesn't answer at port 1."


def test_a_clock_is_held_against_a_time_servers() -> None:
    def answer(server: socket.socket) -> None:
        _, client = server.recvfrom(512)
        there = time.time() + 300 + NTP_TO_UNIX
        server.sendto(struct.pack("!B39xII", 0x1C, int(there), 0), client)

    with listening(answer, socket.SOCK_DGRAM) as port:
        off = clock_off("127.0.0.1", port)
    assert off is not None
    assert abs(off + timedelta(minutes=5)) < timedelta(seconds=2)


def test_a_time_server_that_isnt_there_says_nothing() -> None:
    assert clock_off("127.0.0.1", NOBODY) is None
