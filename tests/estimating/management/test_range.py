"""`manage.py range`: one case in, the range of its hours out, or a sentence that says what would be right."""

import io
import json
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

CASE = {"kind": "triangular", "rho": 0.3, "tasks": [[1, 2, 4], [3, 3, 3]]}


def run(tmp_path: Path, text: str) -> Any:
    path, out = tmp_path / "case.json", io.StringIO()
    path.write_text(text)
    call_command("range", str(path), stdout=out)
    return json.loads(out.getvalue())


def test_a_case_is_answered_as_json(tmp_path: Path) -> None:
    printed = run(tmp_path, json.dumps({**CASE, "expected": {"mean": 99}}))
    assert printed == {"mean": 5.333333, "sd": 0.62361, "p50": 5.333333, "p80": 5.858176}


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("{", "this isn't JSON"),
        ("[]", "must hold one case"),
        (json.dumps({**CASE, "kind": "normal"}), "kind must be triangular or pert."),
        (json.dumps({**CASE, "rho": 1.5}), "rho must be a number from 0 to 1."),
        (json.dumps({**CASE, "rho": None}), "rho must be a number"),
        (json.dumps({**CASE, "tasks": []}), "tasks must be a list"),
        (json.dumps({**CASE, "tasks": [[1, 2]]}), "Task 1 must be three numbers"),
        (json.dumps({**CASE, "tasks": [[1, 2, 3], [3, 2, 4]]}), "Task 2: the hours must rise"),
        (json.dumps({**CASE, "tasks": [[1, float("nan"), 3]]}), "Task 1 must be a number"),
        (json.dumps({**CASE, "tasks": [[1, 2, 10**400]]}), "Task 1 must be a number"),
    ],
)
def test_what_is_no_case_is_refused_in_a_sentence(tmp_path: Path, text: str, says: str) -> None:
    with pytest.raises(CommandError, match="case.json: ") as refused:
        run(tmp_path, text)
    assert says in str(refused.value)
