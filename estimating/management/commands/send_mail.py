"""The command `send_mail`: send the mails whose time has come, for a timer of the machine."""

from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from estimating.client.outbox import given_up, send_waiting


class Command(BaseCommand):
    help = "Sends the mails that wait and whose time has come; names those that are given up."

    def handle(self, *args: Any, **options: Any) -> None:
        send_waiting(timezone.now())
        for mail in given_up():
            self.stdout.write(f"Given up: {mail}. {mail.fault}")
