"""The database itself refuses to change or delete what was issued."""

import sqlite3
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command
from django.core.management.base import SystemCheckError
from django.core.management.sql import emit_post_migrate_signal
from django.db import IntegrityError, connection, models, transaction

from estimating.documents import write_protection
from estimating.models import Document, DocumentEvent
from tests.estimating.database.site_process import NOT_STARTED, start
from tests.estimating.issuing import AT, issue_now, painted_floor

pytestmark = pytest.mark.django_db(transaction=True)

PROTECTED = ["estimating_document", "estimating_documentevent"]


@pytest.fixture
def document() -> Document:
    return Document.objects.defer(None).get(pk=issue_now(painted_floor()).pk)


def rows(table: str) -> list[tuple[object, ...]]:
    with connection.cursor() as cursor:
        cursor.execute(f'SELECT * FROM "{table}" ORDER BY id')
        return [tuple(map(bytes_or_same, row)) for row in cursor.fetchall()]


def bytes_or_same(value: object) -> object:
    return bytes(value) if isinstance(value, memoryview) else value


def everything() -> list[list[tuple[object, ...]]]:
    return [rows(table) for table in PROTECTED]


def run(statement: str) -> None:
    with connection.cursor() as cursor:
        cursor.execute(statement)


def is_refused(attempt: Callable[[], object]) -> None:
    before = everything()
    with pytest.raises(IntegrityError, match="What was issued stays as it is"), transaction.atomic():
        attempt()
    assert everything() == before


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE estimating_document SET number = 1",
        "UPDATE estimating_document SET pdf_sha256 = ''",
        "UPDATE estimating_documentevent SET kind = 'accepted'",
        "DELETE FROM estimating_documentevent",
        "DELETE FROM estimating_document",
    ],
)
def test_statements_that_change_or_delete_are_refused(document: Document, statement: str) -> None:
    is_refused(lambda: run(statement))


def other_row(document: Document, **values: Any) -> Document:
    """A new document with some values of the one there is."""
    fields = [field.attname for field in Document._meta.concrete_fields if not field.primary_key]
    row = {name: getattr(document, name) for name in fields} | {"number": 1002, "issue_key": "other"} | values
    return Document(**row)


@pytest.mark.sqlite
@pytest.mark.parametrize("same", ["id", "number", "issue_key"])
def test_insert_or_replace_is_refused(document: Document, same: str) -> None:
    other = {"id": "id + 1", "number": "number + 1", "issue_key": "'other'"}
    del other[same]
    columns = [field.column for field in Document._meta.concrete_fields if field.column]
    values = [other.get(column, column) for column in columns]
    statement = (
        f"INSERT OR REPLACE INTO estimating_document ({', '.join(columns)}) "
        f"SELECT {', '.join(values)} FROM estimating_document"
    )
    is_refused(lambda: run(statement))
    # Another program opens the file with this off.
    run("PRAGMA recursive_triggers = OFF")
    try:
        is_refused(lambda: run(statement))
    finally:
        run("PRAGMA recursive_triggers = ON")


@pytest.mark.postgresql
@pytest.mark.parametrize("table", PROTECTED)
def test_truncating_is_refused(document: Document, table: str) -> None:
    is_refused(lambda: run(f"TRUNCATE {table} CASCADE"))


@pytest.mark.postgresql
def test_an_insert_that_would_update_is_refused(document: Document) -> None:
    row = other_row(document, pk=document.pk)
    is_refused(
        lambda: Document.objects.bulk_create(
            [row], update_conflicts=True, unique_fields=["pk"], update_fields=["snapshot"]
        )
    )


def test_the_orm_is_refused_too(document: Document) -> None:
    document.total = 1
    event = DocumentEvent.objects.get()
    for attempt in (
        document.save,
        lambda: Document.objects.filter(pk=document.pk).update(number=7),
        lambda: Document.objects.bulk_update([document], ["total"]),
        lambda: DocumentEvent.objects.all().delete(),
        event.delete,
        event.save,
    ):
        is_refused(attempt)


def test_further_documents_and_events_are_let_in(document: Document) -> None:
    with transaction.atomic():
        document.record("sent", AT)
    row = other_row(document)
    row.save(force_insert=True)
    assert len(rows("estimating_document")) == 2


def test_an_event_outside_a_transaction_is_refused(document: Document) -> None:
    with pytest.raises(transaction.TransactionManagementError, match="inside a transaction"):
        document.record("sent", AT)
    assert len(rows("estimating_documentevent")) == 1


def test_no_trigger_is_missing_after_the_migrations() -> None:
    assert write_protection.missing_triggers(connection) == []
    call_command("check", databases=["default"])


@pytest.fixture
def rebuilt() -> Iterator[None]:
    """The table of documents as a migration that alters a column leaves it."""
    now, then = Document._meta.get_field("snapshot_sha256"), models.CharField(max_length=70)
    then.set_attributes_from_name("snapshot_sha256")
    then.model = Document
    with connection.schema_editor() as editor:
        editor.alter_field(Document, now, then)
    yield
    with connection.schema_editor() as editor:
        editor.alter_field(Document, then, now)
    write_protection.install_triggers(connection)


def test_the_guard_stands_after_a_migration_that_rebuilds_the_table(
    document: Document, rebuilt: None
) -> None:
    lost = ["no_update", "no_delete", "no_replace"] if connection.vendor == "sqlite" else []
    assert write_protection.missing_triggers(connection) == [f"estimating_document_{name}" for name in lost]
    emit_post_migrate_signal(verbosity=0, interactive=False, db="default")
    assert write_protection.missing_triggers(connection) == []
    is_refused(lambda: run("UPDATE estimating_document SET number = 1"))


@pytest.fixture
def unguarded() -> Iterator[str]:
    """The database without one of its triggers."""
    name = "estimating_document_no_update"
    run(f"DROP TRIGGER {name}" + (" ON estimating_document" if connection.vendor == "postgresql" else ""))
    yield name
    write_protection.install_triggers(connection)


def test_a_check_names_a_trigger_that_is_missing(unguarded: str) -> None:
    with pytest.raises(SystemCheckError, match=unguarded):
        call_command("check", databases=["default"])


def test_migrating_puts_a_missing_trigger_back(unguarded: str) -> None:
    call_command("migrate", verbosity=0)
    assert write_protection.missing_triggers(connection) == []


@pytest.mark.sqlite
def test_the_site_does_not_start_without_a_trigger(data_folder: Path) -> None:
    """That it starts with all of them is proved with the rest of its database, beside other refusals."""
    with sqlite3.connect(data_folder / "benchrule.sqlite3") as other:
        other.execute("DROP TRIGGER estimating_document_no_update")
    other.close()
    refused = start(data_folder)
    assert refused.returncode == NOT_STARTED
    assert "The trigger estimating_document_no_update is missing" in refused.stderr


@pytest.mark.postgresql
def test_a_trigger_that_is_switched_off_counts_as_missing(document: Document) -> None:
    run("ALTER TABLE estimating_document DISABLE TRIGGER estimating_document_no_delete")
    try:
        assert write_protection.missing_triggers(connection) == ["estimating_document_no_delete"]
    finally:
        run("ALTER TABLE estimating_document ENABLE TRIGGER estimating_document_no_delete")


def test_a_lifted_guard_comes_back_with_the_end_of_the_transaction(document: Document) -> None:
    with write_protection.without_triggers(connection):
        run("UPDATE estimating_document SET pdf_sha256 = ''")
    is_refused(lambda: run("UPDATE estimating_document SET number = 1"))


def test_a_lifted_guard_comes_back_after_an_error(document: Document) -> None:
    with pytest.raises(ZeroDivisionError), write_protection.without_triggers(connection):
        raise ZeroDivisionError
    is_refused(lambda: run("UPDATE estimating_document SET number = 1"))


@pytest.mark.sqlite
def test_the_guard_is_in_the_file_for_every_program(document: Document, tmp_path: Path) -> None:
    copy = tmp_path / "copy.sqlite3"
    with connection.cursor() as cursor:
        cursor.execute("VACUUM INTO %s", [f"{copy}"])
    other = sqlite3.connect(copy)
    try:
        with pytest.raises(sqlite3.IntegrityError, match="What was issued stays as it is"):
            other.execute("UPDATE estimating_document SET number = 1")
    finally:
        other.close()
