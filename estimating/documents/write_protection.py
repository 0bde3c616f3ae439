"""The database's own refusal to change or delete what was issued, by triggers on the protected tables.

Refused are UPDATE, DELETE, on SQLite what an INSERT OR REPLACE would overwrite, on PostgreSQL TRUNCATE.
Django rebuilds a SQLite table to alter it, and the rebuilt table has lost its triggers: they are installed
again after every migration (estimating/apps.py), and a check names those that are missing
(estimating/documents/checks.py).
"""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import models, transaction
from django.db.backends.base.base import BaseDatabaseWrapper

from estimating.models import Acceptance, Document, DocumentEvent, Scan, SignedCopy

PROTECTED: list[type[models.Model]] = [Document, DocumentEvent, Acceptance, Scan, SignedCopy]
REFUSAL = "What was issued stays as it is: it can be neither changed nor deleted."

_POSTGRESQL_FUNCTION = f"""
CREATE OR REPLACE FUNCTION benchrule_refuse() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  RAISE EXCEPTION '{REFUSAL}' USING ERRCODE = 'integrity_constraint_violation';
END $$
"""


def protect(*tables: type[models.Model]) -> None:
    """Protect further tables, those of an app above, whose `ready` calls this."""
    PROTECTED.extend(table for table in tables if table not in PROTECTED)


def install_triggers(connection: BaseDatabaseWrapper) -> None:
    """Create every trigger of every protected table that the database has, anew where it is there."""
    with transaction.atomic(using=connection.alias), connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(_POSTGRESQL_FUNCTION)
        for table, name, statement in _wanted(connection):
            cursor.execute(_drop(connection, table, name))
            cursor.execute(statement)


def missing_triggers(connection: BaseDatabaseWrapper) -> list[str]:
    """Return the names of the triggers that the database should have and lacks, or has switched off."""
    query = (
        "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal AND tgenabled IN ('O', 'A')"
        if connection.vendor == "postgresql"
        else "SELECT name FROM sqlite_master WHERE type = 'trigger'"
    )
    with connection.cursor() as cursor:
        cursor.execute(query)
        installed = {name for (name,) in cursor.fetchall()}
    return [name for _, name, _ in _wanted(connection) if name not in installed]


@contextmanager
def without_triggers(connection: BaseDatabaseWrapper) -> Iterator[None]:
    """Drop the triggers for one transaction; other connections never see the tables without them.

    For tests that clear the tables and for data migrations that must rewrite issued rows. No page calls it.
    """
    with transaction.atomic(using=connection.alias):
        with connection.cursor() as cursor:
            for table, name, _ in _wanted(connection):
                cursor.execute(_drop(connection, table, name))
        yield
        install_triggers(connection)


def _drop(connection: BaseDatabaseWrapper, table: str, name: str) -> str:
    on_table = f' ON "{table}"' if connection.vendor == "postgresql" else ""
    return f'DROP TRIGGER IF EXISTS "{name}"{on_table}'


def _wanted(connection: BaseDatabaseWrapper) -> Iterator[tuple[str, str, str]]:
    """Yield table, name and statement of each trigger, for the protected tables that the database has."""
    statements = _on_postgresql if connection.vendor == "postgresql" else _on_sqlite
    tables = set(connection.introspection.table_names())
    for model in PROTECTED:
        table = model._meta.db_table
        if table in tables:
            for operation, statement in statements(model, table):
                name = f"{table}_no_{operation}"
                yield table, name, statement.format(name=name, table=table)


def _on_postgresql(model: type[models.Model], table: str) -> Iterator[tuple[str, str]]:
    for operation, level in (("update", "ROW"), ("delete", "ROW"), ("truncate", "STATEMENT")):
        yield (
            operation,
            f'CREATE TRIGGER "{{name}}" BEFORE {operation} ON "{{table}}" '
            f"FOR EACH {level} EXECUTE FUNCTION benchrule_refuse()",
        )


def _on_sqlite(model: type[models.Model], table: str) -> Iterator[tuple[str, str]]:
    """Yield operation and statement of each trigger.

    INSERT OR REPLACE deletes the old row without firing DELETE triggers unless `recursive_triggers` is on,
    which other programs leave off: so an insert of what is there already is refused.
    """
    refuse = f"BEGIN SELECT RAISE(ABORT, '{REFUSAL}'); END"
    for operation in ("update", "delete"):
        yield operation, f'CREATE TRIGGER "{{name}}" BEFORE {operation} ON "{{table}}" {refuse}'
    same = " OR ".join(
        "(" + " AND ".join(f'"{column}" = NEW."{column}"' for column in columns) + ")"
        for columns in _unique_columns(model)
    )
    exists = f'EXISTS (SELECT 1 FROM "{table}" WHERE {same})'
    yield "replace", f'CREATE TRIGGER "{{name}}" BEFORE INSERT ON "{{table}}" WHEN {exists} {refuse}'


def _unique_columns(model: type[models.Model]) -> Iterator[list[str]]:
    """Yield the sets of columns of which no two rows have the same values."""
    fields = model._meta.local_concrete_fields
    columns = {field.name: field.column for field in fields if field.column}
    for field in fields:
        if field.unique:
            yield [columns[field.name]]
    for constraint in model._meta.total_unique_constraints:
        yield [columns[name] for name in constraint.fields]
