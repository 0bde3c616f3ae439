"""SQLite from the package that carries a newer one than Python's, wherever `sqlite3` is imported."""

import importlib
import sys
from contextlib import suppress


def use_newer_sqlite() -> None:
    """Let `import sqlite3` give the package's module where it is installed and newer than Python's own.

    To be called before anything opens a database: two libraries in one process would lose each other's
    locks on the same file.
    """
    with suppress(ImportError):
        ours = importlib.import_module("pysqlite3")
        pythons = importlib.import_module("sqlite3")
        if ours.sqlite_version_info > pythons.sqlite_version_info:
            sys.modules["sqlite3"] = ours
            sys.modules["sqlite3.dbapi2"] = importlib.import_module("pysqlite3.dbapi2")
