"""Which SQLite the site runs on."""

import importlib
import sqlite3
import sys
from types import ModuleType

import pytest

from config.newer_sqlite import use_newer_sqlite
from estimating.database.sqlite3.base import has_wal_reset_fault


def modules(ours: tuple[int, ...], pythons: tuple[int, ...]) -> dict[str, ModuleType]:
    """The modules of two libraries, as they would be imported."""
    packages = {
        name: ModuleType(name) for name in ("pysqlite3", "pysqlite3.dbapi2", "sqlite3", "sqlite3.dbapi2")
    }
    vars(packages["pysqlite3"])["sqlite_version_info"] = ours
    vars(packages["sqlite3"])["sqlite_version_info"] = pythons
    return packages


@pytest.mark.parametrize(
    ("ours", "pythons", "taken"),
    [((3, 53, 4), (3, 40, 1), "pysqlite3"), ((3, 53, 4), (3, 54, 0), "sqlite3")],
)
def test_the_newer_of_two_libraries_is_taken(
    monkeypatch: pytest.MonkeyPatch, ours: tuple[int, ...], pythons: tuple[int, ...], taken: str
) -> None:
    for name, module in modules(ours, pythons).items():
        monkeypatch.setitem(sys.modules, name, module)
    use_newer_sqlite()
    assert sys.modules["sqlite3"].__name__ == taken
    assert sys.modules["sqlite3.dbapi2"].__name__ == f"{taken}.dbapi2"


@pytest.mark.sqlite
def test_django_has_it_too_and_where_the_package_has_wheels_it_is_free_of_the_wal_reset_fault() -> None:
    library = importlib.import_module("django.db.backends.sqlite3.base").Database
    assert library.sqlite_version == sqlite3.sqlite_version
    assert library.connect is sqlite3.connect
    if "pysqlite3" in sys.modules:
        assert not has_wal_reset_fault(sqlite3.sqlite_version_info)
