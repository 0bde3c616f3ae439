"""Numbers have no gap and no double: when sixteen issue at once, and wherever a process is killed."""

from collections.abc import Callable
from typing import Any

import pytest

pytestmark = pytest.mark.django_db(transaction=True)

SIXTEEN = list(range(1001, 1017))


@pytest.fixture
def issuing(in_processes: Callable[[str, str], Any]) -> Callable[[str], Any]:
    return lambda what: in_processes("tests.estimating.issuing_process", what)


def test_sixteen_at_once_leave_no_gap_and_no_double(issuing: Callable[[str], Any]) -> None:
    left = issuing("race")
    assert left["each"]["numbers"] == SIXTEEN
    assert left["each"]["events"] == ["issued"] * 16
    assert left["each"]["faults"] == []
    # All sixteen then issue one and the same paper.
    assert left["same"]["numbers"] == [*SIXTEEN, 1017]
    assert left["same"]["counters"] == {"estimate": 1017, "events": 17}
    assert left["same"]["faults"] == []


def test_a_kill_at_any_step_leaves_nothing_or_all(issuing: Callable[[str], Any]) -> None:
    left = issuing("kill")
    before: dict[str, Any] = {"numbers": [], "events": [], "counters": {}, "faults": []}
    issued = {
        "numbers": [1001],
        "events": ["issued"],
        "counters": {"estimate": 1001, "events": 1},
        "faults": [],
    }
    revised = {
        "numbers": [1001, 1002],
        "events": ["issued", "issued", "superseded"],
        "counters": {"estimate": 1002, "events": 3},
        "faults": [],
    }
    for states, nothing, whole in ((left["first"], before, issued), (left["revision"], issued, revised)):
        done = states.index(whole)
        assert states == [nothing] * done + [whole] * (len(states) - done)
        # Killed after the commit, and issued once more to the end: still one document.
        assert done > 10
        assert len(states) == done + 2


def test_sixteen_who_sign_at_once_make_one_acceptance(issuing: Callable[[str], Any]) -> None:
    left = issuing("sign")
    assert left["signed"].count("accepted") == len(left["signed"]) == left["states"].count("accepted")
    assert left["states"][0] == "accepted"
    assert left["states"][1:] in (["accepted"], ["superseded", "issued"])
    assert left["faults"] == []
