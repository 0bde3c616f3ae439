"""Moving a row up or down among the rows beside it."""

from typing import Any, Protocol

from django.db import models

STEPS = {"up": -1, "down": 1}


class Positioned(Protocol):
    """A row with a place in a list."""

    position: int


def move(rows: models.QuerySet[Any], moved: Positioned, step: str) -> None:
    """Swap a row with the one above ("up") or below ("down"); at the end of the list it stays.

    The positions of all rows are written again, so that rows that had the same one come apart.
    """
    order: list[Positioned] = list(rows)
    index = order.index(moved)
    other = index + STEPS[step]
    if 0 <= other < len(order):
        order[index], order[other] = order[other], order[index]
    for position, row in enumerate(order):
        row.position = position
    rows.bulk_update(order, ["position"])


def next_position(rows: models.QuerySet[Any]) -> int:
    """Return the position for a new row at the end of these rows."""
    last: int | None = rows.aggregate(last=models.Max("position"))["last"]
    return 0 if last is None else last + 1
