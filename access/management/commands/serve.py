"""Serve the site."""

from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError

from access.server import is_free, network_addresses, serve


class Command(BaseCommand):
    help = "Serves the site, to this machine alone or to its network."
    requires_migrations_checks = True

    def add_arguments(self, parser: ArgumentParser) -> None:
        add_address_arguments(parser)

    def handle(self, *args: Any, lan: bool, port: int, **options: Any) -> None:
        host = free_address(lan, port)
        call_command("collectstatic", interactive=False, verbosity=0)
        self.stdout.write(f"Open http://127.0.0.1:{port}/")
        if lan:
            self._allow_network(port)
        self.stdout.write("Stop it with Ctrl+C.")
        self.stdout.flush()
        serve(host, port)

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
