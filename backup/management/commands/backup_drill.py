"""Try whether the newest backup can be brought back."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from backup.drill import drill
from backup.folder import Tried, backups, note_tried, passphrase


class Command(BaseCommand):
    help = "Brings the newest backup back beside the running site, checks it, and notes what it found."

    def handle(self, *args: Any, **options: Any) -> None:
        kept = backups()
        if not kept:
            raise CommandError("There is no backup to try. Make one: python manage.py backup")
        file = kept[0].file
        faults = drill(file, passphrase())
        note_tried(Tried(timezone.now(), file.name, faults))
        if faults:
            raise CommandError("\n".join((f"{file} doesn't hold:", *faults)))
        self.stdout.write(f"{file} holds: brought back, counted and verified.")
