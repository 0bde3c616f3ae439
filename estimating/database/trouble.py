"""What hinders a database or a disk, told from the error that it answered with."""

import errno
import shutil
import sqlite3
from collections.abc import Iterator
from enum import Enum
from pathlib import Path

from django.conf import settings

ROOM = 2**20  # bytes; with less, SQLite may be unable even to open its shared memory beside the file

_OF_SQLITE = {
    sqlite3.SQLITE_FULL: "FULL",
    sqlite3.SQLITE_READONLY: "READ_ONLY",
    sqlite3.SQLITE_CANTOPEN: "READ_ONLY",
    sqlite3.SQLITE_CORRUPT: "DAMAGED",
    sqlite3.SQLITE_NOTADB: "DAMAGED",
    sqlite3.SQLITE_IOERR: "DAMAGED",
    sqlite3.SQLITE_BUSY: "BUSY",
}
_OF_POSTGRESQL = {
    "53100": "FULL",
    "25006": "READ_ONLY",
    "XX001": "DAMAGED",
    "XX002": "DAMAGED",
    "40P01": "BUSY",  # two that waited for each other
    "55P03": "BUSY",
}
_OF_SYSTEM = {
    errno.ENOSPC: "FULL",
    errno.EDQUOT: "FULL",
    errno.EROFS: "READ_ONLY",
    errno.EACCES: "READ_ONLY",
}


class Trouble(Enum):
    """What hinders the database, with what to say of it and to do, for whoever looks after the machine."""

    FULL = "There is no room left on the disk of this machine. Delete something else on it, then start again."
    READ_ONLY = (
        "The database, or the folder that it lies in, can't be written to. Give the user who runs Benchrule "
        "the right to write there."
    )
    DAMAGED = (
        "The database is damaged, or the disk that it lies on is. Keep a copy of the damaged file, then "
        "bring the database back from the newest backup."
    )
    BUSY = "Another program has been writing to the database for too long. Try again."


def trouble_of(error: BaseException) -> Trouble | None:
    """Return what hinders the database or disk by an error or what caused it; None where it says nothing."""
    for cause in _causes(error):
        if name := _name_of(cause):
            trouble = Trouble[name]
            # SQLite says of a full disk, too, that it can't open or write what lies beside its file.
            is_of_disk = isinstance(cause, sqlite3.Error) and trouble is not Trouble.BUSY
            return Trouble.FULL if is_of_disk and is_full() else trouble
    return None


def is_full(folder: Path | None = None) -> bool:
    """Return whether there is no room for what a database needs, in the data folder unless told another."""
    return shutil.disk_usage(folder or settings.DATA_DIR).free < ROOM


def _causes(error: BaseException | None) -> Iterator[BaseException]:
    while error:
        yield error
        error = error.__cause__


def _name_of(error: BaseException) -> str | None:
    if isinstance(error, OSError):
        return _OF_SYSTEM.get(error.errno or 0)
    if isinstance(error, UnicodeDecodeError):
        return "DAMAGED"
    if isinstance(error, sqlite3.Error):
        code = getattr(error, "sqlite_errorcode", None)
        if code is None:  # Python's own: a text that isn't UTF-8
            return "DAMAGED" if "decode" in str(error) else None
        return _OF_SQLITE.get(code & 0xFF)
    return _OF_POSTGRESQL.get(getattr(error, "sqlstate", None) or "")
