"""Say whether anything that was issued was changed since."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from estimating.database.snapshot import reading_snapshot
from estimating.database.start import CannotStart, check_migrated, check_there
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
            counts = "" if differences else _counts()
        if differences:
            raise CommandError(f"Differences found: {differences}.{_hint()}")
        self.stdout.write(f"As they were issued: {counts}.")


def _counts() -> str:
    return f"{Document.objects.count()} documents, {DocumentEvent.objects.count()} events"


def _hint() -> str:
    """Say where what differs may only be tables and columns that this version adds."""
    try:
        check_migrated()
    except CannotStart as error:
        return f" {error}"
    return ""
