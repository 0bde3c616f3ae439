"""What of the database can't be read: its pages, by the database's own check, and every row."""

import re
from collections.abc import Iterator, Sequence
from typing import cast

from django.apps import apps
from django.db import connection, models
from django.db.migrations.recorder import MigrationRecorder

from estimating.database.tolerant import UNREADABLE, going_on

MOST_NAMED = 20  # one damaged page can have hundreds of consequences
_TREE = re.compile(r"\bTree (\d+)\b")


def damaged_pages() -> Iterator[str]:
    """Yield a plain sentence for each fault that SQLite finds in its file and indexes.

    PostgreSQL lets only a superuser check its pages (pg_amcheck): there it is left to `unreadable_rows`,
    which finds what is damaged of a table, not of an index.
    """
    if connection.vendor != "sqlite":
        return
    try:
        with connection.cursor() as cursor:
            cursor.execute(f"PRAGMA integrity_check({MOST_NAMED})")
            answers = [line for (answer,) in cursor.fetchall() for line in answer.splitlines()]
            cursor.execute("SELECT rootpage, name FROM sqlite_master WHERE rootpage")
            names = {f"{page}": name for page, name in cursor.fetchall()}
    except UNREADABLE as error:
        yield f"The database file is damaged ({error})."
        return
    for line in answers:
        if line != "ok" and not line.startswith("*** in database"):
            tree = _TREE.search(line)
            damaged = names.get(tree[1]) if tree else None
            yield f"{damaged or 'The database file'} is damaged ({line})."


def unreadable_rows() -> Iterator[str]:
    """Yield a plain sentence for each table with rows that can't be read; call in a transaction."""
    migrations = cast("type[models.Model]", MigrationRecorder.Migration)  # its property names no type
    for model in _with_rows((*apps.get_models(include_auto_created=True), migrations)):
        yield from _unreadable_rows(model)


def _with_rows(every: Sequence[type[models.Model]]) -> Sequence[type[models.Model]]:
    """Return the models whose tables hold rows, which costs a query; all where that can't be answered."""
    held = {model._meta.db_table: connection.ops.quote_name(model._meta.db_table) for model in every}
    asked = (f"SELECT '{table}' WHERE EXISTS (SELECT 1 FROM {name})" for table, name in held.items())
    try:
        with going_on(), connection.cursor() as cursor:
            cursor.execute(" UNION ALL ".join(asked))
            filled = {table for (table,) in cursor.fetchall()}
    except UNREADABLE:
        return every
    return [model for model in every if model._meta.db_table in filled]


def _unreadable_rows(model: type[models.Model]) -> Iterator[str]:
    try:
        with going_on():
            for _ in model._base_manager.order_by("pk").values_list().iterator(chunk_size=50):
                pass
    except UNREADABLE as error:
        yield f"{model._meta.db_table} can't be read ({type(error).__name__}: {error})."
