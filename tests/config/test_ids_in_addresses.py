"""An address with the number of a row that can't be there is answered with "not found", never a fault."""

import logging
import re
from collections.abc import Iterator

import pytest
from django.apps import apps
from django.db import models
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver

from config.row_numbers import HIGHEST
from tests.every_row import every_kind_of_row

NO_ROW = (0, 2**63, 10**40)
NUMBER = re.compile(r"<int:(\w+)>")
WORD = re.compile(r"<(?:str|slug|path):\w+>")
NAMES = {  # of models, where an address names the row otherwise
    "line": "changeline",
    "item": "workitem",
    "condition": "hiddencondition",
    "link": "clientlink",
    "change": "changeorder",
    "page": "joblink",
    "event": "outsideevent",
    "feed": "calendarfeed",
    "offer": "choiceoffer",
    "photo": "diaryphoto",
}


def routes(patterns: list[URLPattern | URLResolver], before: str = "/") -> Iterator[str]:
    for pattern in patterns:
        route = before + str(pattern.pattern)
        if isinstance(pattern, URLResolver):
            yield from routes(pattern.url_patterns, route)
        else:
            yield WORD.sub("x", route)


def row_of(argument: str) -> int:
    """The number of a row that is there."""
    if argument in ("year", "month"):  # of the calendar
        return 1
    name = argument.removesuffix("_id")
    kinds = {kind.__name__.lower(): kind for kind in apps.get_models()}
    kind: type[models.Model] = kinds[NAMES.get(name, name)]
    return int(kind._default_manager.values_list("pk", flat=True)[0])


def addresses() -> Iterator[tuple[int, str]]:
    """Every address with numbers, each number in turn of no row while those beside it are of rows."""
    for route in routes(get_resolver().url_patterns):
        arguments = NUMBER.findall(route)
        rows = {argument: row_of(argument) for argument in arguments} if len(arguments) > 1 else {}
        for argument in arguments:
            for number in NO_ROW:
                numbers = {**rows, argument: number}
                yield number, NUMBER.sub(r"{\1}", route).format(**numbers)


@pytest.mark.django_db
def test_no_address_fails_for_a_number_of_no_row(signed_in: Client, caplog: pytest.LogCaptureFixture) -> None:
    caplog.set_level(logging.CRITICAL, "django.request")
    every_kind_of_row()
    signed_in.raise_request_exception = False
    asked = list(addresses())
    assert len(asked) > 500
    wrong = {}
    for number, address in asked:
        # A number that a column holds may be looked up late, after the method or the state of the job.
        expected = {404} if number > HIGHEST else {302, 404, 405}
        for method in ("get", "post"):
            status = getattr(signed_in, method)(address).status_code
            if status not in expected:
                wrong[method, address] = status
    assert wrong == {}


def test_a_stranger_is_asked_to_sign_in_all_the_same(client: Client) -> None:
    assert client.get(f"/jobs/{2**64}/work/").status_code == 302
