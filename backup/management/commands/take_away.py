"""Write everything as files that need no Benchrule."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from backup.readable import write_readable


class Command(BaseCommand):
    help = "Writes PDFs, photos, CSVs and JSON of everything into one zip that needs no Benchrule."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, help="a zip that isn't there yet")

    def handle(self, *args: Any, file: Path, **options: Any) -> None:
        try:
            count = write_readable(file, settings.DATA_DIR, timezone.now())
        except FileExistsError as error:
            raise CommandError(f"{file} is there already. Name another file.") from error
        except OSError as error:
            raise CommandError(f"Nothing was written: {error}.") from error
        self.stdout.write(f"{file}: {count} files, {file.stat().st_size / 1e6:.1f} MB.")
