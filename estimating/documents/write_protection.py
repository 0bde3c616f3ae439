"""The database's own refusal to change or delete what was issued, by triggers on the guarded tables.

Refused are UPDATE, DELETE, on SQLite what an INSERT OR REPLACE would overwrite, on PostgreSQL TRUNCATE.
Django rebuilds a SQLite table to alter it, and a rebuilt table has lost its triggers: they are put back
after every migration (estimating/apps.py), and a check names those that are missing (estimating/checks.py).
"""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import models, transaction
from django.db.backends.base.base import BaseDatabaseWrapper

from estimating.models import Acceptance, Document, DocumentEvent, Scan, SignedCopy

GUARDED: list[type[models.Model]] = [Document, DocumentEvent, Acceptance, Scan, SignedCopy]
REFUSAL = "What was issued stays as it is: it can be neither changed nor deleted."

_POSTGRESQL_FUNCTION = f"""
CREATE OR REPLACE FUNCTION benchrule_refuse() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  RAISE EXCEPTION '{REFUSAL}' USING ERRCODE = 'integrity_constraint_violation';
END $$
"""


def guard(*tables: type[models.Model]) -> None:
    """Guard further tables too, those of the app above: its `ready` calls this."""
    GUARDED.extend(table for table in tables if table not in GUARDED)


def put_up(connection: BaseDatabaseWrapper) -> None:
    """Put up every trigger of every guarded table that the database has."""
    with transaction.atomic(using=connection.alias), connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(_POSTGRESQL_FUNCTION)
        for table, name, statement in _wanted(connection):
            cursor.execute(_drop(connection, table, name))
            cursor.execute(statement)


def missing(connection: BaseDatabaseWrapper) -> list[str]:
    """Names of the triggers that the database should have and lacks, or has switched off."""
    standing = (
        "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal AND tgenabled IN ('O', 'A')"
        if connection.vendor == "postgresql"
        else "SELECT name FROM sqlite_master WHERE type = 'trigger'"
    )
    with connection.cursor() as cursor:
        cursor.execute(standing)
        found = {name for (name,) in cursor.fetchall()}
    return [name for _, name, _ in _wanted(connection) if name not in found]


@contextmanager
def lifted(connection: BaseDatabaseWrapper) -> Iterator[None]:
    """Take the guard down for one transaction; others never see the tables without it.

    For tests that clear the tables and for data migrations that must rewrite issued rows. No page calls it.
    """
    with transaction.atomic(using=connection.alias):
        with connection.cursor() as cursor:
            for table, name, _ in _wanted(connection):
                cursor.execute(_drop(connection, table, name))
        yield
        put_up(connection)


def _drop(connection: BaseDatabaseWrapper, table: str, name: str) -> str:
    on_table = f' ON "{table}"' if connection.vendor == "postgresql" else ""
    return f'DROP TRIGGER IF EXISTS "{name}"{on_table}'


def _wanted(connection: BaseDatabaseWrapper) -> Iterator[tuple[str, str, str]]:
    """Table, name and statement of each trigger, for the guarded tables that the database has."""
    statements = _on_postgresql if connection.vendor == "postgresql" else _on_sqlite
    tables = set(connection.introspection.table_names())
    for model in GUARDED:
        table = model._meta.db_table
        if table in tables:
            for refused, statement in statements(model, table):
                name = f"{table}_no_{refused}"
                yield table, name, statement.format(name=name, table=table)


def _on_postgresql(model: type[models.Model], table: str) -> Iterator[tuple[str, str]]:
    for refused, each in (("update", "ROW"), ("delete", "ROW"), ("truncate", "STATEMENT")):
        yield (
            refused,
            f'CREATE TRIGGER "{{name}}" BEFORE {refused} ON "{{table}}" '
            f"FOR EACH {each} EXECUTE FUNCTION benchrule_refuse()",
        )


def _on_sqlite(model: type[models.Model], table: str) -> Iterator[tuple[str, str]]:
    """REPLACE deletes without firing DELETE triggers unless `recursive_triggers` is on, which other
    programs leave off: so it is refused as an insert of what is there already."""
    refuse = f"BEGIN SELECT RAISE(ABORT, '{REFUSAL}'); END"
    for refused in ("update", "delete"):
        yield refused, f'CREATE TRIGGER "{{name}}" BEFORE {refused} ON "{{table}}" {refuse}'
    same = " OR ".join(
        "(" + " AND ".join(f'"{column}" = NEW."{column}"' for column in columns) + ")"
        for columns in _unique_columns(model)
    )
    taken = f'EXISTS (SELECT 1 FROM "{table}" WHERE {same})'
    yield "replace", f'CREATE TRIGGER "{{name}}" BEFORE INSERT ON "{{table}}" WHEN {taken} {refuse}'


def _unique_columns(model: type[models.Model]) -> Iterator[list[str]]:
    """The sets of columns of which no two rows have the same values."""
    for field in model._meta.local_concrete_fields:
        if field.unique:
            yield [field.column]
    for constraint in model._meta.total_unique_constraints:
        yield [model._meta.get_field(name).column for name in constraint.fields]
