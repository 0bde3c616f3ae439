"""Puts a kept database where the tests' own is looked for."""

import lzma
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.db import connection


@contextmanager
def in_place_of_ours(kept: Path, folder: Path) -> Iterator[Path]:
    """Unpack a database and have Django use it until the end of the block."""
    file, own = folder / kept.stem, connection.settings_dict["NAME"]
    file.write_bytes(lzma.decompress(kept.read_bytes()))
    connection.close()
    connection.settings_dict["NAME"] = f"{file}"
    try:
        yield file
    finally:
        connection.close()
        connection.settings_dict["NAME"] = own
