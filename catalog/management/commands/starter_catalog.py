"""Load the starting catalog, or bring it up to date."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from catalog.starter.load import UnfitCatalog, load


class Command(BaseCommand):
    help = "Puts in what the catalog lacks and brings up to date what you left as supplied."

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            report = load()
        except UnfitCatalog as unfit:
            raise CommandError("\n".join(("Nothing was loaded.", *unfit.faults))) from unfit
        for line in report.in_words():
            self.stdout.write(line)
