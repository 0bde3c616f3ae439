"""`manage.py plan`: one case from a file."""

import io
import json
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from tests.estimating.schedule.random_jobs import worked_cases

TASK = {"hours": 1, "split": False, "after": []}
CASE = {"start": "2026-04-06T08:00", "tasks": {"a": TASK}}


def run(path: Path, case: object) -> Any:
    path.write_text(case if isinstance(case, str) else json.dumps(case))
    out = io.StringIO()
    call_command("plan", str(path), stdout=out)
    return json.loads(out.getvalue())


def test_a_case_is_printed_with_its_starts_and_whether_it_is_proven(tmp_path: Path) -> None:
    case = worked_cases()[0]
    found = run(tmp_path / "case.json", case)
    assert found.keys() == {"starts", "makespan_work_hours", "lower_bound_work_hours", "proven"}
    assert found["starts"]["protect"] == "2026-04-06T08:00"
    assert found["makespan_work_hours"] == case["expected"]["min_makespan_work_hours"]


@pytest.mark.parametrize(
    ("case", "words"),
    [
        ("{", "this isn't JSON"),
        ([], "must hold one case"),
        ({"start": "2026-04-06T08:00"}, "has no tasks"),
        (CASE | {"start": "soon"}, '"start" must be a day and time'),
        (CASE | {"hours_per_day": 0}, '"hours_per_day" must be more than 0'),
        (CASE | {"holidays": ["May"]}, '"holidays" must be days'),
        (CASE | {"tasks": {"a": {}}}, 'a has no "hours"'),
        (CASE | {"tasks": {"a": TASK | {"hours": 0.1}}}, "whole quarter hours"),
        (CASE | {"tasks": {"a": TASK | {"after": ["b"]}}}, "pairs of a task and hours"),
        (CASE | {"tasks": {"a": TASK | {"after": [["b", 0]]}}}, "waits for a step that isn't there"),
        (CASE | {"tasks": {"a": TASK | {"after": [["a", 0]]}}}, "wait for each other"),
    ],
)
def test_a_file_that_cannot_be_planned_is_refused_in_a_sentence(
    tmp_path: Path, case: object, words: str
) -> None:
    with pytest.raises(CommandError, match=words):
        run(tmp_path / "case.json", case)
