"""verify_documents: whatever was changed behind the pages' back is named."""

from collections.abc import Callable
from io import StringIO
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import connection, transaction
from django.db.migrations.recorder import MigrationRecorder
from django.db.models import QuerySet

from estimating.documents import write_protection
from estimating.events.chain import canonical, digest
from estimating.models import Counter, Document, DocumentEvent
from tests.estimating.issuing import AT, another_floor, issue_now, painted_floor

pytestmark = pytest.mark.django_db(transaction=True)  # PostgreSQL sets the isolation before any query


@pytest.fixture(autouse=True)
def three_estimates() -> None:
    """1001 and 1003 of one job, 1002 of another; six events."""
    estimate = painted_floor()
    issue_now(estimate)
    other = issue_now(another_floor(estimate))
    estimate.items.update(extra_hours=1)
    revision = issue_now(estimate)
    with transaction.atomic():
        other.record("sent", AT, {"to": "okonjo@example.com"})
        revision.record("declined", AT, {"reason": "too dear"})


def verify() -> str:
    said = StringIO()
    call_command("verify_documents", stdout=said)
    return said.getvalue()


def found() -> list[str]:
    """What the command names; it ends with an error that makes the exit status 1."""
    said = StringIO()
    with pytest.raises(CommandError) as error:
        call_command("verify_documents", stdout=said)
    lines = said.getvalue().splitlines()
    assert f"{error.value}" == f"Differences found: {len(lines)}."
    assert error.value.returncode == 1
    return lines


def tamper(number: int, **values: Any) -> None:
    with write_protection.without_triggers(connection):
        Document.objects.filter(number=number).update(**values)


def test_all_is_well_when_nothing_was_touched() -> None:
    assert verify() == "As they were issued: 3 documents, 6 events.\n"


def test_a_database_that_lacks_a_migration_is_told_from_one_that_was_changed() -> None:
    tamper(1001, basis="{}")
    applied = MigrationRecorder.Migration.objects
    last = applied.filter(app="closing").order_by("pk").last()
    last.delete()
    try:
        with pytest.raises(CommandError, match=rf"Differences found: 1. .*{last.name} is missing. Run"):
            call_command("verify_documents", stdout=StringIO())
    finally:
        applied.create(app=last.app, name=last.name)


def flip(content: bytes) -> bytes:
    middle = len(content) // 2
    return content[:middle] + bytes([content[middle] ^ 1]) + content[middle + 1 :]


def test_one_changed_byte_of_a_pdf_is_named() -> None:
    tamper(1002, pdf=flip(bytes(Document.objects.get(number=1002).pdf)))
    assert found() == ["Estimate 1002: the PDF was changed; its SHA-256 differs."]


def test_one_changed_letter_of_a_snapshot_is_named() -> None:
    kept = Document.objects.get(number=1001).snapshot
    tamper(1001, snapshot=kept.replace("Larkspur", "Larkspvr"))
    assert found() == ["Estimate 1001: what it shows was changed; the SHA-256 of the snapshot differs."]


def test_a_changed_basis_is_named() -> None:
    tamper(1001, basis="{}")
    assert found() == [
        "Estimate 1001: what stands behind its sums was changed; the SHA-256 of the basis differs."
    ]


def test_a_snapshot_changed_together_with_its_digest_is_named_by_the_chain() -> None:
    kept = Document.objects.get(number=1001).snapshot.replace("Larkspur", "Larkspvr")
    tamper(1001, snapshot=kept, snapshot_sha256=digest(kept))
    assert found() == [
        "Estimate 1001: its number, job, dates, total or digests aren't those recorded when it was issued."
    ]


def test_a_total_that_its_paper_does_not_show_is_named() -> None:
    tamper(1001, total=1)
    assert found() == [
        "Estimate 1001: its number, job, dates, total or digests aren't those recorded when it was issued.",
        "Estimate 1001: it is kept at $1.00, the paper says 196.80.",
        "Estimate 1001: the printed rows come to 196.80, not to its total.",
    ]


def test_printed_rows_that_do_not_add_up_are_named() -> None:
    paper = Document.objects.get(number=1001).read_snapshot()
    paper["prices"][0]["price"] = "1.00"
    tamper(1001, snapshot=canonical(paper))
    assert "Estimate 1001: the printed rows come to 1.00, not to its total." in found()


def test_a_paper_that_cannot_be_read_is_named() -> None:
    tamper(1001, snapshot="{")
    assert "Estimate 1001: what it shows can't be read." in found()


@pytest.mark.sqlite
def test_a_date_that_cannot_be_read_is_named_with_its_document_and_the_rest_still_checked() -> None:
    """Only SQLite keeps whatever bytes stand in a date's place."""
    tamper(1003, basis="{}")
    with write_protection.without_triggers(connection), connection.cursor() as cursor:
        cursor.execute("UPDATE estimating_document SET dated = '2026-13-40' WHERE number = 1001")
    named = found()
    assert "Estimate 1001: all of it can't be read (ValueError)." in named
    assert any(fault.startswith("Estimate 1003: what stands behind its sums was changed") for fault in named)


@pytest.mark.parametrize(
    ("change", "named"),
    [
        (lambda events: events.filter(place=2).update(data="{}"), "Event 2 (issued) isn't what was recorded"),
        (
            lambda events: events.filter(place=3).update(kind="opened"),
            "Event 3 (opened) isn't what was recorded",
        ),
        (lambda events: events.filter(place=3).delete(), "Event 3 is missing: after it comes event 4."),
        (
            lambda events: events.filter(place=6).delete(),
            "The last event is noted as 6; the newest there is 5.",
        ),
    ],
)
def test_events_that_were_changed_or_removed_are_named(
    change: Callable[[QuerySet[DocumentEvent]], object], named: str
) -> None:
    with write_protection.without_triggers(connection):
        change(DocumentEvent.objects.all())
    assert any(line.startswith(named) for line in found())


def test_a_document_that_was_removed_leaves_a_gap_that_is_named() -> None:
    with write_protection.without_triggers(connection):
        DocumentEvent.objects.filter(document__number=1002).delete()
        Document.objects.filter(number=1002).delete()
    assert "estimate: missing from 1002 to 1002." in found()


def test_the_last_document_that_was_removed_is_named() -> None:
    with write_protection.without_triggers(connection):
        DocumentEvent.objects.filter(document__number=1003).delete()
        Document.objects.filter(number=1003).delete()
    assert "estimate: missing from 1003 to 1003." in found()


def test_a_counter_that_was_set_back_is_named() -> None:
    Counter.objects.filter(pk="estimate").update(last=1002)
    assert found() == ["estimate: the last number taken is noted as 1002; the newest there is 1003."]


def test_a_document_without_the_event_of_its_issue_is_named() -> None:
    with write_protection.without_triggers(connection):
        DocumentEvent.objects.filter(document__number=1002, kind="issued").delete()
    assert "Estimate 1002: no event says that it was issued." in found()


def test_a_trigger_that_is_missing_is_named() -> None:
    name = "estimating_documentevent_no_delete"
    on_table = " ON estimating_documentevent" if connection.vendor == "postgresql" else ""
    with connection.cursor() as cursor:
        cursor.execute(f"DROP TRIGGER {name}{on_table}")
    try:
        assert found() == [f"The trigger {name} is missing."]
    finally:
        write_protection.install_triggers(connection)
