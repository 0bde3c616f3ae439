"""What is wrong with a site, in plain sentences with what to do, by what was seen of it."""

import ipaddress
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import timedelta
from enum import Enum

# Names that only a home's or a firm's own network knows: RFC 6762 (.local), RFC 8375 (home.arpa), common
# practice of routers.
OF_OWN_NETWORK = ("localhost", "local", "home.arpa", "internal", "lan", "home")
LEAST_FREE, LEAST_FREE_SHARE = 2 * 10**9, 20  # bytes, and the part of the disk
MOST_OFF = timedelta(minutes=1)

NO_NAME = (
    "Clients can't open your links: this site has no name that leads to it from outside. Set it up on a "
    "server with a name of its own (deploy/README.md), or hand papers over as PDFs and have them signed on "
    "your own device."
)
NO_HTTPS = (
    "This site speaks without encryption although it has a name that leads to it from outside ({}). Set "
    "BENCHRULE_HTTPS=1 behind a web server that has a certificate."
)
NO_MAIL = (
    "Mail isn't sent: it is only written to files on this machine. Name your mail provider's server: "
    "BENCHRULE_SMTP_HOST and the settings beside it."
)


class Answer(Enum):
    """What came of asking for this site by a name, with the sentence that says so."""

    OURS = ""
    UNKNOWN_NAME = (
        "{} leads nowhere: the name isn't known. Where you bought the name, point it to this machine's "
        "address (an A record); it can take an hour."
    )
    CLOSED = (
        "Nothing answers at {}: port 443 is closed. Let ports 80 and 443 through, in the router to this "
        "machine, or in the firewall of the server, and see that the web server runs."
    )
    CERTIFICATE = (
        "{} answers, but with a certificate that browsers don't accept. The web server gets one by itself "
        "once port 80 is open and the name leads here: journalctl -u caddy says what hinders it."
    )
    OTHER = (
        "{} leads to another site than this one. Where you bought the name, point it to this machine's "
        "address, or correct BENCHRULE_HOSTS."
    )


@dataclass(frozen=True)
class Seen:
    """What was seen of a site.

    `names` are those that lead to it from outside with what came of asking there; `mail_fault` is None where
    no mail server is named, and empty where it would take mail; `clock_off` is how far the clock is ahead,
    None where nobody could be asked; `backup_fault` and `database_fault` are sentences, or empty.
    """

    names: Sequence[tuple[str, Answer]]
    https: bool
    mail_fault: str | None
    disk_free: int
    disk_size: int
    clock_off: timedelta | None
    backup_fault: str
    database_fault: str


def findings(seen: Seen) -> list[str]:
    """Return all that is wrong, a sentence or three each."""
    disk = [disk_finding(seen.disk_free, seen.disk_size), clock_finding(seen.clock_off)]
    others = [mail_finding(seen.mail_fault), *disk, seen.backup_fault, seen.database_fault]
    return [*names_findings(seen.names, seen.https), *filter(None, others)]


def names_findings(names: Sequence[tuple[str, Answer]], https: bool) -> list[str]:
    """Return what keeps clients from opening links."""
    return list(_names_findings(names, https))


def _names_findings(names: Sequence[tuple[str, Answer]], https: bool) -> Iterator[str]:
    if not names:
        yield NO_NAME
    elif not https:
        yield NO_HTTPS.format(", ".join(name for name, _ in names))
    else:
        yield from (answer.value.format(name) for name, answer in names if answer is not Answer.OURS)


def mail_finding(fault: str | None) -> str:
    """Return why mail doesn't go out; empty where it would."""
    if fault is None:
        return NO_MAIL
    if fault:
        return f"Mail can't be sent: {fault} Correct BENCHRULE_SMTP_HOST and the settings beside it."
    return ""


def disk_finding(free: int, size: int) -> str:
    """Return whether the disk is nearly full."""
    if free >= min(LEAST_FREE, size // LEAST_FREE_SHARE):
        return ""
    return (
        f"The disk is nearly full: {free / 1e9:.1f} GB of {size / 1e9:.0f} GB are free. Delete something "
        "else on it, or take a larger one; once it is full nothing can be saved."
    )


def clock_finding(off: timedelta | None) -> str:
    """Return whether the clock goes wrong; a clock that nobody could compare is called right."""
    if off is None or abs(off) <= MOST_OFF:
        return ""
    how = "fast" if off > timedelta() else "slow"
    return (
        f"This machine's clock is {_span(abs(off))} {how}: papers and signatures would carry a wrong time. "
        "Turn on setting it by the network: timedatectl set-ntp true."
    )


def leads_outside(name: str) -> bool:
    """Tell whether a host by its name can be one that leads to a machine from outside its own network."""
    bare = name.strip("[].").lower()
    try:
        return ipaddress.ip_address(bare).is_global
    except ValueError:
        return "." in bare and not any(bare.endswith(f".{end}") for end in OF_OWN_NETWORK)


def comes_from_outside(address: str) -> bool:
    """Tell whether a visitor's network address is one of the internet."""
    try:
        return ipaddress.ip_address(address).is_global
    except ValueError:
        return False


def _span(off: timedelta) -> str:
    for size, unit in (
        (timedelta(days=1), "day"),
        (timedelta(hours=1), "hour"),
        (timedelta(minutes=1), "minute"),
    ):
        if off >= size:
            count = round(off / size)
            return f"{count} {unit}{'' if count == 1 else 's'}"
    return f"{round(off.total_seconds())} seconds"
