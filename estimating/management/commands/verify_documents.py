"""Say whether anything that was issued was changed since."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import connection, transaction

from estimating.models import Document, DocumentEvent
from estimating.verification.documents import faults


class Command(BaseCommand):
    help = "Works out every digest, number, sum and link of what was issued again and names what differs."

    def handle(self, *args: Any, **options: Any) -> None:
        with transaction.atomic():
            if connection.vendor == "postgresql":
                # What is issued while this reads must not look like a gap. SQLite lets nobody write.
                with connection.cursor() as cursor:
                    cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
            differences = 0
            for fault in faults():
                self.stdout.write(fault)
                differences += 1
            documents, events = Document.objects.count(), DocumentEvent.objects.count()
        if differences:
            raise CommandError(f"Differences found: {differences}.")
        self.stdout.write(f"As they were issued: {documents} documents, {events} events.")
