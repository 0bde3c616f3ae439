"""Write everything that the site keeps into one file."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from backup.archive import CannotBackUp, write_backup
from backup.database_copy import CannotCopy
from backup.folder import back_up_today, passphrase
from backup.manifest import Manifest


class Command(BaseCommand):
    help = (
        "Writes everything that the site keeps into one file, while it runs. Without a FILE, today's backup "
        "goes into the folder of backups, and older ones are thinned."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", nargs="?", type=Path, help="a file that isn't there yet")
        parser.add_argument("--passphrase-file", type=Path, help="holds the passphrase to encrypt it with")

    def handle(self, *args: Any, file: Path | None, passphrase_file: Path | None, **options: Any) -> None:
        now = timezone.now()
        try:
            if file:
                secret = passphrase_file.read_text("utf-8").strip() if passphrase_file else passphrase()
                manifest = write_backup(file.resolve(), settings.DATA_DIR, now, secret)
            else:
                file, manifest = back_up_today(now, timezone.localdate())
        except (CannotBackUp, CannotCopy, OSError) as error:
            raise CommandError(f"No backup was made. {error}") from error
        self.stdout.write(f"{file}: {_in_words(manifest)}, {file.stat().st_size / 1e6:.1f} MB.")


def _in_words(manifest: Manifest) -> str:
    rows = manifest.rows
    return (
        f"{rows.get('estimating_job', 0)} jobs, {rows.get('estimating_document', 0)} papers, "
        f"{rows.get('invoicing_payment', 0)} payments, {len(manifest.members)} files"
    )
