"""The drill: the newest backup brought back beside the running site, and checked there.

The copy is checked by `verify_documents` in a process of its own, which looks at nothing else, and its rows
are counted against what the backup says of itself.
"""

import os
import subprocess
import sys
import tempfile
from pathlib import Path

from django.conf import settings
from django.db import connection

from backup.archive import unpack
from backup.database_copy import POSTGRES_NAME, SQLITE_NAME, CannotCopy, scratch_database, sqlite_rows
from backup.manifest import Manifest, UnreadableBackup


def drill(file: Path, secret: str = "") -> tuple[str, ...]:
    """Bring a backup back to a scratch place and check it; return what doesn't hold, if anything."""
    with tempfile.TemporaryDirectory(prefix="benchrule-drill-") as scratch:
        folder = Path(scratch, "data")
        try:
            manifest = unpack(file, folder, secret)
            if manifest.engine == "sqlite":
                rows = sqlite_rows(folder / SQLITE_NAME)
                return (*_uncounted(manifest, rows), *_verified(folder, ""))
            with scratch_database(folder / POSTGRES_NAME) as (url, rows):
                return (*_uncounted(manifest, rows), *_verified(folder, url))
        except (UnreadableBackup, CannotCopy) as error:
            return (str(error),)


def _uncounted(manifest: Manifest, rows: dict[str, int]) -> list[str]:
    return [
        f"{name} has {rows.get(name, 0)} rows and not {count}."
        for name, count in manifest.rows.items()
        if rows.get(name) != count
    ]


def _verified(folder: Path, database_url: str) -> list[str]:
    """Return the lines of `verify_documents` on the copy, none where it finds nothing."""
    environment = {**os.environ, "BENCHRULE_DATA": f"{folder}", "DATABASE_URL": database_url}
    done = subprocess.run(
        [sys.executable, f"{settings.BASE_DIR / 'manage.py'}", "verify_documents"],
        env=environment,
        capture_output=True,
        text=True,
    )
    if not done.returncode:
        return []
    lines = [line for line in (done.stdout + done.stderr).splitlines() if not line.startswith("Note: ")]
    return lines or ["verify_documents ended without a word."]


def can_drill() -> bool:
    """Return whether a scratch place can be made: PostgreSQL must let its user make a database."""
    if connection.vendor == "sqlite":
        return True
    with connection.cursor() as cursor:
        cursor.execute("SELECT rolcreatedb FROM pg_roles WHERE rolname = current_user")
        row = cursor.fetchone()
    return bool(row and row[0])
