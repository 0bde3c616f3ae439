"""The command `way_back`: a new password on a machine that can't mail."""

from typing import Any

from django.contrib.auth.models import User
from django.contrib.auth.tokens import default_token_generator
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.urls import reverse
from django.utils.encoding import force_bytes
from django.utils.http import urlsafe_base64_encode

from account.events import Kind, note
from account.second_step import remove_all


class Command(BaseCommand):
    help = "Prints the address at which a new password is chosen. Works once, for an hour."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("name", help="the name that is signed in with")
        parser.add_argument(
            "--without-phone",
            action="store_true",
            help="turn the second step off and remove passkeys, where phone and codes are lost",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        user = User.objects.filter(username=options["name"]).first()
        if user is None:
            names = ", ".join(User.objects.order_by("pk").values_list("username", flat=True)) or "nobody"
            raise CommandError(f"Nobody signs in as {options['name']!r}. There is: {names}.")
        if options["without_phone"]:
            remove_all(user)
            note(user, Kind.SECOND_OFF, None)
        note(user, Kind.WAY_BACK, None)
        parts = (urlsafe_base64_encode(force_bytes(user.pk)), default_token_generator.make_token(user))
        self.stdout.write("Open this after the address of your site, within the hour:")
        self.stdout.write(reverse("new-password", args=parts))
