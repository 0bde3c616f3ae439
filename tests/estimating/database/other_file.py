"""Opening another database file than the tests' own, in this process."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.db import connection


@contextmanager
def opened(path: Path) -> Iterator[None]:
    """Have the default connection open another file."""
    connection.close()
    kept, connection.settings_dict["NAME"] = connection.settings_dict["NAME"], path
    try:
        yield
    finally:
        connection.close()
        connection.settings_dict["NAME"] = kept
