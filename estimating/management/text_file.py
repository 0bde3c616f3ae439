"""A text file that a command is given, or what is piped in."""

import sys
from pathlib import Path

from django.core.management.base import CommandError


def read_text(file: str) -> str:
    """Read a file, or with "-" what is piped in. Raises CommandError."""
    try:
        raw = sys.stdin.buffer.read() if file == "-" else Path(file).read_bytes()
        return raw.decode("utf-8-sig")
    except OSError as error:
        raise CommandError(f"{file}: the file can't be read ({error.strerror}).") from error
    except UnicodeDecodeError as error:
        raise CommandError(f"{file}: the file isn't in UTF-8: save it so.") from error
