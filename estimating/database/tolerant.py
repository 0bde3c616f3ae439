"""Reading that goes on after something unreadable: a changed byte must be named, and not end the search."""

from collections.abc import Iterable, Iterator
from contextlib import AbstractContextManager, nullcontext
from typing import TypeVar

from django.core.exceptions import ObjectDoesNotExist
from django.db import DatabaseError, connection, models, transaction

Row = TypeVar("Row", bound=models.Model)

# What reading changed JSON, numbers, dates, rows and pages raises; StopIteration leaves a generator as
# RuntimeError.
UNREADABLE: tuple[type[Exception], ...] = (
    ValueError,
    TypeError,
    LookupError,
    AttributeError,
    ArithmeticError,
    RuntimeError,
    ObjectDoesNotExist,
    DatabaseError,
)


def continue_after_unreadable(faults: Iterable[str], subject: str) -> Iterator[str]:
    """Yield the faults that a check finds.

    Where the check meets something that can't be read, yield one more sentence that says so of the subject,
    and end this check; the caller goes on with the next.
    """
    try:
        with going_on():
            yield from faults
    except UNREADABLE as error:
        yield f"{subject} can't be read ({type(error).__name__})."


def going_on() -> AbstractContextManager[None]:
    """Keep the transaction usable after an error inside: PostgreSQL answers nothing more without a savepoint.

    Call in a transaction.
    """
    return transaction.atomic() if connection.vendor == "postgresql" else nullcontext()


def readable(rows: models.QuerySet[Row]) -> list[Row]:
    """Return the rows in the order of their keys; around a damaged page, those that either end leads to."""
    found: dict[int, Row] = {}
    for ordered in (rows.order_by("pk"), rows.order_by("-pk")):
        try:
            with going_on():
                for row in ordered.iterator():
                    found.setdefault(row.pk, row)
                break
        except UNREADABLE:
            continue
    return [found[key] for key in sorted(found)]
