"""Moving a row up or down among its neighbors."""

from collections.abc import Sequence

from django.db import models

STEPS = {"up": -1, "down": 1}


def move(rows: Sequence[models.Model], moved: models.Model, step: str) -> None:
    """Swap a row with the one above ("up") or below ("down"); at the end of the list it stays.

    Positions of all rows are written again, so that rows that had the same one come apart.
    """
    order = list(rows)
    place = order.index(moved)
    other = place + STEPS[step]
    if 0 <= other < len(order):
        order[place], order[other] = order[other], order[place]
    for position, row in enumerate(order):
        row.position = position
    type(moved).objects.bulk_update(order, ["position"])


def next_position(rows: models.QuerySet) -> int:
    last = rows.aggregate(last=models.Max("position"))["last"]
    return 0 if last is None else last + 1
