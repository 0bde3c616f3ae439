"""Hours of a job against what was priced."""

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

import pytest

from estimating.contract.work_lines import ContractWorkLine
from jobsite.hours.progress import JobHours, job_hours
from tests.jobsite.contract_work import work_line

PHASES = (("board", "Drywall"), ("finish", "Finish"))


Typed = Mapping[str, float]


def hours_of(
    *priced: ContractWorkLine,
    lines: Typed | None = None,
    phases: Typed | None = None,
    job: Typed | None = None,
    trips: int = 0,
    closed: bool = False,
) -> JobHours:
    """The hours of a job with these lines, from what was entered on lines, whole phases and the job."""
    by_line = {(1, key): exact for key, exact in exactly(lines).items()}
    for_job = [(code, code, exact) for code, exact in exactly(job).items()]
    return job_hours(priced, by_line, exactly(phases), for_job, PHASES, Fraction(trips), closed)


def exactly(typed: Typed | None) -> dict[str, Fraction]:
    return {name: Fraction(str(hours)) for name, hours in (typed or {}).items()}


TAPING, SILL = work_line("taping", 6.9), work_line("sill", 0.3)
DONE = work_line("hanging", 7, True)


@pytest.mark.parametrize(
    ("lines", "entered", "named"),
    [
        ([TAPING], {"lines": {"taping": 6.2}}, ()),
        ([TAPING], {"lines": {"taping": 6.3}}, ("taping is at 6.3 h of 6.9 and not ticked as finished.",)),
        (
            [TAPING, DONE],
            {"lines": {"taping": 7.5, "hanging": 7}},
            ("taping is at 7.5 h of 6.9 and not ticked as finished.",),
        ),
        ([SILL], {"lines": {"sill": 0.4}}, ()),
        ([SILL], {"lines": {"sill": 0.5}}, ("sill is at 0.5 h of 0.3 and not ticked as finished.",)),
        (
            [TAPING, work_line("hanging", 7)],
            {"lines": {"taping": 2}, "phases": {"board": 11}},
            ("Drywall is at 13 h of 13.9 and not all of it is ticked as finished.",),
        ),
        ([TAPING], {"phases": {"finish": 0.6}}, ("Finish has 0.6 h and nothing of it was priced.",)),
        (
            [TAPING],
            {"job": {"travel": 4.5}, "trips": 4},
            ("Supply runs and return visits are at 4.5 h of 4.",),
        ),
        (
            [TAPING],
            {"job": {"travel": 2, "cleaning": 2.5}, "trips": 4},
            ("Supply runs and return visits are at 4.5 h of 4.",),
        ),
        ([TAPING], {"job": {"travel": 4.4}, "trips": 4}, ()),
        ([TAPING], {"job": {"extra": 2}}, ("As it stands the job takes 8.9 h of 6.9.",)),
        (
            [TAPING],
            {"lines": {"taping": 9.3}},
            (
                "taping is at 9.3 h of 6.9 and not ticked as finished.",
                "As it stands the job takes 9.3 h of 6.9.",
            ),
        ),
        ([TAPING, DONE], {"job": {"extra": 9}, "closed": True}, ()),
        ([TAPING], {}, ()),
    ],
)
def test_an_over_run_is_named_before_it_is_large(
    lines: list[ContractWorkLine], entered: dict[str, Any], named: tuple[str, ...]
) -> None:
    assert hours_of(*lines, **entered).warnings == named


def test_what_is_over_by_most_is_named_first() -> None:
    found = hours_of(TAPING, work_line("hanging", 5), lines={"taping": 7, "hanging": 8}).warnings
    assert [words.split()[0] for words in found] == ["hanging", "taping", "As"]


def test_a_finished_line_is_named_only_where_it_missed_by_something() -> None:
    assert hours_of(work_line("taping", 6, True), lines={"taping": 6.2}).missed == ()
    assert hours_of(work_line("taping", 6, True), lines={"taping": 9}).missed == ("taping took 9 h of 6.",)
    whole = hours_of(DONE, phases={"board": 9})
    assert (whole.missed, whole.warnings[:-1]) == (("Drywall took 9 h of 7.",), ())


def test_what_is_left_and_expected_adds_up() -> None:
    job = hours_of(
        work_line("hanging", 7, True),
        work_line("taping", 12),
        work_line("painting", 4, phase="finish"),
        trips=6,
        lines={"hanging": 9, "taping": 5},
        job={"travel": 2, "extra": 1},
    )
    board, finish = job.phases
    assert (board.priced, board.taken, board.left, board.expected) == (19, 14, 7, 21)
    assert (finish.left, finish.expected) == (4, 4)
    assert (job.priced, job.taken, job.left, job.expected) == (29, 17, 15, 32)


def test_hours_on_a_phase_use_up_what_is_left_of_its_lines() -> None:
    (board,) = hours_of(work_line("hanging", 7), work_line("taping", 12), phases={"board": 15}).phases
    assert (board.taken, board.left, board.expected) == (15, 4, 19)


def test_a_phase_kept_as_a_whole_and_finished_took_what_was_kept() -> None:
    (board,) = hours_of(
        work_line("hanging", 7, True), work_line("taping", 5, True), phases={"board": 15}
    ).phases
    assert (board.left, board.expected) == (0, 15)


def test_a_closed_job_took_what_was_entered() -> None:
    job = hours_of(work_line("hanging", 7), closed=True, trips=4, lines={"hanging": 3})
    assert (job.left, job.expected) == (0, 3)


def test_the_parts_of_a_change_by_the_hour_are_one_line_with_the_hours_of_the_change() -> None:
    joist, fan = (work_line(title, 2, kind="at_most", phase="") for title in ("joist", "fan"))
    (changes,) = job_hours([joist, fan], {(1, ""): Fraction(3)}, {}, [], PHASES, Fraction(0), False).phases
    assert [(line.title, line.priced, line.taken) for line in changes.lines] == [("joist and fan", 4, 3)]


def test_hours_on_a_line_that_is_no_more_are_not_lost() -> None:
    (other,) = hours_of(lines={"gone": 2}).phases
    assert other.taken == 2
