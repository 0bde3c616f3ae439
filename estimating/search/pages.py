"""Long rows a page at a time, found by their keys alone."""

from typing import Any, TypeVar

from django.core.paginator import Page, Paginator
from django.db.models import Model, QuerySet

Row = TypeVar("Row", bound=Model)


def rows_by_key(rows: QuerySet[Row], start: int, stop: int) -> list[Row]:
    """Return the rows from `start` up to `stop`, in their order. Costs two queries, one where there is none.

    The database puts keys in order, which an index may hold, instead of whole rows.
    """
    keys = list(rows.values_list("pk", flat=True)[start:stop])
    found = {row.pk: row for row in rows.order_by().filter(pk__in=keys)} if keys else {}
    return [found[key] for key in keys if key in found]


class KeyPaginator(Paginator):  # type: ignore[type-arg]  # takes none when it runs
    """A paginator of long rows."""

    def page(self, number: int | str) -> Page[Any]:
        """Return a page. Raises InvalidPage where there is none of that number."""
        number = self.validate_number(number)
        start = (number - 1) * self.per_page
        rows: Any = self.object_list
        return Page(rows_by_key(rows, start, start + self.per_page), number, self)
