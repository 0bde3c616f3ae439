"""The catalog that ships, as its files say it."""

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

from catalog.starter import files


@cache
def shipped(kind: str) -> Mapping[str, Mapping[str, Any]]:
    """Return the entries of a kind, such as "assemblies", by their codes."""
    folder = Path(files.__file__).parent
    return {entry.code: entry.data for entry in files.read_files(folder).entries[kind]}
