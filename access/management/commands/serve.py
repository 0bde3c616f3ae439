"""Serve the site."""

from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError

from access.server import given_listener, is_free, listen, network_addresses, serve


class Command(BaseCommand):
    help = (
        "Serves the site, to this machine alone or to its network; started by systemd for a socket, on that."
    )
    requires_migrations_checks = True

    def add_arguments(self, parser: ArgumentParser) -> None:
        add_address_arguments(parser)
        parser.add_argument(
            "--collected", action="store_true", help="the style sheets were collected; write nothing"
        )
        parser.add_argument(
            "--rest-after",
            type=int,
            metavar="MINUTES",
            help="stop once nobody was connected for so long; systemd starts it at the next request",
        )

    def handle(
        self, *args: Any, lan: bool, port: int, collected: bool, rest_after: int | None, **options: Any
    ) -> None:
        given = given_listener()
        if rest_after is not None and (given is None or rest_after < 1):
            raise CommandError(
                "--rest-after takes whole minutes, where systemd starts this for a socket: else nothing "
                "would start it again."
            )
        host = free_address(lan, port) if given is None else ""
        if not collected:
            call_command("collectstatic", interactive=False, verbosity=0)
        if given is None:
            self.stdout.write(f"Open http://127.0.0.1:{port}/")
            if lan:
                self._allow_network(port)
            self.stdout.write("Stop it with Ctrl+C.")
        self.stdout.flush()
        serve(given or listen(host, port), rest_after * 60 if rest_after else None)

    def _allow_network(self, port: int) -> None:
        addresses = network_addresses()
        settings.ALLOWED_HOSTS += addresses
        for address in addresses:
            self.stdout.write(f"On a phone on the same Wi-Fi: http://{address}:{port}/")
        if not addresses:
            self.stdout.write("This machine has no address on a network: a phone can't reach it.")


def add_address_arguments(parser: ArgumentParser) -> None:
    """Add the options that say where to serve."""
    parser.add_argument("--lan", action="store_true", help="let a phone on the same network open it")
    parser.add_argument("--port", type=int, default=8000, help="the port to serve on (8000)")


def free_address(lan: bool, port: int) -> str:
    """Return the address to listen on. Raises CommandError where nothing can listen at that port."""
    host = "0.0.0.0" if lan else "127.0.0.1"
    if not 1 <= port <= 65_535:
        raise CommandError(f"{port} is no port: give one from 1 to 65535.")
    if not is_free(host, port):
        raise CommandError(f"Port {port} is in use. Give another, such as --port {port % 65_535 + 1}.")
    return host
