"""A signature that is no longer what was signed is named."""

from collections.abc import Callable

import pytest
from django.db import connection
from django.test import Client

from estimating.documents import write_protection
from estimating.models import Acceptance
from estimating.verification.documents import faults
from tests.estimating.client_visits import floor_with_options, sent, sign, visit
from tests.estimating.issuing import issue_now
from tests.estimating.paper_signatures import enter, photo

pytestmark = pytest.mark.django_db


@pytest.fixture
def change(signed_in: Client) -> Callable[[str], None]:
    """Runs a statement on a paper signed with an option, past the guard."""
    browser, page = visit(sent(signed_in))
    sign(browser, page, "393.60", options="0")

    def run(statement: str) -> None:
        with write_protection.without_triggers(connection), connection.cursor() as cursor:
            cursor.execute(statement)

    return run


def test_what_was_signed_and_left_alone_has_no_faults(change: Callable[[str], None]) -> None:
    assert list(faults()) == []


@pytest.mark.parametrize(
    ("statement", "said"),
    [
        (
            "UPDATE estimating_acceptance SET record = REPLACE(record, 'Mari', 'Meli')",
            "the record was changed",
        ),
        ("UPDATE estimating_acceptance SET name = 'Somebody'", "name or sum aren't those"),
        ("UPDATE estimating_acceptance SET total = 39.36", "comes to 393.60, not to 39.36"),
        ("UPDATE estimating_acceptance SET event_hash = 'x'", "no event says that it was signed"),
        ("UPDATE estimating_signedcopy SET pdf_sha256 = 'x'", "the signed copy was changed"),
        ("DELETE FROM estimating_signedcopy", "isn't the one that an event vouches for"),
        ("UPDATE estimating_acceptance SET record = REPLACE(record, '{', '[')", "the record was changed"),
        (
            "UPDATE estimating_documentevent SET data = REPLACE(data, '{', '[') WHERE kind = 'accepted'",
            "part of it can't be read",
        ),
    ],
)
def test_each_change_is_named(change: Callable[[str], None], statement: str, said: str) -> None:
    change(statement)
    assert [
        fault for fault in faults() if fault.startswith("The signature of Estimate 1001") and said in fault
    ]


def test_what_cannot_be_read_keeps_nothing_else_from_being_named(change: Callable[[str], None]) -> None:
    change("UPDATE estimating_documentevent SET data = '{' WHERE kind = 'accepted'")
    change("UPDATE estimating_document SET basis = '{'")
    change("UPDATE estimating_signedcopy SET pdf_sha256 = 'x'")
    named = " ".join(faults())
    assert "the SHA-256 of the basis differs" in named
    assert "(accepted) isn't what was recorded" in named
    assert "the signed copy was changed" in named


def test_a_signature_that_is_gone_is_missed(change: Callable[[str], None]) -> None:
    change("DELETE FROM estimating_signedcopy")
    change("DELETE FROM estimating_acceptance")
    assert "Estimate 1001 was accepted by event 4, but no signature is kept." in list(faults())


def test_a_changed_scan_is_named(signed_in: Client) -> None:
    enter(signed_in, issue_now(floor_with_options()), photo())
    assert Acceptance.objects.get().way == "paper"
    assert list(faults()) == []
    with write_protection.without_triggers(connection), connection.cursor() as cursor:
        cursor.execute("UPDATE estimating_scan SET sha256 = 'x'")
    assert [fault.partition(": ")[2] for fault in faults()] == [
        "the scan was changed; its SHA-256 differs.",
        "the scan isn't the one of the record.",
    ]
