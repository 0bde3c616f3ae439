"""What must hold before the site is served: a database that is there, whole, brought up to date, guarded."""

import sqlite3
from collections.abc import Callable, Iterable, Iterator
from itertools import islice
from pathlib import Path

from django.core.checks import Tags, run_checks
from django.db import DatabaseError, connection, transaction
from django.db.migrations.executor import MigrationExecutor

from estimating.database.damage import damaged_pages, unreadable_rows
from estimating.database.snapshot import reading_snapshot
from estimating.database.sqlite3.base import has_wal_reset_fault
from estimating.database.trouble import Trouble, is_full, trouble_of

MIGRATE = "Run `python manage.py migrate`, then start again."
MOST_SAID = 3
WAL_RESET = (
    "SQLite {} has a fault that can, rarely, damage the database while two connections use it (the WAL-reset "
    "bug of sqlite.org). Benchrule works around it. Let no other program write to the file, keep backups, "
    "and install requirements.txt anew, which brings a newer one where there is one, or take PostgreSQL."
)
NOT_SAVED = "Pages can be read, but nothing can be saved. {}"


class CannotStart(Exception):
    """The site can't be served; the message says why and what to do, for whoever looks after the machine."""


def check_start() -> list[str]:
    """Return what to warn of before serving. Raises CannotStart where the site must not be served.

    Reads the whole database: about 2 s for 3,000 issued documents. Call it once the apps are ready, in the
    process that serves or before that is made, and close the connections afterwards.
    """
    check_whole()
    check_migrated()
    _check_found_nothing(unreadable_rows)
    if missing := [
        message for message in run_checks(tags=[Tags.database], databases=["default"]) if message.is_serious()
    ]:
        raise CannotStart(" ".join(f"{message.msg} {message.hint or ''}".strip() for message in missing))
    return list(_warnings())


def check_whole() -> None:
    """Raise CannotStart where there is no database, or SQLite finds faults in its file."""
    check_there()
    _check_found_nothing(damaged_pages)


def check_there() -> None:
    """Raise CannotStart where there is no database, or none that can be opened."""
    if path := sqlite_path():
        try:
            missing = not path.exists() or not path.stat().st_size
        except OSError as error:
            raise CannotStart(f"{path} can't be opened. {in_words(error)}") from error
        if missing:  # connecting would make an empty one
            raise CannotStart(f"There is no database at {path} yet. {MIGRATE}")
    try:
        connection.ensure_connection()
    except DatabaseError as error:
        raise CannotStart(in_words(error)) from error


def database_in_words() -> str:
    """Return what keeps the rows, with its version and place."""
    if path := sqlite_path():
        return f"SQLite {sqlite3.sqlite_version} in {path}"
    version = ".".join(map(str, connection.get_database_version()))
    return f"PostgreSQL {version}, {connection.settings_dict['NAME']}"


def sqlite_path() -> Path | None:
    """Return where the SQLite file is; None on PostgreSQL."""
    return Path(connection.settings_dict["NAME"]) if connection.vendor == "sqlite" else None


def in_words(error: Exception) -> str:
    """Return what hinders the database by an error, and what to do."""
    if trouble := trouble_of(error):
        return f"{trouble.value} ({str(error).strip()})"
    if connection.vendor == "postgresql" and connection.connection is None:
        return f"The database can't be reached. See that PostgreSQL runs, and DATABASE_URL is right: {error}"
    return f"The database can't be used: {error}."


def _check_found_nothing(search: Callable[[], Iterable[str]]) -> None:
    """Raise CannotStart with what a search for damage finds."""
    try:
        with reading_snapshot():
            found = list(islice(search(), MOST_SAID))
    except DatabaseError as error:
        raise CannotStart(in_words(error)) from error
    if found:
        raise CannotStart(" ".join((Trouble.DAMAGED.value, *found)))


def check_migrated() -> None:
    """Raise CannotStart where migrations are missing."""
    try:
        executor = MigrationExecutor(connection)
        missing = [migration for migration, _ in executor.migration_plan(executor.loader.graph.leaf_nodes())]
    except DatabaseError as error:
        raise CannotStart(in_words(error)) from error
    if missing and not executor.loader.applied_migrations:
        raise CannotStart(f"The database is empty. {MIGRATE}")
    if missing:
        raise CannotStart(f"The database is older than this Benchrule: {missing[0]} is missing. {MIGRATE}")


def _warnings() -> Iterator[str]:
    if connection.vendor == "sqlite" and has_wal_reset_fault(sqlite3.sqlite_version_info):
        yield WAL_RESET.format(sqlite3.sqlite_version)
    if is_full():
        yield NOT_SAVED.format(Trouble.FULL.value)
    elif connection.vendor == "sqlite":
        try:
            with transaction.atomic():  # takes the write lock, and gives it back
                pass
        except DatabaseError as error:
            yield NOT_SAVED.format(in_words(error))
