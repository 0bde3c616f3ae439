"""A copy of the database at one moment while others write, and its way back into an empty one.

SQLite by its online backup, PostgreSQL by pg_dump and pg_restore. Both carry triggers and sequences.
"""

import os
import sqlite3
import subprocess
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import quote

import psycopg
from django.db import connection, connections
from django.db.migrations.recorder import MigrationRecorder
from psycopg import sql

from estimating.database.snapshot import reading_snapshot

RESTORE = ("--no-owner", "--no-privileges", "--single-transaction", "--exit-on-error")
SQLITE_NAME, POSTGRES_NAME = "benchrule.sqlite3", "benchrule.pgdump"


class CannotCopy(RuntimeError):
    """The database couldn't be copied or brought back; the message says why and what to do."""


def copy_database(folder: Path) -> tuple[Path, dict[str, int]]:
    """Write a copy of the database as it is at one moment; return its file, and the rows of each table.

    Raises CannotCopy.
    """
    if connection.vendor == "sqlite":
        file = _copy_sqlite(Path(connection.settings_dict["NAME"]), folder / SQLITE_NAME)
        return file, sqlite_rows(file)
    file = folder / POSTGRES_NAME
    with reading_snapshot(), connection.cursor() as cursor:
        cursor.execute("SELECT pg_export_snapshot()")
        (moment,) = cursor.fetchone()
        options = ["--format=custom", "--no-owner", "--no-privileges", f"--snapshot={moment}"]
        _run_postgres("pg_dump", [*options, f"--file={file}"])
        return file, rows_now()


def bring_back_postgres(file: Path) -> None:
    """Put a copy into the database of the settings, which must be empty. Raises CannotCopy."""
    with connection.cursor() as cursor:
        if connection.introspection.table_names(cursor):
            raise CannotCopy("DATABASE_URL names a database that isn't empty. Make an empty one for it.")
    _run_postgres("pg_restore", [*RESTORE, f"--dbname={connection.settings_dict['NAME']}", f"{file}"])


@contextmanager
def scratch_database(file: Path) -> Iterator[tuple[str, dict[str, int]]]:
    """Bring a copy back into a PostgreSQL database made for it; give its URL and the rows of each table.

    The database is dropped afterwards. Its user needs CREATEDB. Raises CannotCopy.
    """
    settings = connections["default"].settings_dict
    name = f"{settings['NAME']}_drill"
    _run_postgres("dropdb", ["--if-exists", name])
    _run_postgres("createdb", [name])
    try:
        _run_postgres("pg_restore", [*RESTORE, f"--dbname={name}", f"{file}"])
        address = f"{quote(settings['USER'])}:{quote(settings['PASSWORD'])}@{settings['HOST']}"
        url = f"postgresql://{address}:{settings['PORT'] or 5432}/{name}"
        with psycopg.connect(url) as scratch:
            found = scratch.execute("SELECT tablename FROM pg_tables WHERE schemaname = 'public'").fetchall()
            rows = {table: _count(scratch, table) for (table,) in sorted(found)}
        yield url, rows
    finally:
        _run_postgres("dropdb", ["--if-exists", "--force", name])


def _count(scratch: psycopg.Connection, table: str) -> int:
    counted = scratch.execute(sql.SQL("SELECT count(*) FROM {}").format(sql.Identifier(table))).fetchone()
    return int(counted[0]) if counted else 0


def engine_version() -> str:
    """Return the version of SQLite or of the PostgreSQL server."""
    if connection.vendor == "sqlite":
        return sqlite3.sqlite_version
    return ".".join(map(str, connection.get_database_version()))


def sqlite_rows(file: Path) -> dict[str, int]:
    """Count the rows of each table of a copy."""
    with sqlite3.connect(f"file:{file}?mode=ro", uri=True) as copy:
        found = copy.execute(
            "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"
        )
        names = sorted(name for (name,) in found)
        rows = {name: copy.execute(f'SELECT count(*) FROM "{name}"').fetchone()[0] for name in names}
    copy.close()
    return rows


def rows_now() -> dict[str, int]:
    """Count the rows of each table of the database of the settings."""
    with connection.cursor() as cursor:
        rows = {}
        for name in sorted(connection.introspection.table_names(cursor)):
            cursor.execute(f"SELECT count(*) FROM {connection.ops.quote_name(name)}")
            rows[name] = cursor.fetchone()[0]
    return rows


def newest_migrations() -> dict[str, str]:
    """Return the newest applied migration of each app."""
    applied = MigrationRecorder(connection).applied_migrations()
    return dict(sorted(applied))


def _copy_sqlite(source: Path, file: Path) -> Path:
    """Copy all pages in one step, under a read lock: writers go on in the write-ahead log meanwhile."""
    reader = sqlite3.connect(f"file:{source}?mode=ro", uri=True, timeout=30)
    copy = sqlite3.connect(file)
    try:
        reader.backup(copy)
        copy.execute("PRAGMA journal_mode=DELETE")  # one file, whole without its log
    except sqlite3.Error as error:
        raise CannotCopy(f"The database can't be copied: {error}.") from error
    finally:
        copy.close()
        reader.close()
    return file


def _run_postgres(program: str, arguments: list[str]) -> None:
    settings = connections["default"].settings_dict
    try:
        done = subprocess.run(
            [program, *arguments], env=_environment(settings), capture_output=True, text=True
        )
    except FileNotFoundError as error:
        raise CannotCopy(f"{program} isn't there. Install PostgreSQL's client programs.") from error
    if done.returncode:
        raise CannotCopy(f"{program} failed: {done.stderr.strip()}")


def _environment(settings: Mapping[str, Any]) -> dict[str, str]:
    """Return the environment by which PostgreSQL's programs find the database; no secret is an argument."""
    named = {
        "HOST": "PGHOST",
        "PORT": "PGPORT",
        "USER": "PGUSER",
        "PASSWORD": "PGPASSWORD",
        "NAME": "PGDATABASE",
    }
    values = {there: str(settings[ours]) for ours, there in named.items() if settings.get(ours)}
    return {**os.environ, **values}
