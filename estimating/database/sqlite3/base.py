"""The connection to a SQLite file."""

import sqlite3
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from django.db import transaction
from django.db.backends.sqlite3 import base

# What SQLite answers where it can't make the files beside the database: on a full disk, in a folder that
# may not be written to.
_NO_FILES_BESIDE = {
    sqlite3.SQLITE_IOERR,
    sqlite3.SQLITE_CANTOPEN,
    sqlite3.SQLITE_READONLY,
    sqlite3.SQLITE_FULL,
}

_next_to_write = threading.Lock()


def has_wal_reset_fault(version: tuple[int, ...]) -> bool:
    """Return whether a SQLite of this version can, rarely, damage a database in WAL mode.

    While one connection checkpoints a second time, another that commits starts the log over; the first
    misses that, and later leaves out part of a transaction. Fixed in 3.51.3, 3.50.7 and 3.44.6
    (sqlite.org/wal.html, "the WAL-reset bug").
    """
    return not (version >= (3, 51, 3) or (3, 50, 7) <= version < (3, 51) or (3, 44, 6) <= version < (3, 45))


class DatabaseWrapper(base.DatabaseWrapper):
    """A connection that stays open from request to request: to open one reads the tables' whole description.

    It only reads where nothing can be written; a write then is refused as "readonly".

    Even to read, a database in WAL mode needs 32 KB of shared memory in a file beside it. Without room for
    that, the file is read as it lies there. It is whole as long as no log stands beside it, which is so
    whenever nobody has it open; and nobody can change it meanwhile, for want of the same room.
    """

    transaction_mode: str | None
    close_at: float | None

    def get_new_connection(self, conn_params: Mapping[str, Any]) -> sqlite3.Connection:
        try:
            connection: sqlite3.Connection = super().get_new_connection(conn_params)
            if has_wal_reset_fault(sqlite3.sqlite_version_info):
                # Then the log is taken over into the file only when the last connection closes: alone, so
                # that nobody can commit meanwhile. Between two requests that is.
                connection.execute("PRAGMA wal_autocheckpoint=0")
                self._close_after_the_request()
            else:
                connection.execute("PRAGMA wal_autocheckpoint=1")  # a copy of the file alone lacks nothing
            return connection
        except sqlite3.OperationalError as error:
            path = Path(str(conn_params["database"]))
            if error.sqlite_errorcode & 0xFF not in _NO_FILES_BESIDE or not _is_whole(path):
                raise
        except UnicodeDecodeError as error:  # SQLite quotes damaged bytes in what it says of them
            raise sqlite3.DatabaseError(f"malformed database schema ({error})") from error
        address = f"{path.absolute().as_uri()}?mode=ro&immutable=1"
        unwritable: sqlite3.Connection = super().get_new_connection({**conn_params, "database": address})
        self._close_after_the_request()  # there may be room again
        return unwritable

    def _close_after_the_request(self) -> None:
        self.close_at = 0.0

    def _start_transaction_under_autocommit(self) -> None:
        """Begin a transaction; one that wants the write lock waits in turn with others of this process.

        SQLite lets whoever asks at the right instant have it, and one thread that asks now and then can wait
        in vain beside some that save all the time: so only one asks at a time.
        """
        if self.transaction_mode != "IMMEDIATE":
            super()._start_transaction_under_autocommit()  # type: ignore[misc]  # the stubs lack it
            return
        with _next_to_write:
            super()._start_transaction_under_autocommit()  # type: ignore[misc]  # the stubs lack it

    @contextmanager
    def deferred(self) -> Iterator[None]:
        """Begin transactions without the write lock: they see the database as of their first reading."""
        self.ensure_connection()
        usual, self.transaction_mode = self.transaction_mode, "DEFERRED"
        try:
            with transaction.atomic(using=self.alias):
                yield
        finally:
            self.transaction_mode = usual


def _is_whole(path: Path) -> bool:
    """Tell whether the file holds all of its database: no log with anything in it lies beside it."""
    log = path.with_name(f"{path.name}-wal")
    return path.is_file() and not (log.exists() and log.stat().st_size)
