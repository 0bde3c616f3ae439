"""Bring a backup back into an empty folder."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from backup.archive import restore
from backup.database_copy import CannotCopy
from backup.folder import passphrase
from backup.manifest import UnreadableBackup


class Command(BaseCommand):
    help = (
        "Brings a backup back into a folder that is empty or isn't there; of PostgreSQL, its rows go into "
        "the empty database that DATABASE_URL names. Everything is checked before anything appears."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path)
        parser.add_argument("--into", type=Path, required=True, metavar="FOLDER")
        parser.add_argument(
            "--passphrase-file", type=Path, help="holds the passphrase that it was encrypted with"
        )

    def handle(
        self, *args: Any, file: Path, into: Path, passphrase_file: Path | None, **options: Any
    ) -> None:
        try:
            secret = passphrase_file.read_text("utf-8").strip() if passphrase_file else passphrase()
            manifest = restore(file, into.resolve(), secret)
        except (UnreadableBackup, CannotCopy, OSError) as error:
            raise CommandError(str(error)) from error
        self.stdout.write(f"Brought back as of {manifest.made_at:%Y-%m-%d %H:%M %Z} into {into.resolve()}.")
        self.stdout.write(
            f"Now: BENCHRULE_DATA={into.resolve()} python manage.py migrate; then verify_documents and serve."
        )
