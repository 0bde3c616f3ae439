"""Looking at the network and at this machine: what a name leads to, whether mail would be taken, the time."""

import http.client
import smtplib
import socket
import ssl
import struct
import time
from contextlib import closing
from dataclasses import dataclass
from datetime import timedelta

from reach.findings import Answer

SECONDS = 5.0
HTTPS_PORT, NTP_PORT = 443, 123
WRONG_PASSWORD = 535  # RFC 4954
NTP_SERVER = "pool.ntp.org"
NTP_TO_UNIX = 2_208_988_800  # seconds from 1900 to 1970, RFC 5905
NTP_PACKET = struct.Struct("!B39xII")  # the first byte, and the time at which the answer was sent
NTP_ASK = bytes([0b00_011_011]) + bytes(47)  # version 3, as a client


@dataclass(frozen=True)
class MailServer:
    """A mail server and how to sign in to it; `tls_at_once` on port 465, `starttls` on others."""

    host: str
    port: int
    user: str
    password: str
    tls_at_once: bool
    starttls: bool


def ask_site(name: str, path: str, proof: str, port: int = HTTPS_PORT) -> Answer:
    """Ask for a page of this site by a name, which shows by what it answers that it is this one."""
    try:
        socket.getaddrinfo(name, port, type=socket.SOCK_STREAM)
    except (OSError, UnicodeError):
        return Answer.UNKNOWN_NAME
    asked = http.client.HTTPSConnection(name, port, timeout=SECONDS, context=ssl.create_default_context())
    with closing(asked):
        try:
            asked.request("GET", path)
            answer = asked.getresponse()
            said = answer.read(len(proof) + 1).decode(errors="replace")
        except ssl.SSLError:
            return Answer.CERTIFICATE
        except (OSError, http.client.HTTPException):
            return Answer.CLOSED
    return Answer.OURS if answer.status == 200 and said == proof else Answer.OTHER


def mail_fault(server: MailServer) -> str:
    """Return why a mail server wouldn't take mail of ours; empty where it would. Sends none."""
    kind = smtplib.SMTP_SSL if server.tls_at_once else smtplib.SMTP
    try:
        with kind(server.host, server.port, timeout=SECONDS) as asked:
            if server.starttls:
                asked.starttls(context=ssl.create_default_context())
            if server.user:
                asked.login(server.user, server.password)
            asked.noop()
    except smtplib.SMTPAuthenticationError as error:
        if error.smtp_code == WRONG_PASSWORD:
            return f"{server.host} doesn't take the user and password."
        return f"{server.host} refuses: {_sentence(error)}"
    except smtplib.SMTPException as error:
        return f"{server.host} refuses: {_sentence(error)}"
    except socket.gaierror:
        return f"there is no server named {server.host}."
    except ssl.SSLError as error:
        return f"{server.host} can't be spoken to safely: {_sentence(error)}"
    except OSError:
        return f"{server.host} doesn't answer at port {server.port}."
    return ""


def clock_off(server: str = NTP_SERVER, port: int = NTP_PORT) -> timedelta | None:
    """Return how far this machine's clock is ahead of a time server's (RFC 4330); None without an answer."""
    try:
        family, kind, protocol, _, address = socket.getaddrinfo(server, port, type=socket.SOCK_DGRAM)[0]
        with socket.socket(family, kind, protocol) as asked:
            asked.settimeout(SECONDS / 2)
            asked.connect(address)
            before = time.time()
            asked.send(NTP_ASK)
            packet = asked.recv(512)
            here = (before + time.time()) / 2
    except OSError:
        return None
    if len(packet) < NTP_PACKET.size:
        return None
    _, seconds, fraction = NTP_PACKET.unpack(packet[: NTP_PACKET.size])
    return timedelta(seconds=here - (seconds - NTP_TO_UNIX + fraction / 2**32)) if seconds else None


def _sentence(error: Exception) -> str:
    said = error.smtp_error if isinstance(error, smtplib.SMTPResponseException) else error
    return f"{(said.decode(errors='replace') if isinstance(said, bytes) else str(said)).rstrip('.')}."
