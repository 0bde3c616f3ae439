"""Say in plain sentences what is wrong with the site."""

from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from reach.findings import findings
from reach.site import look, outside_names


class Command(BaseCommand):
    help = (
        "Says in plain sentences what is wrong: name, port, certificate, mail, disk, clock, backups, SQLite. "
        "Ends with 1 where anything is."
    )

    def handle(self, *args: Any, **options: Any) -> None:
        wrong = findings(look(timezone.now()))
        for sentence in wrong:
            self.stdout.write(f"- {sentence}")
        if wrong:
            raise SystemExit(1)
        names = ", ".join(f"https://{name}/" for name in outside_names())
        self.stdout.write(f"All is well. Clients reach this site at {names}")
