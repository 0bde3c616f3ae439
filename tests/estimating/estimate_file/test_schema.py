"""The shape of estimate files: our sentences, and the schema as others read it."""

import copy
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from jsonschema import Draft202012Validator

from catalog.measures.room_measures import MEASURES
from catalog.models import ContingencyOf, Detail, TaxPolicy
from catalog.phases import Phase
from estimating.estimate_file.schema import KEYWORDS, Fault, parse, schema, shape_faults
from estimating.floor_structure.floor import FINISHES
from estimating.floor_structure.lumber import DEPTHS_IN, GRADES, SPECIES
from estimating.floor_structure.tile_weight import UNDER
from estimating.forms.room_rows import MOST_ROWS
from estimating.models import Allowance, Estimate, FixedFootprint, Opening, Room
from estimating.takeoff.job_conditions import JOB_CONDITIONS
from tests.estimating.estimate_files import FULL, changed

FIXTURES = Path(settings.BASE_DIR) / "demo_fixtures"
VALIDATOR = Draft202012Validator(schema())


def faults(data: Any) -> list[Fault]:
    return list(shape_faults(parse(json.dumps(data))))


def test_names_that_are_not_read_are_told_in_the_order_of_the_file() -> None:
    strange = {f"strange_{place}": place for place in range(20)}
    places = [fault.place for fault in faults(changed("job", to=FULL["job"] | strange))]
    assert places == [f"job.{name}" for name in strange]


SHAPES: list[tuple[tuple[str | int, ...], Any, str]] = [
    (("job",), [], "job: this must be named values in braces."),
    (("job", "name"), 5, "job.name: this must be text in quotes."),
    (("job", "tax_policy"), "some", "job.tax_policy: “some” is none of these: consumer, materials, "),
    (("job", "date"), "24 November", "job.date: “24 November” can't be read here"),
    (("job", "date"), "9999-12-31", "job.date: “9999-12-31” can't be read here"),
    (("rooms",), {}, "rooms: this must be a list in brackets."),
    (("rooms", 0, "heigth"), "8'", "rooms[0].heigth: nothing by this name is read here: check its spelling."),
    (("rooms", 0, "height"), " ", "rooms[0].height: nothing is typed here: write it such as 13' 4-1/2\"."),
    (("rooms", 0, "height"), None, "rooms[0].height: this must be text in quotes or a number."),
    (("rooms", 0, "walls"), [{"length": "9'"}], "rooms[0].walls: this isn't used here: leave it out."),
    (("rooms", 2, "walls"), [], "rooms[2].walls: the list needs at least 1."),
    (
        ("rooms", 2, "walls", 1, "turn"),
        "left-ish",
        "rooms[2].walls[1].turn: “left-ish” can't be read here: write it such as right, left, straight",
    ),
    (("rooms", 0, "openings"), [{}] * 61, "rooms[0].openings: the list has 61: at most 60 are read."),
    (("rooms", 0, "fixed", 0, "off_base"), "no", "rooms[0].fixed[0].off_base: this must be true or false."),
    (("work", 2), {"title": "Dumpster"}, "work[2].phase: this is missing."),
    (("work", 2, "rooms"), [], "work[2].rooms: this isn't used here: leave it out."),
    (("work", 0, "rooms", 1, "walls"), [], "work[0].rooms[1].walls: the list needs at least 1."),
    (("work", 0, "measures", 0, "measure"), "acreage", "work[0].measures[0].measure: “acreage” is none of "),
    (("assumptions",), "Heat is on.", "assumptions: this must be a list in brackets."),
    (("set_aside",), [1], "set_aside[0]: this must be text in quotes."),
]


@pytest.mark.parametrize(("path", "typed", "begins"), SHAPES)
def test_a_shape_that_the_schema_refuses_is_refused_at_its_place(
    path: tuple[str | int, ...], typed: Any, begins: str
) -> None:
    data = changed(*path, to=typed)
    assert any(str(fault).startswith(begins) for fault in faults(data))
    assert not VALIDATOR.is_valid(data)


def test_the_schema_is_a_schema() -> None:
    Draft202012Validator.check_schema(schema())


def _keywords(rules: Any) -> Iterator[str]:
    if not isinstance(rules, dict):
        return
    yield from rules
    inner = [
        rules.get("items"),
        *rules.get("allOf", []),
        *(rules.get(name) for name in ("if", "then", "else")),
    ]
    for part in (*inner, *rules.get("properties", {}).values(), *rules.get("$defs", {}).values()):
        yield from _keywords(part)


def test_no_keyword_of_the_schema_is_passed_over() -> None:
    notes = {"$schema", "$defs", "title", "description", "examples"}
    assert set(_keywords(schema())) - notes <= KEYWORDS


def test_the_schema_names_what_the_site_knows() -> None:
    known = schema()["$defs"]
    assert known["phase"]["enum"] == Phase.values
    assert known["job"]["properties"]["tax_policy"]["enum"] == TaxPolicy.values
    assert known["pricing"]["properties"]["detail"]["enum"] == Detail.values
    assert known["pricing"]["properties"]["contingency_of"]["enum"] == ContingencyOf.values
    assert known["pricing"]["properties"]["scope_by"]["enum"] == Estimate.ScopeBy.values
    assert known["room"]["properties"]["shape"]["enum"] == Room.Shape.values
    assert known["room"]["properties"]["openings"]["maxItems"] == MOST_ROWS
    assert set(known["opening"]["properties"]["kind"]["enum"]) == set(Opening.Kind.values)
    assert set(known["fixed"]["properties"]["kind"]["enum"]) == set(FixedFootprint.Kind.values)
    joists = known["joists"]["properties"]
    assert [joists[name]["enum"] for name in ("size", "species", "grade", "finish", "under")] == [
        list(keys) for keys in (DEPTHS_IN, SPECIES, GRADES, FINISHES, UNDER)
    ]
    assert known["allowance"]["properties"]["basis"]["enum"] == Allowance.Basis.values
    assert known["work"]["properties"]["conditions"]["items"]["enum"] == list(JOB_CONDITIONS)
    assert known["work"]["properties"]["measures"]["items"]["properties"]["measure"]["enum"] == list(MEASURES)


@pytest.mark.parametrize("name", ["kitchen", "kitchen_by_lines", "patch"])
def test_the_demo_files_fit_the_schema(name: str) -> None:
    data = json.loads((FIXTURES / f"{name}.json").read_text("utf-8"))
    assert [error.message for error in VALIDATOR.iter_errors(data)] == []


def _places(value: Any) -> Iterator[tuple[Any, Any]]:
    """Everything in a file, each as what holds it and the name or number that it has there."""
    keys = list(value) if isinstance(value, dict) else range(len(value)) if isinstance(value, list) else ()
    for key in keys:
        yield value, key
        yield from _places(value[key])


@pytest.mark.parametrize(
    "put", [None, True, 7, "", "l", [], {}], ids=["null", "true", "number", "empty", "text", "list", "braces"]
)
def test_our_reading_of_the_schema_agrees_with_an_independent_one(put: Any) -> None:
    """Everything in the full file is in turn replaced."""
    for holder, key in list(_places(data := copy.deepcopy(FULL))):
        kept, holder[key] = holder[key], put
        assert (faults(data) == []) == VALIDATOR.is_valid(data), (key, holder)
        holder[key] = kept


def test_both_readings_of_the_schema_agree_on_what_may_be_missing() -> None:
    for holder, key in list(_places(data := copy.deepcopy(FULL))):
        if isinstance(holder, dict):
            kept = holder.pop(key)
            assert (faults(data) == []) == VALIDATOR.is_valid(data), (key, holder)
            holder[key] = kept
