"""Queries whose SQL is written once a process, for what nearly every page asks.

Writing the SQL of a small query takes Django five to ten times as long as the database takes to answer it.
"""

from collections import OrderedDict
from collections.abc import Callable, Collection, Iterable, Sequence
from functools import wraps
from itertools import count
from threading import Lock
from typing import Any, Generic, ParamSpec, TypeVar, cast

from django.core.exceptions import EmptyResultSet
from django.db import connection, connections
from django.db.models import QuerySet

Given = ParamSpec("Given")
Row = TypeVar("Row")
Made = TypeVar("Made")
Number = int | Collection[int]

_FIRST = 2**62  # while the SQL is written, this and what follows stand for the numbers; no row's key
_LONGEST = 256  # of a list; the query of a longer one is written anew each time


def prepared(build: "Callable[Given, QuerySet[Any, Row]]") -> Callable[Given, list[Row]]:
    """Return the function that reads the rows of the query that another function returns.

    That one takes whole numbers of 64 bits, as primary keys are, and collections of them, in their order,
    and does nothing with them but look rows up by them: `filter(job=job)`, `filter(job__in=jobs)`. All else
    in it stays as it was when it was first called: no day of today and no setting may be in it. What it
    prefetches is read as ever.
    """
    written: dict[tuple[str | int | None, ...], _Written[Row] | None] = {}

    @wraps(build)
    def read(*given: Given.args, **named: Given.kwargs) -> list[Row]:
        if named:
            raise TypeError(f"{build.__name__} takes its keys in their order, without names.")
        values = cast("Sequence[Number]", given)
        numbers = [value if isinstance(value, int) else _padded(value) for value in values]
        sizes = tuple(None if isinstance(value, int) else len(value) for value in numbers)
        if any(size is not None and size > _LONGEST for size in sizes):
            return list(build(*given, **named))
        place = (connection.vendor, *sizes)
        if place not in written:
            written[place] = _write(build, sizes)
        query = written[place]
        return query.rows_of(query.find(numbers)) if query else []

    return read


def made_of(
    *builds: "Callable[Given, QuerySet[Any, Any]]", kept: int = 1
) -> Callable[[Callable[..., Made]], Callable[Given, Made]]:
    """Return what makes a function of rows one that reads the rows of these queries by itself.

    They all take the same numbers, which may be none. What was made last is kept in this process with the
    rows, of as many numbers as `kept` says. The rows are read each time: where one of them is another than
    before, it is made anew. So nobody may change what it returns.
    """

    def marked(make: Callable[..., Made]) -> Callable[Given, Made]:
        written: dict[str, list[_Written[Any]]] = {}
        last: OrderedDict[tuple[Any, ...], tuple[list[list[Any]], Made]] = OrderedDict()
        turn = Lock()

        @wraps(make)
        def read(*given: Given.args, **_: Given.kwargs) -> Made:
            numbers = cast("tuple[int, ...]", given)
            queries = written.get(connection.vendor)
            if queries is None:
                stand_ins = range(_FIRST, _FIRST + len(numbers))
                queries = [_Written(cast("Any", build)(*stand_ins)) for build in builds]
                written[connection.vendor] = queries
            found = [query.find(numbers) for query in queries]
            known = last.get(numbers)
            if known is None or known[0] != found:
                rows = (query.rows_of(part) for query, part in zip(queries, found, strict=True))
                known = found, make(*rows)
            with turn:
                last[numbers] = known
                last.move_to_end(numbers)
                if len(last) > kept:
                    last.popitem(last=False)
            return known[1]

        return read

    return marked


def put_on(rows: Iterable[Any], name: str, found: Iterable[Any], key: str) -> None:
    """Put on rows what belongs to them, as `prefetch_related(name)` does, from rows that were read already.

    `key` is the foreign key by which what was found names its row.
    """
    by_row = {row.pk: row for row in rows}
    of_row: dict[int, list[Any]] = {pk: [] for pk in by_row}
    for one in found:
        pk = getattr(one, f"{key}_id")
        setattr(one, key, by_row[pk])
        of_row[pk].append(one)
    for pk, row in by_row.items():
        together = getattr(row, name).all()
        together._result_cache, together._prefetch_done = of_row[pk], True
        row._prefetched_objects_cache = {**getattr(row, "_prefetched_objects_cache", {}), name: together}


def first_of(rows: Iterable[Row]) -> Row | None:
    """Return the first of the rows; None where there is none."""
    return next(iter(rows), None)


def keys_of(rows: Iterable[Any]) -> list[int]:
    """Return the primary keys of rows, some of which may be keys already."""
    return [row if isinstance(row, int) else row.pk for row in rows]


def _padded(numbers: Collection[int]) -> list[int]:
    """Return the numbers with the last one repeated up to a power of two, so that few lengths are written."""
    padded = list(numbers)
    return padded + padded[-1:] * ((1 << (len(padded) - 1).bit_length()) - len(padded)) if padded else []


def _write(build: "Callable[..., QuerySet[Any, Row]]", sizes: Sequence[int | None]) -> "_Written[Row] | None":
    """Return the query for lists of these sizes; None where an empty one leaves nothing to find."""
    each = count(_FIRST)
    stand_ins = [next(each) if size is None else [next(each) for _ in range(size)] for size in sizes]
    try:
        query = _Written(build(*stand_ins))
    except EmptyResultSet:
        if 0 in sizes:
            return None
        raise ValueError("A query that is written once looks keys up in columns of 64 bits.") from None
    if len({*query.places.values()}) < sum(1 if size is None else size for size in sizes):
        raise ValueError(
            "A query that is written once takes numbers that rows are looked up by, each as it is."
        )
    return query


class _Written(Generic[Row]):
    """A query with its SQL."""

    def __init__(self, queryset: "QuerySet[Any, Row]") -> None:
        """Write the SQL. Raises EmptyResultSet."""
        self._queryset: Any = queryset  # what is asked of it below is no part of what the checker knows
        self._compiler: Any = self._queryset.query.get_compiler(queryset.db)
        self._sql, parameters = self._compiler.as_sql()
        columns = [column for column, *_ in self._compiler.select[: self._compiler.col_count]]
        self._converters = self._compiler.get_converters(columns)
        self._parameters = list(parameters)
        self.places = {
            place: value - _FIRST
            for place, value in enumerate(parameters)
            if isinstance(value, int) and value >= _FIRST
        }

    def find(self, numbers: Sequence[Number] = ()) -> list[Any]:
        """Return what the database has for these numbers, as it has it."""
        parameters = self._parameters.copy()
        flat: list[int] = []
        for value in numbers:
            flat += [value] if isinstance(value, int) else value
        for place, position in self.places.items():
            parameters[place] = flat[position]
        with connections[self._queryset.db].cursor() as cursor:
            cursor.execute(self._sql, parameters)
            found = cursor.fetchall()
        width = self._compiler.col_count
        return [row[:width] for row in found] if self._compiler.has_extra_select else found

    def rows_of(self, found: Sequence[Any]) -> list[Row]:
        """Return what was found as the rows that the query gives."""
        compiler = object.__new__(type(self._compiler))
        compiler.__dict__ |= self._compiler.__dict__ | {
            "connection": connections[self._queryset.db],
            "execute_sql": lambda *_, **__: [found],
            "get_converters": lambda _: self._converters,
        }
        asked = type(self._queryset)(self._queryset.model, _Query(self._queryset.query, compiler))
        for name in ("_iterable_class", "_fields", "_prefetch_related_lookups", "_known_related_objects"):
            setattr(asked, name, getattr(self._queryset, name))
        return list(asked)


class _Query:
    """Stands in for the query of a queryset, and has it answered by a compiler that has written it."""

    def __init__(self, query: Any, compiler: Any) -> None:
        self._query, self._compiler = query, compiler

    def __getattr__(self, name: str) -> Any:
        return getattr(self._query, name)

    def get_compiler(self, *_: Any, **__: Any) -> Any:
        return self._compiler
