"""Say whether anything that was issued was changed since."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from estimating.database.snapshot import reading_snapshot
from estimating.database.start import CannotStart, check_there
from estimating.models import Document, DocumentEvent
from estimating.verification.documents import faults, notes


class Command(BaseCommand):
    help = "Works out every digest, number, sum and link of what was issued again and names what differs."

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            check_there()
        except CannotStart as error:
            raise CommandError(str(error)) from error
        with reading_snapshot():
            differences = 0
            for fault in faults():
                self.stdout.write(fault)
                differences += 1
            for note in notes():
                self.stdout.write(f"Note: {note}")
            if differences:
                raise CommandError(f"Differences found: {differences}.")
            documents, events = Document.objects.count(), DocumentEvent.objects.count()
        self.stdout.write(f"As they were issued: {documents} documents, {events} events.")
