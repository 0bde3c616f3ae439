"""Reading the database as of one moment, while others go on saving."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import connection, connections, transaction

from estimating.database.sqlite3.base import DatabaseWrapper


@contextmanager
def reading_snapshot() -> Iterator[None]:
    """Read as of one moment; what is saved meanwhile isn't seen, and nobody waits.

    Call outside any transaction.
    """
    wrapper = connections[connection.alias]
    with wrapper.deferred() if isinstance(wrapper, DatabaseWrapper) else transaction.atomic():
        if connection.vendor == "postgresql":
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
        yield
        transaction.set_rollback(True)  # a damaged SQLite file refuses even an empty commit
