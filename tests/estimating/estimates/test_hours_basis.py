"""How much of a job's labor rests on published figures, own numbers and guesses."""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from catalog.assemblies.specs import OperationSpec
from catalog.starter import published_hours
from catalog.starter.published_hours import RestsOn
from estimating.estimates.hours_basis import hours_parts
from estimating.takeoff.takeoff import take_off
from estimating.takeoff.work import Override, Work
from tests.specs import assembly, operation, uses


def labor(code: str, rate: str, source: str, set_up: str = "0") -> OperationSpec:
    spec = operation(code, rate, "sq ft")
    return replace(
        spec, source=source, set_up_hours=Fraction(set_up), low=spec.rate.per_unit, high=spec.rate.per_unit
    )


def test_each_hour_is_counted_under_what_it_rests_on(monkeypatch: pytest.MonkeyPatch) -> None:
    """1,000 sq ft: 33 h published and 2 h of set-up guessed, 10 h guessed, 3 h own, 2 h typed: 50 h."""
    board = labor("hang-board", "33 hours per 1000 sq ft", "NAVEDTRA; set-up invented for the demo", "2")
    tidy = labor("final-tidy", "1 hour per 100 sq ft", "invented for the demo")
    own = labor("final-tidy-own", "3 hours per 1000 sq ft", "Your own jobs: 3 hours, 5 jobs")
    shipped = {spec.code: (spec.rate.per_unit, spec.source) for spec in (board, tidy)}
    monkeypatch.setattr(published_hours, "_shipped_hours", lambda: shipped)
    work = Work(
        key="work",
        title="Work",
        phase="finish",
        assembly=assembly("all", "area", *(uses(spec, measure="area") for spec in (board, tidy, own))),
        rooms=(),
        overrides=(Override("area", Fraction(1000), "by hand"),),
        extra_hours=Fraction(2),
    )
    (item,) = take_off({}, [work]).items
    published, mine, guessed = hours_parts([item])
    assert [part.on for part in (published, mine, guessed)] == list(RestsOn)
    assert (published.hours, published.percent) == (Decimal("33.00"), 66)
    assert (mine.hours, mine.percent) == (Decimal("5.00"), 10)
    assert (guessed.hours, guessed.percent) == (Decimal("12.00"), 24)
    assert [(row.code, row.hours) for row in guessed.rows] == [
        ("final-tidy", Decimal("10.00")),
        ("hang-board", Decimal("2.00")),
    ]


def test_work_without_hours_has_no_shares() -> None:
    assert [part.percent for part in hours_parts([])] == [0, 0, 0]
