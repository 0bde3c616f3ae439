"""The tests' SQLite database, migrated once and kept beside pytest's own cache: that takes eight seconds of
each run otherwise, of one file as of all.

The database that is kept is brought up to date like any other. It is left for a new one where a migration,
the triggers that follow each, or a library has changed.
"""

import hashlib
import os
import shutil
import sqlite3
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path

import django
from django.conf import settings
from django.db import connection

CHANGES_IT = ("*/migrations/*.py", "estimating/documents/write_protection.py", "requirements.txt")


def kept_file(folder: Path) -> Path:
    """Return where the migrated database of this checkout's migrations is kept."""
    digest = hashlib.sha256(f"{django.VERSION} {sqlite3.sqlite_version}".encode())
    for file in sorted(file for pattern in CHANGES_IT for file in Path(settings.BASE_DIR).glob(pattern)):
        digest.update(file.name.encode() + file.read_bytes())
    return folder / f"{digest.hexdigest()[:32]}.sqlite3"


def keep(file: Path) -> None:
    """Keep the database as it is now, whole or not at all, instead of earlier ones."""
    draft = file.with_suffix(f".{os.getpid()}")
    with connection.cursor() as cursor:
        cursor.execute("VACUUM INTO %s", [f"{draft}"])
    draft.replace(file)
    remove(other for other in file.parent.glob("*.sqlite3") if other != file)


def take(file: Path, name: Path) -> None:
    """Put a copy of what is kept where the tests' database is looked for."""
    with suppress(FileNotFoundError):
        shutil.copyfile(file, name)


def remove(files: Iterable[Path]) -> None:
    """Remove files that are there."""
    for file in files:
        file.unlink(missing_ok=True)
