"""What is said to be wrong with a site, by what was seen."""

from dataclasses import replace
from datetime import timedelta

import pytest

from reach.findings import Answer, Seen, comes_from_outside, findings, leads_outside

WELL = Seen(
    names=[("quotes.example.com", Answer.OURS)],
    https=True,
    mail_fault="",
    disk_free=50 * 10**9,
    disk_size=100 * 10**9,
    clock_off=timedelta(seconds=2),
    backup_fault="",
    database_fault="",
)


def test_where_all_is_well_nothing_is_said() -> None:
    assert findings(WELL) == []
    assert findings(replace(WELL, clock_off=None)) == []


@pytest.mark.parametrize(
    ("seen", "begins"),
    [
        (replace(WELL, names=[]), "Clients can't open your links"),
        (replace(WELL, https=False), "This site speaks without encryption"),
        (replace(WELL, names=[("q.example.com", Answer.UNKNOWN_NAME)]), "q.example.com leads nowhere"),
        (
            replace(WELL, names=[("q.example.com", Answer.CLOSED)]),
            "Nothing answers at q.example.com: port 443",
        ),
        (
            replace(WELL, names=[("q.example.com", Answer.CERTIFICATE)]),
            "q.example.com answers, but with a cert",
        ),
        (replace(WELL, names=[("q.example.com", Answer.OTHER)]), "q.example.com leads to another site"),
        (replace(WELL, mail_fault=None), "Mail isn't sent: it is only written to files"),
        (
            replace(WELL, mail_fault="it is off."),
            "Mail can't be sent: it is off. Correct BENCHRULE_SMTP_HOST",
        ),
        (replace(WELL, disk_free=10**9), "The disk is nearly full: 1.0 GB of 100 GB are free."),
        (replace(WELL, clock_off=timedelta(minutes=-5)), "This machine's clock is 5 minutes slow"),
        (replace(WELL, clock_off=timedelta(days=1)), "This machine's clock is 1 day fast"),
        (replace(WELL, backup_fault="The newest backup is 3 days old."), "The newest backup is 3 days old."),
        (replace(WELL, database_fault="SQLite 3.40.1 has a fault"), "SQLite 3.40.1 has a fault"),
    ],
)
def test_each_fault_is_said_alone_with_what_to_do(seen: Seen, begins: str) -> None:
    (said,) = findings(seen)
    assert said.startswith(begins)


def test_a_small_disk_is_full_by_its_share() -> None:
    assert findings(replace(WELL, disk_free=10**9, disk_size=16 * 10**9)) == []
    assert findings(replace(WELL, disk_free=7 * 10**8, disk_size=16 * 10**9)) != []


@pytest.mark.parametrize(
    ("name", "outside"),
    [
        ("quotes.example.com", True),
        ("8.8.8.8", True),
        ("localhost", False),
        ("shop", False),
        ("shop.local", False),
        ("shop.home.arpa", False),
        ("192.168.1.7", False),
        ("[::1]", False),
    ],
)
def test_a_name_of_an_own_network_leads_nowhere_outside(name: str, outside: bool) -> None:
    assert leads_outside(name) is outside


def test_a_visitor_of_the_internet_is_told_from_one_at_home() -> None:
    assert comes_from_outside("203.0.114.9")
    assert not comes_from_outside("192.168.1.20")
    assert not comes_from_outside("")
