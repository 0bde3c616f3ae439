"""Serving the site from this machine, to itself or to a phone on the same network."""

import ipaddress
import socket
from collections.abc import Mapping
from typing import Any

from django.core.handlers.wsgi import WSGIHandler
from django.core.servers.basehttp import get_internal_wsgi_application, run
from django.db import connections


def network_addresses() -> list[str]:
    """Return the IPv4 addresses under which other machines of the network may reach this one."""
    addresses = _addresses_of_hostname()
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            # Nothing is sent: the system only says which of its addresses it would send from.
            probe.connect(("192.0.2.1", 9))
            addresses.add(probe.getsockname()[0])
        except OSError:
            pass
    return sorted(address for address in addresses if not ipaddress.ip_address(address).is_loopback)


def _addresses_of_hostname() -> set[str]:
    try:
        infos = socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)
    except OSError:
        return set()
    return {str(info[4][0]) for info in infos}


def is_free(host: str, port: int) -> bool:
    """Return whether a server can listen there."""
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, port))
        except OSError:
            return False
    return True


def serve(host: str, port: int) -> None:
    """Serve until stopped: one process, which owns the SQLite file, with four threads."""
    connections.close_all()
    try:
        from gunicorn.app.base import BaseApplication  # type: ignore[import-untyped]  # it has no types
    except ImportError:  # it needs what only Unix has
        run(host, port, get_internal_wsgi_application(), threading=True)
        return

    options: Mapping[str, Any] = {"bind": f"{host}:{port}", "workers": 1, "threads": 4, "loglevel": "warning"}

    class Site(BaseApplication):  # type: ignore[misc]  # untyped, as above
        def load_config(self) -> None:
            for name, value in options.items():
                self.cfg.set(name, value)

        def load(self) -> WSGIHandler:
            return get_internal_wsgi_application()

    Site().run()
