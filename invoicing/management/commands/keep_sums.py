"""The command `keep_sums`: work the kept sums of all accounts out anew."""

from typing import Any

from django.core.management.base import BaseCommand

from invoicing.ledger.kept_sums import keep_all


class Command(BaseCommand):
    help = "Works the kept sums of all clients' accounts out anew, from bills and payments."

    def handle(self, *args: Any, **options: Any) -> None:
        self.stdout.write(f"Accounts whose sums are kept: {keep_all()}.")
